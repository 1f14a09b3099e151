"""What a store hands out, and how it refuses. Times are ISO 8601 in UTC."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from extractor.errors import StoreError
from extractor.model import Change, Revision, Timeline

#: waiting for its files, queued and drafting by ``jobs``, failed; a draft, signed, or being amended.
State = Literal["waiting", "queued", "drafting", "failed", "draft", "signed", "amending"]
FileKind = Literal["recording", "log"]


@dataclass(frozen=True)
class FileRow:
    """A file of a case: a recording or a pressure log, and where its bytes lie. ``size`` in bytes."""

    name: str
    kind: FileKind
    size: int
    sha256: str
    path: Path
    added_at: str
    added_by: str


@dataclass(frozen=True)
class CaseRow:
    """A case as a list shows it. ``progress``: seconds of sound done and in all, while it is drafted; ``waits``: how
    many points nobody looked at yet; ``head``: the number of its revisions.
    """

    id: int
    title: str
    state: State
    files: tuple[FileRow, ...]
    progress: tuple[float, float] | None
    error: str | None
    waits: int
    events: int
    head: int
    created_at: str
    created_by: str
    updated_at: str
    signed_by: str | None

    def files_of(self, kind: FileKind) -> tuple[FileRow, ...]:
        """Its recordings or its logs, in order."""
        return tuple(file for file in self.files if file.kind == kind)


@dataclass(frozen=True)
class Revised:
    """A step that is kept: its revision, those of others since ``base``, and the timeline after it."""

    revision: Revision
    since: tuple[Revision, ...]
    head: int
    timeline: Timeline


@dataclass(frozen=True)
class LogRow:
    """One line of the access log."""

    at: str
    who: str
    what: str
    case: int | None
    why: str


@dataclass(frozen=True)
class CorrectedTerm:
    """What a person at the desk read for words of a case: the change of ``corrections``, and in which revision."""

    case: int
    revision: int
    at: str
    by: str
    change: Change


@dataclass(frozen=True)
class Whole:
    """What was found whole: how many of each."""

    cases: int
    revisions: int
    files: int
    signatures: int

    def __str__(self) -> str:
        return f"{self.cases} cases, {self.revisions} revisions, {self.signatures} signatures, {self.files} files."


class MissingError(StoreError):
    """There is no such case, file or person (or it was taken away)."""


class RefusedError(StoreError):
    """What was asked cannot be done as things stand: a signed case, a name that is taken, a text that is none."""


class Conflict(StoreError):  # noqa: N818 - it is no fault of anybody's
    """Somebody changed the same meanwhile. Nothing was kept; ``mine`` is what was asked, ``theirs`` what stands."""

    def __init__(self, theirs: Sequence[Revision], mine: Sequence[Change], head: int) -> None:
        self.theirs, self.mine, self.head = tuple(theirs), tuple(mine), head
        who = ", ".join(dict.fromkeys(revision.by for revision in theirs))
        super().__init__(f"{who} changed the same meanwhile; look at both and choose")
