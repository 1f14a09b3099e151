"""A table of any of the four forms -> the cells of the columns that matter, with the row each stands in.

CSV and TSV (also with semicolons, decimal commas and lines of remarks above the header), XLSX (its first sheet) and
Parquet. What form it is tells its content, not its name. Rows are numbered as a spreadsheet numbers them.
"""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from extractor.errors import InputError

#: Names in a row -> role to place of each wanted column; None where the row is no header, InputError where a bad one.
Choose = Callable[[Sequence[str]], dict[str, int] | None]

FORMS = "CSV, TSV, XLSX or Parquet"
#: The header stands within so many rows.
_HEADER_WITHIN = 100
_LARGEST_BYTES = 512_000_000


class Wanted(NamedTuple):
    """What a table is read for, in the words of its messages: ``what`` it is, which ``columns`` a header must name, and
    the ``cure`` where none does.
    """

    what: str
    columns: str
    cure: str


@dataclass(frozen=True, eq=False)
class Table:
    """The wanted columns by role, the header's names by role, and the row in the file that the first cells stand in."""

    path: Path
    cells: dict[str, list[Any]]
    names: dict[str, str]
    first_row: int
    decimal_comma: bool = False

    def place(self, role: str, index: int) -> str:
        """Where a cell stands, for a message."""
        return f"{self.path}, row {self.first_row + index}, column {self.names[role]!r}"


def read_table(path: Path, choose: Choose, wanted: Wanted) -> Table:
    """A file -> its Table. InputError names the file, the row and the cure."""
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise InputError(
                f"{path}: larger than {_LARGEST_BYTES // 1_000_000} MB; give the {wanted.what} of one case or site"
            )
        with path.open("rb") as file:
            head = file.read(8)
        if head.startswith(b"PAR1"):
            return _read_parquet(path, choose, wanted)
        if head.startswith(b"PK\x03\x04"):
            return _read_rows(path, _xlsx_rows(path), choose, wanted)
        if head.startswith(b"\xd0\xcf\x11\xe0"):
            raise InputError(f"{path}: an old spreadsheet (XLS); save it as XLSX or CSV")
        text = _decoded(path, wanted)
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error}); give a {wanted.what}") from error
    delimiter = _delimiter(text)
    # A decimal comma cannot be where commas part the columns.
    return _read_rows(
        path, csv.reader(io.StringIO(text), delimiter=delimiter), choose, wanted, decimal_comma=delimiter != ","
    )


def _decoded(path: Path, wanted: Wanted) -> str:
    raw = path.read_bytes()
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as error:
        row = raw[: error.start].count(b"\n") + 1
        raise InputError(f"{path}, row {row}: neither text in UTF-8 nor a known form; give {FORMS}") from error
    if "\0" in text[:4096]:
        raise InputError(f"{path}: not a table; give a {wanted.what} as {FORMS}")
    if not text.strip():
        raise InputError(f"{path}: empty; give a {wanted.what} as {FORMS}")
    return text


def _delimiter(text: str) -> str:
    """What parts the columns of most of the first lines."""
    lines = text[:20_000].splitlines()[:_HEADER_WITHIN]
    return max("\t;,", key=lambda sign: sum(sign in line for line in lines))


def _read_rows(
    path: Path, rows: Iterable[Sequence[Any]], choose: Choose, wanted: Wanted, *, decimal_comma: bool = False
) -> Table:
    """Rows of cells, remarks before the header among them -> Table."""
    seen: list[str] = []
    numbered: Iterator[tuple[int, Sequence[Any]]] = enumerate(rows, 1)
    try:
        for number, row in numbered:
            names = ["" if cell is None else str(cell).strip() for cell in row]
            places = choose(names) if number <= _HEADER_WITHIN else None
            if places:
                return _collect(path, numbered, places, names, number + 1, decimal_comma)
            seen += [", ".join(filter(None, names))] if any(names) and not seen else []
            if number > _HEADER_WITHIN:
                break
    except csv.Error as error:
        raise InputError(f"{path}: not a table ({error}); give a {wanted.what} as {FORMS}") from error
    begins = f", it begins “{seen[0][:60]}”" if seen else ""
    raise InputError(f"{path}: no row of it names {wanted.columns}{begins}; {wanted.cure}")


def _collect(
    path: Path,
    numbered: Iterator[tuple[int, Sequence[Any]]],
    wanted: dict[str, int],
    names: list[str],
    first_row: int,
    decimal_comma: bool,
) -> Table:
    columns: dict[str, list[Any]] = {role: [] for role in wanted}
    places = [(columns[role], index) for role, index in wanted.items()]
    width = len(names)
    for number, row in numbered:
        if len(row) > width and any(cell not in (None, "") for cell in row[width:]):
            raise InputError(
                f"{path}, row {number}: {len(row)} cells, and the header has {width} columns; "
                f"put the row right, decimal commas need semicolons between the columns"
            )
        for column, index in places:
            column.append(row[index] if index < len(row) else None)
    return Table(path, columns, {role: names[index] for role, index in wanted.items()}, first_row, decimal_comma)


def _xlsx_rows(path: Path) -> Iterator[tuple[Any, ...]]:
    import warnings

    from openpyxl import load_workbook

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and printers: nothing of it reaches a cell
            # Its bytes, for by a path the reader would ask for a certain ending of the name.
            sheet = load_workbook(io.BytesIO(path.read_bytes()), read_only=True, data_only=True).worksheets[0]
            yield from sheet.iter_rows(values_only=True)
    # A damaged file ends in whatever error of the archive, the XML or the reader it happens to meet.
    except Exception as error:
        raise InputError(
            f"{path}: not a readable spreadsheet ({_first_line(error)}); save it as XLSX or CSV"
        ) from error


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0][:80]


def _read_parquet(path: Path, choose: Choose, wanted: Wanted) -> Table:
    from pyarrow import ArrowException, parquet

    try:
        # By place, not by name: two columns may share one.
        table = parquet.ParquetFile(path).read()
        names = [str(name) for name in table.schema.names]
        places = choose(names)
        columns = {role: table.column(index).to_pylist() for role, index in (places or {}).items()}
    except (ArrowException, OSError, ValueError) as error:
        raise InputError(f"{path}: not readable Parquet ({_first_line(error)}); write it again") from error
    if not places:
        raise InputError(f"{path}: its columns ({', '.join(names)[:200]}) do not name {wanted.columns}; {wanted.cure}")
    return Table(path, columns, {role: names[index] for role, index in places.items()}, 1)
