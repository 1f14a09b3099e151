"""What goes wrong -> an answer that says so: JSON with a status and a code, of a page a page. None shows a trace; what
nobody foresaw is written to the log of the program.
"""

import logging
from collections.abc import Mapping

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from extractor.desk.media import TooLargeError
from extractor.desk.pages import error_page
from extractor.desk.people import SignInError, ThrottledError
from extractor.desk.rows import Conflict, MissingError, RefusedError
from extractor.desk.security import error_body
from extractor.errors import ExtractorError, OutputError, SignatureError, StoreError

log = logging.getLogger(__name__)

#: The first that fits counts: kind of failure -> status, code.
_KINDS: tuple[tuple[type[ExtractorError], int, str], ...] = (
    (MissingError, 404, "missing"),
    (RefusedError, 409, "refused"),
    (TooLargeError, 413, "too-large"),
    (ThrottledError, 429, "throttled"),
    (SignInError, 401, "sign-in"),
    (StoreError, 503, "store"),
    (OutputError, 503, "no-room"),
    (SignatureError, 422, "signature"),
    (ExtractorError, 422, "unusable"),
)
_CODES = {400: "unreadable", 401: "signed-out", 403: "no-right", 404: "missing", 405: "method", 413: "too-large"}


def add_to(app: FastAPI) -> None:
    """Has the application answer every failure in one form."""

    @app.exception_handler(Conflict)
    def conflict(_: Request, error: Conflict) -> JSONResponse:
        both = {
            "mine": [change.model_dump(mode="json") for change in error.mine],
            "theirs": [revision.model_dump(mode="json") for revision in error.theirs],
            "head": error.head,
        }
        message, cure = str(error).split("; ", 1)
        return JSONResponse(error_body("conflict", message, cure) | both, 409)

    @app.exception_handler(ExtractorError)
    def refused(request: Request, error: ExtractorError) -> Response:
        status, code = next((status, code) for kind, status, code in _KINDS if isinstance(error, kind))
        if status == 503:
            log.error("%s", error)
        headers = {"Retry-After": str(error.wait_s)} if isinstance(error, ThrottledError) else {}
        return _answer(request, status, code, str(error), headers)

    @app.exception_handler(RequestValidationError)
    def unusable(request: Request, error: RequestValidationError) -> Response:
        first = error.errors()[0]
        where = ".".join(str(step) for step in first["loc"][1:]) or "what was sent"
        if not _is_api(request):  # an address that is none
            return _answer(request, 404, "missing", "There is no such page.")
        message = f"{where}: {first['msg'].removeprefix('Value error, ')}"
        return JSONResponse(error_body("unusable", message), 422)

    @app.exception_handler(HTTPException)
    def told(request: Request, error: HTTPException) -> Response:
        code = _CODES.get(error.status_code, "refused")
        return _answer(request, error.status_code, code, str(error.detail), error.headers)

    @app.exception_handler(Exception)
    def unforeseen(request: Request, error: Exception) -> Response:
        return _answer(request, 500, "fault", "The program made a mistake; nothing was changed, try again.")


def _answer(
    request: Request, status: int, code: str, sentence: str, headers: Mapping[str, str] | None = None
) -> Response:
    """What went wrong, and behind a semicolon what helps -> JSON, or a page where a page was asked for."""
    message, _, cure = sentence.partition("; ")
    if _is_api(request):
        return JSONResponse(error_body(code, message, cure or None), status, headers)
    return error_page(request, status, message, cure)


def _is_api(request: Request) -> bool:
    return request.url.path.startswith("/api")
