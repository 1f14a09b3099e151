"""Cases, their files, and what is told of them beside their timeline. What is taken away is hidden, never deleted."""

import json
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Connection, Row, Select, func, insert, select, update

from extractor.desk.access_log import AccessLog, note
from extractor.desk.media import Media
from extractor.desk.rows import CaseRow, FileKind, FileRow, MissingError, RefusedError, State
from extractor.desk.tables import cases, files, particulars

#: The states in which recordings come and go: nothing was drafted from them yet.
BEFORE_DRAFT = frozenset({"waiting", "failed"})

#: The largest number a database takes for a case or a revision.
LARGEST = 2**31 - 1

_SHOWN = select(cases).where(cases.c.hidden_at.is_(None))


class Cases(AccessLog):
    """The part of a store that keeps cases and files."""

    media: Media

    def cases(self) -> list[CaseRow]:
        """Every case that is not hidden, the newest first."""
        with self.read() as connection:
            rows = connection.execute(_SHOWN.order_by(cases.c.id.desc())).all()
            held = connection.execute(_files().where(files.c.hidden_at.is_(None))).all()
        of: dict[int, list[FileRow]] = {}
        for file in held:
            of.setdefault(file.case_id, []).append(self._file(file))
        return [_case(row, of.get(row.id, ())) for row in rows]

    def case(self, case: int) -> CaseRow:
        """One case. MissingError where there is none, or it was taken away."""
        with self.read() as connection:
            row = shown(connection, case)
            held = connection.execute(_files().where(files.c.case_id == case, files.c.hidden_at.is_(None))).all()
        return _case(row, [self._file(file) for file in held])

    def new_case(self, title: str, by: str) -> int:
        """A new case without files -> its number."""
        title, at = one_line(title, "title"), self.now()

        def act(connection: Connection) -> int:
            row = {"title": title, "state": "waiting", "created_at": at, "created_by": by, "updated_at": at}
            new = connection.execute(insert(cases).values(**row, head=0, head_sha256="", waits=0, events=0))
            number = int(new.inserted_primary_key[0])  # type: ignore[index]
            note(connection, at, by, "made the case", number)
            return number

        return self.write(act)

    def rename_case(self, case: int, title: str, by: str) -> None:
        """Another title."""
        title = one_line(title, "title")

        def act(connection: Connection) -> None:
            before = shown(connection, case, for_change=True).title
            self.change_case(connection, case, title=title)
            note(connection, self.now(), by, f"renamed the case, before: {before}", case)

        self.write(act)

    def remove_case(self, case: int, by: str, why: str) -> None:
        """Hides a case from lists; it stays in the store with who, when and why."""
        why = one_line(why, "reason")

        def act(connection: Connection) -> None:
            shown(connection, case, for_change=True)
            self.change_case(connection, case, hidden_at=self.now(), hidden_by=by, hidden_why=why)
            note(connection, self.now(), by, "took the case away", case, why)

        self.write(act)

    def add_file(
        self,
        case: int,
        name: str,
        stream: BinaryIO | Iterable[bytes],
        limit: int | None = None,
        *,
        kind: FileKind = "recording",
        by: str = "",
    ) -> FileRow:
        """A recording or log, from something to read or in pieces -> its row, when all of it is on the disk.

        The same file again changes nothing. TooLargeError beyond ``limit`` bytes; RefusedError where another file of
        the case has the name, or recordings of the case are drafted already.
        """
        self._may_take(case, name, kind)
        sha256, size = self.media.add(stream, limit)
        return self.attach(case, name, sha256, size, kind=kind, by=by)

    def attach(
        self, case: int, name: str, sha256: str, size: int, *, kind: FileKind = "recording", by: str = ""
    ) -> FileRow:
        """As ``add_file``, for bytes that lie in the media folder already."""
        name = file_name(name)

        def act(connection: Connection) -> FileRow:
            row = shown(connection, case, for_change=True)
            held = connection.execute(_files().where(files.c.case_id == case, files.c.hidden_at.is_(None))).all()
            if same := [file for file in held if file.name == name]:
                if same[0].sha256 == sha256:
                    return self._file(same[0])
                raise RefusedError(f"{name}: the case has another file of this name; take that away, or rename this")
            _require_open_for(row, kind)
            position = connection.execute(select(func.max(files.c.position)).where(files.c.case_id == case)).scalar()
            file = FileRow(name, kind, size, sha256, self.media.path(sha256), self.now(), by)
            told = {"case_id": case, "name": name, "kind": kind, "position": (position or 0) + 1, "sha256": sha256}
            told |= {"size": size, "added_at": file.added_at, "added_by": by}
            connection.execute(insert(files).values(**told))
            self.change_case(connection, case)
            note(connection, self.now(), by, f"brought the {kind} {name}", case)
            return file

        return self.write(act)

    def order_files(self, case: int, names: Sequence[str], by: str = "") -> None:
        """The recordings of a case in another order: every one of their names, once."""

        def act(connection: Connection) -> None:
            _require_open_for(shown(connection, case, for_change=True), "recording")
            held = connection.execute(_files().where(files.c.case_id == case, files.c.hidden_at.is_(None))).all()
            of_name = {file.name: file.id for file in held if file.kind == "recording"}
            if sorted(names) != sorted(of_name):
                raise RefusedError("the order must name every recording of the case once; reload the page")
            last = max((file.position for file in held), default=0)
            for position, name in enumerate(names, last + 1):
                connection.execute(update(files).where(files.c.id == of_name[name]).values(position=position))
            self.change_case(connection, case)
            note(connection, self.now(), by, f"put the recordings in order: {', '.join(names)}", case)

        self.write(act)

    def drop_file(self, case: int, name: str, by: str, why: str = "") -> None:
        """Takes a file out of a case; its bytes and its row stay, hidden."""

        def act(connection: Connection) -> None:
            row = shown(connection, case, for_change=True)
            found = files.c.case_id == case, files.c.name == name, files.c.hidden_at.is_(None)
            file = connection.execute(select(files).where(*found)).one_or_none()
            if file is None:
                raise MissingError(f"{name}: the case has no such file")
            _require_open_for(row, file.kind)
            connection.execute(update(files).where(*found).values(hidden_at=self.now(), hidden_by=by))
            self.change_case(connection, case)
            note(connection, self.now(), by, f"took the file {name} out", case, why)

        self.write(act)

    def logs(self, case: int) -> tuple[FileRow, ...]:
        """The pressure logs of a case."""
        return self.case(case).files_of("log")

    def particulars(self, case: int) -> dict[str, Any]:
        """What the voice does not tell of the case, as it was last set; empty before."""
        return next(iter(self.particulars_kept(case)), {})

    def particulars_kept(self, case: int) -> list[dict[str, Any]]:
        """What the voice does not tell of the case, each time it was set, the newest first."""
        with self.read() as connection:
            shown(connection, case)
            return told_of(connection, case)

    def set_particulars(self, case: int, told: Mapping[str, Any], by: str) -> None:
        """All that the voice does not tell of the case, as JSON holds it. What stood before is kept.

        RefusedError where the case is signed.
        """
        text = json.dumps(told, ensure_ascii=True)

        def act(connection: Connection) -> None:
            if shown(connection, case, for_change=True).state == "signed":
                raise RefusedError("the case is signed, with these particulars; open an amendment first")
            last = connection.execute(
                select(func.max(particulars.c.number)).where(particulars.c.case_id == case)
            ).scalar()
            row = {"case_id": case, "number": (last or 0) + 1, "text": text, "set_at": self.now(), "set_by": by}
            connection.execute(insert(particulars).values(**row))
            self.change_case(connection, case)
            note(connection, self.now(), by, "set the particulars", case)

        self.write(act)

    def change_case(self, connection: Connection, case: int, **values: Any) -> None:
        """In a transaction: other values for the row of a case, and the time."""
        connection.execute(update(cases).where(cases.c.id == case).values(**values, updated_at=self.now()))

    def _may_take(self, case: int, name: str, kind: FileKind) -> None:
        """Asked before the bytes come; asked again when they are there."""
        file_name(name)
        if kind not in ("recording", "log"):
            raise RefusedError(f"{kind}: a file is a recording or a log")
        with self.read() as connection:
            _require_open_for(shown(connection, case), kind)

    def _file(self, row: Row[Any]) -> FileRow:
        return FileRow(
            row.name, row.kind, row.size, row.sha256, self.media.path(row.sha256), row.added_at, row.added_by
        )


def shown(connection: Connection, case: int, *, for_change: bool = False) -> Row[Any]:
    """The row of a case; ``for_change``: nobody else changes it before the transaction ends. MissingError."""
    found: Select[Any] = _SHOWN.where(cases.c.id == case)
    if for_change:
        found = found.with_for_update()
    row = connection.execute(found).one_or_none() if 0 < case <= LARGEST else None
    if row is None:
        raise MissingError(f"case {case}: there is no such case")
    return row


def told_of(connection: Connection, case: int) -> list[dict[str, Any]]:
    """The particulars of a case each time they were set, the newest first."""
    kept = select(particulars.c.text).where(particulars.c.case_id == case).order_by(particulars.c.number.desc())
    return [json.loads(text) for text in connection.execute(kept).scalars()]


def one_line(text: str, what: str, most: int = 300) -> str:
    """A text of people's -> the same without blanks around. RefusedError where it is no line of text."""
    text = unicodedata.normalize("NFC", text).strip()
    if not text or not text.isprintable() or len(text) > most:
        raise RefusedError(f"the {what} must be one line of text, of at most {most} letters")
    return text


def file_name(name: str) -> str:
    """What somebody calls a file -> the same. It names nothing on the disk; still it is no path. RefusedError."""
    name = one_line(name, "name of a file", 200)
    if name != Path(name).name or "\\" in name or name in (".", ".."):
        raise RefusedError("the name of a file holds no folders")
    return name


def _files() -> Select[Any]:
    return select(files).order_by(files.c.case_id, files.c.position)


def _require_open_for(row: Row[Any], kind: str) -> None:
    """Recordings make the draft; logs are laid beside it at any time but after it was signed."""
    if kind == "recording" and row.state not in BEFORE_DRAFT:
        raise RefusedError("the recordings of this case are drafted already; make a new case for others")
    if row.state == "signed":
        raise RefusedError("the case is signed; open an amendment first")


def _case(row: Row[Any], held: Sequence[FileRow]) -> CaseRow:
    state: State = row.state
    progress = (row.done_s or 0.0, row.total_s or 0.0) if state == "drafting" else None
    return CaseRow(
        id=row.id,
        title=row.title,
        state=state,
        files=tuple(held),
        progress=progress,
        error=row.error,
        waits=row.waits,
        events=row.events,
        head=row.head,
        created_at=row.created_at,
        created_by=row.created_by,
        updated_at=row.updated_at,
        signed_by=row.signed_by,
    )
