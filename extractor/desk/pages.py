"""The desk's pages: HTML that loads its own scripts and style and nothing else; what they show comes from the API."""

from pathlib import Path
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request, Response
from fastapi import Path as InPath
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.templating import Jinja2Templates

from extractor import __version__
from extractor.desk.api.asking import OfDesk, desk, who_asks
from extractor.desk.api.people import local_session, open_session
from extractor.desk.people import Right

HERE = Path(__file__).parent
STATIC = HERE / "static"

router = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
_templates = Jinja2Templates(HERE / "templates")

CaseNumber = Annotated[int, InPath(ge=1, le=2**31 - 1)]

#: Pages that anybody sees: they show nothing of a case.
OPEN = {"enter", "sign_in_page"}


@router.get("/enter")
def enter(at: OfDesk, request: Request, key: str = "") -> Response:
    """Opens the desk to whoever has the key that was printed where it was started; once."""
    if not at.settings.is_local or not at.settings.one_time_key.use(key):
        if at.settings.is_local and who_asks(request):  # the same address again, from the browser that used it
            return RedirectResponse("/", 303)
        raise HTTPException(403, "This address was used already, or is none; start the desk again for a new one.")
    answer = RedirectResponse("/", 303)
    open_session(at, request, answer, local_session(at))
    return answer


@router.get("/")
def cases_page(request: Request) -> Response:
    return _page(request, "cases", "read")


@router.get("/cases/{case}")
def review_page(request: Request, case: CaseNumber) -> Response:
    return _page(request, "review", "read", case)


@router.get("/cases/{case}/sign")
def sign_page(request: Request, case: CaseNumber) -> Response:
    return _page(request, "sign", "sign", case)


@router.get("/suggestions")
def suggestions_page(request: Request) -> Response:
    return _page(request, "suggestions", "lexicon")


@router.get("/people")
def people_page(request: Request) -> Response:
    return _page(request, "people", "people")


@router.get("/log")
def log_page(request: Request) -> Response:
    return _page(request, "log", "audit")


@router.get("/sign-in")
def sign_in_page(request: Request) -> Response:
    return _page(request, "sign_in", None)


def error_page(request: Request, status: int, message: str, cure: str = "") -> Response:
    """What went wrong, as a page."""
    shown = {"status": status, "message": message, "cure": cure}
    return _templates.TemplateResponse(request, "error.html", shown, status)


def _page(request: Request, name: str, right: Right | None, case: int | None = None) -> Response:
    """A page of somebody who may see it; who is not signed in is asked to, and comes back."""
    at, person = desk(request), who_asks(request)
    if right is not None and person is None:
        return RedirectResponse(f"/sign-in?next={quote(request.url.path)}", 303)
    if right is not None and person is not None and right not in person.rights:
        raise HTTPException(403, f"{person.name} has not the right to {right}; ask whoever keeps the people.")
    if case is not None:
        at.store.case(case)
    shown = {"person": person, "case": case, "page": name, "version": __version__, "local": at.settings.is_local}
    return _templates.TemplateResponse(request, f"{name}.html", shown)
