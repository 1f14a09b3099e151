"""Cases and their files: what there is, what comes in, what is drafted."""

from typing import Annotated, Literal

from fastapi import APIRouter, Header, Path, Request, status
from pydantic import BaseModel, Field

from extractor.desk.api.asking import Body, CaseId, Editor, Line, OfDesk, Reader, incoming
from extractor.desk.rows import CaseRow, FileKind, FileRow, State

router = APIRouter(tags=["cases"])

FileName = Annotated[str, Path(alias="name", description="What its owner calls it.", examples=["note-1.m4a"])]


class FileAnswer(BaseModel):
    """A file of a case. ``size`` in bytes."""

    name: str = Field(examples=["note-1.m4a"])
    size: int
    kind: FileKind
    sha256: str

    @classmethod
    def of(cls, row: FileRow) -> "FileAnswer":
        return cls(name=row.name, size=row.size, kind=row.kind, sha256=row.sha256)


class Progress(BaseModel):
    """How far the listening is, in seconds of sound."""

    done_s: float
    total_s: float


class CaseAnswer(BaseModel):
    """A case as a list shows it. ``waits``: points that nobody looked at yet; ``head``: the number of its revisions."""

    id: int
    title: str = Field(examples=["Angioplasty, left superficial femoral artery"])
    state: State
    files: list[FileAnswer]
    progress: Progress | None
    error: str | None = Field(description="Why it could not be drafted, where it could not.")
    waits: int
    events: int
    head: int
    created_at: str
    created_by: str
    updated_at: str
    signed_by: str | None

    @classmethod
    def of(cls, row: CaseRow) -> "CaseAnswer":
        names = ("id", "title", "state", "error", "waits", "events", "head", "created_at", "created_by", "updated_at")
        return cls(
            **{name: getattr(row, name) for name in names},
            files=[FileAnswer.of(file) for file in row.files],
            progress=Progress(done_s=row.progress[0], total_s=row.progress[1]) if row.progress else None,
            signed_by=row.signed_by,
        )


class NewCase(Body):
    """A case before its recordings come."""

    title: Line = Field("Untitled case", examples=["Angioplasty, left superficial femoral artery"])


class NewCaseAnswer(BaseModel):
    """The number of the new case."""

    id: int


class CaseChange(Body):
    """Another title, another order of the recordings, or both."""

    title: Line | None = None
    order: list[str] | None = Field(None, description="Every recording of the case by name, in order.")


class Why(Body):
    """A reason, which is kept."""

    why: Line = Field(examples=["recorded twice"])


@router.get("/cases", summary="Every case, the newest first")
def list_cases(at: OfDesk, _: Reader) -> list[CaseAnswer]:
    return [CaseAnswer.of(row) for row in at.store.cases()]


@router.post("/cases", status_code=status.HTTP_201_CREATED, summary="Make a case")
def make_case(at: OfDesk, person: Editor, new: NewCase | None = None) -> NewCaseAnswer:
    return NewCaseAnswer(id=at.store.new_case((new or NewCase()).title, person.name))


@router.get("/cases/{case}", summary="One case")
def read_case(at: OfDesk, _: Reader, case: CaseId) -> CaseAnswer:
    return CaseAnswer.of(at.store.case(case))


@router.patch("/cases/{case}", summary="Rename a case, or put its recordings in order")
def change_case(at: OfDesk, person: Editor, case: CaseId, change: CaseChange) -> CaseAnswer:
    if change.title is not None:
        at.store.rename_case(case, change.title, person.name)
    if change.order is not None:
        at.store.order_files(case, change.order, person.name)
    return CaseAnswer.of(at.store.case(case))


@router.delete("/cases/{case}", status_code=status.HTTP_204_NO_CONTENT, summary="Take a case out of the list")
def remove_case(at: OfDesk, person: Editor, case: CaseId, why: Why) -> None:
    """It is hidden, never deleted: the store keeps who took it away, when and why."""
    at.store.remove_case(case, person.name, why.why)


@router.put(
    "/cases/{case}/files/{name}",
    status_code=status.HTTP_201_CREATED,
    summary="Add a recording, a transcript or a pressure log",
    openapi_extra={
        "requestBody": {
            "required": True,
            "description": "The file's bytes as they are.",
            "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
        }
    },
)
def add_file(
    at: OfDesk,
    person: Editor,
    case: CaseId,
    name: FileName,
    request: Request,
    kind: Annotated[Literal["recording", "log"], Header(alias="X-Kind", description="What it is.")] = "recording",
) -> FileAnswer:
    """It is there, whole, when this answers; an upload that breaks off or is too large leaves nothing."""
    limit = at.settings.largest_upload
    return FileAnswer.of(at.store.add_file(case, name, incoming(request), limit, kind=kind, by=person.name))


@router.delete(
    "/cases/{case}/files/{name}", status_code=status.HTTP_204_NO_CONTENT, summary="Take a file out of a case"
)
def drop_file(at: OfDesk, person: Editor, case: CaseId, name: FileName) -> None:
    at.store.drop_file(case, name, person.name)


@router.post("/cases/{case}/draft", status_code=status.HTTP_202_ACCEPTED, summary="Have a case drafted, or tried again")
def draft_case(at: OfDesk, person: Editor, case: CaseId) -> CaseAnswer:
    """It waits its turn and is drafted in the background; the case tells how far it is."""
    at.store.queue_draft(case, person.name)
    at.drafting.wake()
    return CaseAnswer.of(at.store.case(case))
