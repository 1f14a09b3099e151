"""Timeline -> its events as a table: CSV, XLSX, Parquet, JSON Lines, each with a data dictionary.

One row a value; an event without values has one row, a caution and a gap have one each. Every row tells whether it is
of a draft or a signed timeline. CSV is RFC 4180 in UTF-8 with a dictionary beside it (W3C "Model for Tabular Data and
Metadata on the Web", 5.3: FILE-metadata.json); JSON Lines has a JSON Schema beside it, XLSX a second sheet, Parquet its
fields' metadata.

**Text stays text.** Spreadsheet programs take a cell that begins with ``= + - @`` for a formula. In CSV such a text has
one ``'`` in front, as has one that begins with ``'``: take one away to have it as it was. In XLSX it is typed as text.
Control and direction characters are replaced by U+FFFD, but for JSON Lines, which can hold them inert.
"""

import csv
import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO, StringIO
from typing import Any

from extractor.handover import safety
from extractor.handover.packed import repack
from extractor.handover.wording import change_text, changed_by_hand, clock, flag_sentences, plain, settled
from extractor.model import Event, SignedTimeline, Timeline, Value
from extractor.units import figure

Row = dict[str, Any]


@dataclass(frozen=True)
class Column:
    """One column: its name, the type of its cells, and what it tells."""

    name: str
    type: type
    tells: str


COLUMNS = (
    Column("state", str, "draft or signed: a draft is no record"),
    Column("row", str, "what the row is: event, caution, gap or change"),
    Column("event", str, "the event's id in timeline.json; of a caution or change those it is of"),
    Column("kind", str, "access insert remove inflation stent embolise run drug measure finding closure total remark"),
    Column("status", str, "done planned considered quoted negated past: only done happened in this case"),
    Column("start_ms", int, "when it was said, milliseconds from the start of the case"),
    Column("end_ms", int, "when the last word of it was said, milliseconds from the start of the case"),
    Column("clock", str, "start_ms as hours, minutes and seconds from the start of the case"),
    Column("device", str, "what device, by the lexicon's name"),
    Column("drug", str, "what drug, by the lexicon's name"),
    Column("finding", str, "what was found, by the lexicon's name"),
    Column("site", str, "where in the body"),
    Column("side", str, "left, right or both"),
    Column("part", str, "which part of the site"),
    Column(
        "event_confidence", float, "how likely the event with its status is right, 0 to 1; fitted on invented cases"
    ),
    Column("event_review", bool, "whether the event asks for a look"),
    Column("event_flags", str, "why, as codes of timeline.json, parted by spaces"),
    Column("event_settled", str, "what became of it at sign-off: looked at, or left open and why"),
    Column("key", str, "which value: pressure, diameter, ..."),
    Column("value", float, "the figure in the unit spoken"),
    Column("unit", str, "UCUM code"),
    Column("shown", str, "the figure as people write it; (6 mm) was said earlier, 14 atm? asks for a look"),
    Column("confidence", float, "how likely the value is right, 0 to 1; fitted on invented cases"),
    Column("review", bool, "whether the value asks for a look"),
    Column("flags", str, "why, or how it came about, as codes of timeline.json, parted by spaces"),
    Column("settled", str, "what became of it at sign-off: looked at, or left open and why"),
    Column("alternatives", str, "what else it may be, with the logarithm of how much likelier"),
    Column("heard", str, "the words it was read from, as they were heard"),
    Column(
        "note",
        str,
        "why a value or event is marked, in words; what a caution, gap or change says",
    ),
    Column("signed_by", str, "who signed"),
    Column("signed_at", str, "when, ISO 8601"),
    Column("sha256", str, "of the timeline that was signed"),
    Column("amends", str, "the same of what it takes the place of, where it is an amendment"),
    Column("recording", str, "SHA-256 of the recording"),
    Column("notice", str, "what stands on everything made from a timeline"),
)


def rows(timeline: Timeline) -> list[Row]:
    """Timeline -> a row a value, in the order of the file; cells without anything are None. Columns as ``COLUMNS``."""
    signature = timeline.signature if isinstance(timeline, SignedTimeline) else None
    common = {
        "state": timeline.state,
        "signed_by": signature and signature.name,
        "signed_at": signature and signature.signed_at,
        "sha256": signature and signature.sha256,
        "amends": signature.earlier[-1].sha256 if signature and signature.earlier else None,
        "recording": timeline.recording.sha256,
        "notice": safety(timeline),
    }
    found: list[Row] = []
    for event in timeline.events:
        of_event = _event_cells(timeline, event)
        values = [_value_cells(timeline, event, key, value) for key, value in event.values.items()]
        found += [of_event | of_value for of_value in values or [{}]]
    for number, check in timeline.cautions.items():
        settlement = settled(timeline, f"check-{number}", check.severity == "review")
        found.append(
            {"row": "caution", "event": " ".join(check.events), "event_settled": settlement, "note": check.message}
        )
    for number, gap in enumerate(timeline.gaps, 1):
        times = {"start_ms": gap.start_ms, "end_ms": gap.end_ms, "clock": clock(gap.start_ms)}
        found.append({"row": "gap", "event_settled": settled(timeline, f"gap-{number}"), "note": gap.why, **times})
    for revision in changed_by_hand(timeline):
        paths = (each.at.split(".") for each in revision.changes)
        changed = dict.fromkeys(path[1] for path in paths if path[0] in ("events", "order"))
        found.append({"row": "change", "event": " ".join(changed), "note": change_text(revision)})
    blank = dict.fromkeys(column.name for column in COLUMNS)
    return [blank | common | {name: cell for name, cell in row.items() if cell != ""} for row in found]


def _event_cells(timeline: Timeline, event: Event) -> Row:
    site = event.site.model_dump() if event.site else {}
    return {
        "row": "event",
        "event": event.id,
        "kind": event.kind.value,
        "status": event.status.value,
        "start_ms": event.start_ms,
        "end_ms": event.end_ms,
        "clock": clock(event.start_ms),
        "device": event.device,
        "drug": event.drug,
        "finding": event.finding,
        "site": site.get("name"),
        "side": site.get("side"),
        "part": site.get("part"),
        "event_confidence": event.confidence,
        "event_review": event.review,
        "event_flags": " ".join(event.flags),
        "event_settled": settled(timeline, event.id, event.review),
        "note": " ".join(flag_sentences(event.flags)),
    }


def _value_cells(timeline: Timeline, event: Event, key: str, value: Value) -> Row:
    rivals = (
        f"{figure(rival.value, rival.unit or value.unit)}"
        + ("" if rival.log_ratio is None else f" ({rival.log_ratio:+.2f})")
        for rival in value.alternatives
    )
    shown = figure(value.value, value.unit)
    shown = f"({shown})" if "carried-over" in value.flags else shown
    return {
        "key": key,
        "value": value.value,
        "unit": value.unit,
        "shown": shown + ("?" if value.review else ""),
        "confidence": value.confidence,
        "review": value.review,
        "flags": " ".join(value.flags),
        "settled": settled(timeline, f"{event.id}.{key}", value.review),
        "alternatives": "; ".join(rivals),
        "heard": value.heard,
        "note": " ".join(flag_sentences((*event.flags, *value.flags))),
    }


# --- the formats


def write_csv(columns: Sequence[Column], found: Iterable[Row], title: str) -> dict[str, bytes]:
    """Rows -> CSV, and its dictionary beside it."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(column.name for column in columns)
    writer.writerows([_csv_cell(row[column.name]) for column in columns] for row in found)
    types = {str: "string", int: "integer", float: "double", bool: "boolean"}
    described = [
        {"name": each.name, "titles": each.name, "datatype": types[each.type], "dc:description": each.tells}
        for each in columns
    ]
    dictionary = {
        "@context": "http://www.w3.org/ns/csvw",
        "dc:title": title,
        "dialect": {"header": True, "encoding": "utf-8"},
        "tableSchema": {"columns": described},
    }
    return {"": text.getvalue().encode(), "-metadata.json": _json(dictionary)}


#: How a formula begins, in narrow and in wide letters, and the mark itself.
_FORMULA = tuple("=+-@＝＋－＠'")


def _csv_cell(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, int | float):
        return repr(cell).removesuffix(".0")
    text = plain(cell)
    return f"'{text}" if text.startswith(_FORMULA) else text


def write_jsonl(columns: Sequence[Column], found: Iterable[Row], title: str) -> dict[str, bytes]:
    """Rows -> JSON Lines, and a JSON Schema of a line beside it. All of it ASCII."""
    lines = "".join(json.dumps({each.name: row[each.name] for each in columns}) + "\n" for row in found)
    types = {str: "string", int: "integer", float: "number", bool: "boolean"}
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "type": "object",
        "properties": {each.name: {"type": [types[each.type], "null"], "description": each.tells} for each in columns},
        "required": [each.name for each in columns],
        "additionalProperties": False,
    }
    return {"": lines.encode(), "-schema.json": _json(schema)}


def write_xlsx(columns: Sequence[Column], found: Iterable[Row], title: str, notice: str) -> dict[str, bytes]:
    """Rows -> a workbook: the table under the notice, which every printed page repeats, and the dictionary."""
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=True)

    def cell(sheet: Any, content: Any, *, bold: bool = False, marked: bool = False) -> Any:
        # A text is set as text: the library would take "=1+1" for a formula and "#N/A" for an error.
        made = WriteOnlyCell(sheet, value=_xlsx_text(content) if isinstance(content, str) else content)
        if isinstance(content, str):
            made.data_type = "s"
            made.quotePrefix = content.startswith(_FORMULA)
        made.font = Font(bold=bold)
        if marked:
            made.fill = PatternFill("solid", fgColor="FFF2CC")
        return made

    def sheet(name: str, heads: Sequence[str], lines: Iterable[Sequence[Any]], marks: frozenset[int]) -> None:
        made = book.create_sheet(name)
        made.freeze_panes = "A3"
        made.print_title_rows = "1:2"
        made.oddHeader.center.text = notice.replace("&", "&&")
        made.page_setup.orientation = "landscape"
        for number, head in enumerate(heads, 1):
            made.column_dimensions[get_column_letter(number)].width = 12 if len(head) < 12 else 18
        made.append([cell(made, notice, bold=True)])
        made.append([cell(made, head, bold=True) for head in heads])
        for line in lines:
            # A row with a mark for review is coloured too; the mark itself stands in its column.
            marked = any(line[at] is True for at in marks)
            made.append([cell(made, each, marked=marked) for each in line])

    names = [each.name for each in columns]
    marks = frozenset(at for at, name in enumerate(names) if name in ("review", "event_review", "expired"))
    sheet(title, names, [[row[name] for name in names] for row in found], marks)
    told = [[each.name, each.type.__name__, each.tells] for each in columns]
    sheet("Dictionary", ["column", "type", "tells"], told, frozenset())
    content = BytesIO()
    book.save(content)
    return {"": repack(content.getvalue())}


#: More letters than this no cell of a workbook holds (ECMA-376 part 1, 18.3.1.96, as spreadsheet programs read it).
_XLSX_LETTERS = 32_767


def _xlsx_text(text: str) -> str:
    text = plain(text)
    # "_x0041_" is how a workbook escapes a letter (ECMA-376 part 1, 22.4.2.4): one that was really said is escaped.
    text = re.sub("_(?=x[0-9A-Fa-f]{4}_)", "_x005F_", text)
    if len(text) > _XLSX_LETTERS:
        text = text[: _XLSX_LETTERS - 40] + " … [cut: the rest is in timeline.json]"
    return text


def write_parquet(columns: Sequence[Column], found: Sequence[Row], title: str, notice: str) -> dict[str, bytes]:
    """Rows -> Parquet; the notice and title are the file's metadata, what a column tells is its field's."""
    import pyarrow
    from pyarrow import parquet

    types: Mapping[type, Callable[[], Any]] = {
        str: pyarrow.string, int: pyarrow.int64, float: pyarrow.float64, bool: pyarrow.bool_,
    }  # fmt: skip
    schema = pyarrow.schema(
        [pyarrow.field(each.name, types[each.type](), metadata={"description": each.tells}) for each in columns],
        metadata={"title": title, "notice": notice},
    )
    cells = {
        each.name: [plain(row[each.name]) if isinstance(row[each.name], str) else row[each.name] for row in found]
        for each in columns
    }
    sink = pyarrow.BufferOutputStream()
    parquet.write_table(pyarrow.table(cells, schema=schema), sink)
    return {"": sink.getvalue().to_pybytes()}


def _json(content: Any) -> bytes:
    return (json.dumps(content, indent=1) + "\n").encode()
