"""Who saw and did what: lines that are only ever added."""

import csv
import io
from collections.abc import Sequence

from sqlalchemy import Connection, insert, select

from extractor.desk.database import Database
from extractor.desk.rows import LogRow
from extractor.desk.tables import access_log

HEADER = ("at", "who", "what", "case", "why")


class AccessLog(Database):
    """The part of a store that keeps the log."""

    def note_access(self, who: str, what: str, case: int | None = None, why: str = "") -> None:
        """One line more, on the disk when this returns."""
        at = self.now()
        self.write(lambda connection: note(connection, at, who, what, case, why))

    def access_log(self, since: str | None = None, until: str | None = None) -> list[LogRow]:
        """The lines from ``since`` on and before ``until`` (ISO 8601; None: all), oldest first."""
        rows = select(access_log).order_by(access_log.c.id)
        if since is not None:
            rows = rows.where(access_log.c.at >= since)
        if until is not None:
            rows = rows.where(access_log.c.at < until)
        with self.read() as connection:
            return [LogRow(row.at, row.who, row.what, row.case_id, row.why) for row in connection.execute(rows)]


def note(connection: Connection, at: str, who: str, what: str, case: int | None = None, why: str = "") -> None:
    """One line more, in the transaction of what it tells of."""
    connection.execute(insert(access_log).values(at=at, who=who, what=what, case_id=case, why=why))


def as_csv(rows: Sequence[LogRow]) -> str:
    """Rows of the log -> a table with a header. A spreadsheet takes none of its cells for a formula."""
    table = io.StringIO()
    writer = csv.writer(table, lineterminator="\n")
    writer.writerow(HEADER)
    for row in rows:
        cells = (row.at, row.who, row.what, "" if row.case is None else str(row.case), row.why)
        writer.writerow(f"'{cell}" if cell[:1] in tuple("=+-@\t\r") else cell for cell in cells)
    return table.getvalue()
