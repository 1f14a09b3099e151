"""Who saw and did what: lines that are only ever added."""

import csv
import io
from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy import Connection, insert, select

from extractor.desk.database import Database, stamp
from extractor.desk.rows import LogRow, RefusedError
from extractor.desk.tables import access_log

HEADER = ("at", "who", "what", "case", "why")


class AccessLog(Database):
    """The part of a store that keeps the log."""

    def note_access(self, who: str, what: str, case: int | None = None, why: str = "") -> None:
        """One line more, on the disk when this returns."""
        at = self.now()
        self.write(lambda connection: note(connection, at, who, what, case, why))

    def access_log(self, since: str | None = None, until: str | None = None, case: int | None = None) -> list[LogRow]:
        """The lines from ``since`` on and before ``until`` (ISO 8601, UTC where it has no zone), of one case; None: of
        all. In order.

        RefusedError where one is no date.
        """
        rows = select(access_log).order_by(access_log.c.id)
        if since is not None:
            rows = rows.where(access_log.c.at >= _time(since))
        if until is not None:
            rows = rows.where(access_log.c.at < _time(until))
        if case is not None:
            rows = rows.where(access_log.c.case_id == case)
        with self.read() as connection:
            return [LogRow(row.at, row.who, row.what, row.case_id, row.why) for row in connection.execute(rows)]


def note(connection: Connection, at: str, who: str, what: str, case: int | None = None, why: str = "") -> None:
    """One line more, in the transaction of what it tells of."""
    told = {"who": _printable(who), "what": _printable(what), "why": _printable(why)}
    connection.execute(insert(access_log).values(at=at, case_id=case, **told))


def _printable(text: str) -> str:
    return "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in text)


def _time(text: str) -> str:
    try:
        time = datetime.fromisoformat(text)
    except ValueError as error:
        raise RefusedError(f"{_printable(text)}: is no date; write 2026-11-26 or 2026-11-26T09:30:00+01:00") from error
    return stamp(time if time.tzinfo else time.replace(tzinfo=UTC))


def as_csv(rows: Sequence[LogRow]) -> str:
    """Rows of the log -> a table with a header. A spreadsheet takes none of its cells for a formula."""
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\n")
    writer.writerow(HEADER)
    for row in rows:
        cells = (row.at, row.who, row.what, "" if row.case is None else str(row.case), row.why)
        writer.writerow(f"'{cell}" if cell[:1] in tuple("=+-@\t\r") else cell for cell in cells)
    return table.getvalue()
