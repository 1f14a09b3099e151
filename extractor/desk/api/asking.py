"""Who asks, what they may, and how a route refuses: what every module of the API has in common."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any

import anyio.from_thread
from fastapi import Depends, HTTPException, Path, Request
from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from extractor.desk.drafting import Drafting
from extractor.desk.people import Person, Right
from extractor.desk.security import Settings
from extractor.desk.store import Store
from extractor.lexicon import Lexicon


@dataclass
class Desk:
    """What a running desk has at hand. ``lexicon``: the shipped one with the site's own."""

    store: Store
    settings: Settings
    drafting: Drafting
    lexicon: Lexicon


def desk(request: Request) -> Desk:
    """The desk that answers."""
    found: Desk = request.app.state.desk
    return found


OfDesk = Annotated[Desk, Depends(desk)]


class Needs:
    """A dependency of a route: somebody is signed in and has this right. 401 and 403 where not."""

    def __init__(self, right: Right) -> None:
        self.right = right

    def __call__(self, request: Request) -> Person:
        person = who_asks(request)
        if person is None:
            raise HTTPException(401, "Nobody is signed in; sign in first.")
        if self.right not in person.rights:
            raise HTTPException(403, f"{person.name} has not the right to {self.right}; ask whoever keeps the people.")
        return person


def who_asks(request: Request) -> Person | None:
    """Whose session the request's cookie belongs to."""
    at = desk(request)
    token = request.cookies.get(at.settings.cookie)
    return at.store.session(token) if token else None


Reader = Annotated[Person, Depends(Needs("read"))]
Editor = Annotated[Person, Depends(Needs("edit"))]
Signer = Annotated[Person, Depends(Needs("sign"))]
Exporter = Annotated[Person, Depends(Needs("export"))]
Auditor = Annotated[Person, Depends(Needs("audit"))]
KeeperOfPeople = Annotated[Person, Depends(Needs("people"))]
KeeperOfLexicons = Annotated[Person, Depends(Needs("lexicon"))]


# --- what is asked and answered


class Body(BaseModel):
    """A body of JSON; a field that is not known is refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def _line(text: str) -> str:
    if not text.strip() or not text.isprintable():
        raise ValueError("must be one line of text")
    return text.strip()


Line = Annotated[str, Field(min_length=1, max_length=300), AfterValidator(_line)]

CaseId = Annotated[int, Path(alias="case", ge=1, le=2**31 - 1, description="The number of the case.", examples=[1])]


class Fault(BaseModel):
    """What is wrong: a code for programs, a sentence for people, and what helps."""

    code: str = Field(examples=["missing"])
    message: str = Field(examples=["case 7: there is no such case"])
    cure: str | None = Field(None, examples=["reload the page"])


class Failure(BaseModel):
    """The body of every answer that is no success."""

    error: Fault


def _response(text: str, model: type[BaseModel] = Failure) -> dict[str, Any]:
    return {"description": text, "model": model}


#: What any route may answer.
FAILURES: dict[int | str, dict[str, Any]] = {
    400: _response("The request cannot be read."),
    401: _response("Nobody is signed in."),
    403: _response("The person has not the right, or another site asked."),
    404: _response("There is no such case, file, person or thing."),
    409: _response("Not as things stand: somebody changed the same meanwhile, or the case is signed."),
    413: _response("Too large."),
    421: _response("The desk is not known by the name it was asked by."),
    422: _response("What was sent cannot be used; the sentence tells what and the cure."),
    429: _response("Too many sign-ins failed; Retry-After tells how long to wait, in seconds."),
    503: _response("The store cannot be reached or written; nothing was changed."),
}


def incoming(request: Request) -> Iterator[bytes]:
    """The body of a request in pieces, as they come, for a route that runs in a thread. Nothing is gathered."""
    stream = request.stream().__aiter__()

    async def following() -> bytes | None:
        return await anext(stream, None)

    while (piece := anyio.from_thread.run(following)) is not None:
        yield piece
