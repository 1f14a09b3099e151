"""Who is signed in, who there is, and who saw and did what."""

from datetime import UTC, datetime
from typing import Annotated, Literal

from fastapi import APIRouter, Header, HTTPException, Path, Query, Request, Response, status
from pydantic import BaseModel, Field

from extractor.desk.access_log import as_csv
from extractor.desk.api.asking import Auditor, Body, Desk, KeeperOfPeople, Line, OfDesk, Reader
from extractor.desk.database import stamp
from extractor.desk.people import ROLES, SESSION, Person, Right, Role
from extractor.desk.rows import MissingError, RefusedError

router = APIRouter(tags=["people"])

#: Who the local user is until they say their name.
NAMELESS = "operator"

Password = Annotated[str, Field(min_length=1, max_length=200)]
Name = Annotated[str, Path(alias="name", description="The name of a person.", examples=["A. Operator"])]
Time = Annotated[datetime | None, Query(description="ISO 8601; without a zone it is UTC.")]


class Me(BaseModel):
    """Who is signed in. ``local``: known by sitting at the machine; ``named``: they have told their name."""

    name: str
    roles: list[Role]
    rights: list[Right]
    local: bool
    named: bool

    @classmethod
    def of(cls, at: Desk, person: Person) -> "Me":
        local = at.settings.is_local and not person.has_password
        return cls(
            name=person.name,
            roles=list(person.roles),
            rights=sorted(person.rights),
            local=local,
            named=not local or person.name != NAMELESS,
        )


class SignIn(Body):
    """A name and its password."""

    name: Line = Field(examples=["A. Operator"])
    password: Password


class NewName(Body):
    """What the local user is called; their changes and signatures carry it."""

    name: Line = Field(examples=["A. Operator"])


@router.get("/me", summary="Who is signed in, and what they may")
def read_me(at: OfDesk, person: Reader) -> Me:
    return Me.of(at, person)


@router.put("/me", summary="Say your name: for who sits at the machine itself")
def name_me(at: OfDesk, person: Reader, new: NewName, request: Request, response: Response) -> Me:
    """What was done before stays under the name it was done under."""
    if not at.settings.is_local or person.has_password:
        raise RefusedError("a name that has a password is kept by whoever keeps the people; ask them")
    if new.name != person.name:
        named = _local_person(at, new.name)
        at.store.disable(person.name, named.name)
        open_session(at, request, response, at.store.open_session(named.name))
        person = named
    return Me.of(at, person)


@router.post("/session", summary="Sign in")
def sign_in(at: OfDesk, who: SignIn, request: Request, response: Response) -> Me:
    """Sets a cookie that scripts of a page cannot read. After some failures the next sign-in has to wait."""
    token = at.store.sign_in(who.name, who.password, request.client.host if request.client else "")
    open_session(at, request, response, token)
    return Me.of(at, at.store.person(who.name))


@router.delete("/session", status_code=status.HTTP_204_NO_CONTENT, summary="Sign out")
def sign_out(at: OfDesk, _: Reader, request: Request, response: Response) -> None:
    at.store.sign_out(request.cookies[at.settings.cookie])
    response.delete_cookie(at.settings.cookie, httponly=True, samesite="strict")


# --- who there is


class PersonAnswer(BaseModel):
    """Somebody the desk knows."""

    name: str
    roles: list[Role]
    disabled: bool
    has_password: bool
    added_at: str

    @classmethod
    def of(cls, person: Person) -> "PersonAnswer":
        return cls(
            name=person.name,
            roles=list(person.roles),
            disabled=person.disabled,
            has_password=person.has_password,
            added_at=person.added_at,
        )


class NewPerson(Body):
    """Somebody new. Without a password nobody signs in under the name."""

    name: Line = Field(examples=["B. Auditor"])
    roles: list[Role] = Field(min_length=1)
    password: Password | None = None


class PersonChange(Body):
    """What becomes another: roles, password, whether they may come in."""

    roles: list[Role] | None = Field(None, min_length=1)
    password: Password | None = None
    disabled: bool | None = None


@router.get("/people", summary="Everybody the desk knows")
def list_people(at: OfDesk, _: KeeperOfPeople) -> list[PersonAnswer]:
    return [PersonAnswer.of(person) for person in at.store.people()]


@router.post("/people", status_code=status.HTTP_201_CREATED, summary="Add somebody")
def add_person(at: OfDesk, keeper: KeeperOfPeople, new: NewPerson) -> PersonAnswer:
    return PersonAnswer.of(at.store.add_person(new.name, new.roles, new.password, keeper.name))


@router.patch("/people/{name}", summary="Other roles, another password, out or in again")
def change_person(at: OfDesk, keeper: KeeperOfPeople, name: Name, change: PersonChange) -> PersonAnswer:
    """There is always somebody left who may look after people."""
    if change.roles is not None:
        at.store.set_roles(name, change.roles, keeper.name)
    if change.password is not None:
        at.store.set_password(name, change.password, keeper.name)
    if change.disabled is not None:
        at.store.disable(name, keeper.name, disabled=change.disabled)
    return PersonAnswer.of(at.store.person(name))


# --- who saw and did what


class LogAnswer(BaseModel):
    """One line of the log."""

    at: str
    who: str
    what: str
    case: int | None
    why: str


@router.get(
    "/log",
    summary="Who saw and did what",
    responses={200: {"content": {"text/csv": {}}, "description": "Lines, the oldest first; as CSV where asked for."}},
)
def read_log(
    at: OfDesk,
    auditor: Auditor,
    since: Time = None,
    until: Time = None,
    form: Annotated[Literal["json", "csv"] | None, Query(description="As Accept: text/csv, for a link.")] = None,
    accept: Annotated[str, Header()] = "",
) -> list[LogAnswer]:
    rows = at.store.access_log(_stamp(since), _stamp(until))
    if form == "csv" or (form is None and accept.startswith("text/csv")):
        at.store.note_access(auditor.name, "exported the log")
        headers = {"Content-Disposition": 'attachment; filename="desk-log.csv"'}
        return Response(as_csv(rows), media_type="text/csv; charset=utf-8", headers=headers)  # type: ignore[return-value]
    return [LogAnswer(at=row.at, who=row.who, what=row.what, case=row.case, why=row.why) for row in rows]


# --- what the pages share


def open_session(at: Desk, request: Request, response: Response, token: str) -> None:
    """Has the browser carry a session: no script reads it, no other site sends it."""
    # At the machine itself it outlives the browser: the address that gave it opens nothing a second time.
    lasts_s = round(SESSION.total_seconds()) if at.settings.is_local else None
    secure = request.url.scheme == "https"
    response.set_cookie(at.settings.cookie, token, lasts_s, httponly=True, samesite="strict", secure=secure, path="/")


def local_session(at: Desk) -> str:
    """A session for who sits at the machine: the one person of all roles without a password, made at first."""
    local = [each for each in at.store.people() if not each.disabled and not each.has_password and each.roles == ROLES]
    return at.store.open_session((local[0] if local else _local_person(at, NAMELESS)).name)


def _local_person(at: Desk, name: str) -> Person:
    """Somebody of all roles under this name; RefusedError where it is another's, who has a password."""
    try:
        known = at.store.person(name)
    except MissingError:
        return at.store.add_person(name, ROLES)
    if known.has_password:
        raise RefusedError(f"{known.name}: somebody of this name signs in with a password; choose another")
    at.store.set_roles(name, ROLES)
    at.store.disable(name, disabled=False)
    return at.store.person(name)


def _stamp(time: datetime | None) -> str | None:
    try:
        return None if time is None else stamp(time if time.tzinfo else time.replace(tzinfo=UTC))
    except OverflowError as error:
        raise HTTPException(422, "The time lies outside what a calendar holds.") from error
