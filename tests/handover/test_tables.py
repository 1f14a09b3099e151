"""Tables of events, read back by other programs and compared with the timeline field by field."""

import csv
import json
from io import BytesIO, StringIO
from typing import Any

import jsonschema
import openpyxl
import pyarrow.parquet
import pytest

from extractor.errors import InputError
from extractor.handover import SAFETY
from extractor.handover.export import FORMATS, export
from extractor.handover.tables import COLUMNS, rows
from extractor.handover.wording import plain
from extractor.model import SignedTimeline, Timeline

TYPES = {column.name: column.type for column in COLUMNS}
NAMES = list(TYPES)


def cell(name: str, text: str) -> Any:
    """A CSV cell -> what it was, by the rules the module tells."""
    if text == "":
        return None
    if TYPES[name] is bool:
        return {"true": True, "false": False}[text]
    return text.removeprefix("'") if TYPES[name] is str else TYPES[name](text)


def from_csv(content: bytes) -> list[dict[str, Any]]:
    read = csv.DictReader(StringIO(content.decode("utf-8"), newline=""), strict=True)
    assert read.fieldnames == NAMES
    return [{name: cell(name, text) for name, text in row.items()} for row in read]


def from_jsonl(content: bytes) -> list[dict[str, Any]]:
    return [json.loads(line) for line in content.decode("ascii").splitlines()]


def from_xlsx(content: bytes) -> list[dict[str, Any]]:
    sheet = openpyxl.load_workbook(BytesIO(content))["Events"]
    (notice, *_), heads, *lines = sheet.iter_rows()
    assert notice.value
    assert all(each.data_type in "snb" for line in lines for each in line)
    return [dict(zip([head.value for head in heads], [each.value for each in line], strict=True)) for line in lines]


def from_parquet(content: bytes) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = pyarrow.parquet.read_table(BytesIO(content)).to_pylist()
    return found


READERS = {"csv": from_csv, "jsonl": from_jsonl, "xlsx": from_xlsx, "parquet": from_parquet}
each_format = pytest.mark.parametrize("form", READERS)


def shown(form: str, text: str) -> str:
    """What a text is in a format: JSON holds control characters, in the others they are made visible."""
    if form == "xlsx":
        return plain(text).replace("_x0041_", "_x005F_x0041_")
    return text if form == "jsonl" else plain(text)


def expected(timeline: Timeline) -> list[tuple[Any, ...]]:
    """Every event, value, unit, time, mark and word of the timeline, straight from its JSON."""
    found: list[tuple[Any, ...]] = []
    for event in json.loads(timeline.model_dump_json())["events"]:
        site = event["site"] or {"name": None, "side": None, "part": None}
        head = (
            *(event[name] for name in ("id", "kind", "status", "start_ms", "end_ms", "device", "drug", "finding")),
            *(site[name] for name in ("name", "side", "part")),
            event["confidence"], event["review"], " ".join(event["flags"]),
        )  # fmt: skip
        for key, value in event["values"].items() or [(None, None)]:
            of_value = [value[name] for name in ("value", "unit", "confidence", "review")] if value else [None] * 4
            words = [" ".join(value["flags"]), value["heard"]] if value else [None, None]
            found.append((*head, key, *of_value, *words))
    return [tuple(None if each == "" else each for each in row) for row in found]


PLACES = (
    "event kind status start_ms end_ms device drug finding site side part event_confidence event_review event_flags "
    "key value unit confidence review flags heard"
).split()


@each_format
@pytest.mark.parametrize("case", ["demo", "small", "hostile"])
def test_every_field_is_read_back(form: str, case: str, request: pytest.FixtureRequest) -> None:
    timeline: SignedTimeline = request.getfixturevalue(case)
    read = READERS[form](export(timeline, f"events-{form}")[""])
    events = [tuple(row[name] for name in PLACES) for row in read if row["row"] == "event"]
    wanted = [tuple(shown(form, each) if isinstance(each, str) else each for each in row) for row in expected(timeline)]
    assert events == wanted
    assert [row["note"] for row in read if row["row"] == "caution"] == [
        shown(form, check.message) for check in timeline.checks
    ]
    assert [(row["start_ms"], row["end_ms"]) for row in read if row["row"] == "gap"] == [
        (gap.start_ms, gap.end_ms) for gap in timeline.gaps
    ]


@each_format
def test_marks_and_what_became_of_them_are_told(form: str, small: SignedTimeline) -> None:
    read = READERS[form](export(small, f"events-{form}")[""])
    (pressure,) = (row for row in read if row["key"] == "pressure")
    assert pressure["shown"] == "14 atm?"
    assert pressure["settled"] == "left open: not to be made out"
    assert pressure["alternatives"] == "40 atm (-2.10)"
    (diameter,) = (row for row in read if row["key"] == "diameter")
    assert (diameter["shown"], diameter["flags"], diameter["settled"]) == ("(6 mm)", "carried-over", None)
    assert {row["signed_by"] for row in read} == {"A. Operator"}


@each_format
def test_a_draft_says_so_in_every_row(form: str, small_timeline: Timeline) -> None:
    read = READERS[form](export(small_timeline, f"events-{form}", draft=True)[""])
    assert {(row["state"], row["notice"], row["signed_by"]) for row in read} == {("draft", SAFETY, None)}


@pytest.mark.parametrize("form", FORMATS)
def test_a_draft_leaves_only_where_one_was_asked_for(form: str, small_timeline: Timeline) -> None:
    with pytest.raises(InputError, match="give --draft"):
        export(small_timeline, form)


def test_no_cell_of_a_csv_begins_a_formula(hostile: SignedTimeline) -> None:
    read = list(csv.reader(StringIO(export(hostile, "events-csv")[""].decode(), newline="")))
    texts = [text for row in read for name, text in zip(NAMES, row, strict=True) if TYPES[name] is str]
    assert [text for text in texts if text.startswith(tuple("=+-@\t\r"))] == []


def test_lines_follow_their_schema(hostile: SignedTimeline) -> None:
    files = export(hostile, "events-jsonl")
    schema = json.loads(files["-schema.json"])
    jsonschema.Draft202012Validator.check_schema(schema)
    for line in from_jsonl(files[""]):
        jsonschema.validate(line, schema)


def test_dictionaries_tell_every_column(small: SignedTimeline) -> None:
    described = json.loads(export(small, "events-csv")["-metadata.json"])["tableSchema"]["columns"]
    assert [each["name"] for each in described] == NAMES
    assert all(each["dc:description"] for each in described)
    book = openpyxl.load_workbook(BytesIO(export(small, "events-xlsx")[""]))
    assert [row[0] for row in book["Dictionary"].iter_rows(min_row=3, values_only=True)] == NAMES
    schema = pyarrow.parquet.read_schema(BytesIO(export(small, "events-parquet")[""]))
    assert all(schema.field(name).metadata[b"description"] for name in NAMES)
    assert b"Signed by A. Operator" in schema.metadata[b"notice"]


def test_every_row_has_every_column(demo: SignedTimeline) -> None:
    assert {tuple(row) for row in rows(demo)} == {tuple(NAMES)}
