"""What holds for every format: the same bytes at every run, quickly, and a command that writes them whole."""

import csv
import json
import re
import time
from collections.abc import Callable
from datetime import datetime
from io import BytesIO, StringIO
from pathlib import Path

import openpyxl
import pyarrow.parquet
import pydicom
import pytest

from extractor import draft_folder
from extractor.cli import main
from extractor.handover.export import FORMATS, Wishes, export
from extractor.handover.particulars import Particulars
from extractor.handover.tables import COLUMNS
from extractor.model import SignedTimeline, Timeline
from tests.handover.conftest import GIVEN, sign

each_format = pytest.mark.parametrize("form", FORMATS)


@each_format
def test_the_same_timeline_gives_the_same_bytes(
    form: str, hostile: SignedTimeline, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An hour later too, by the clock that libraries read."""
    first = export(hostile, form, GIVEN)
    now = time.time() + 3_600
    monkeypatch.setattr(time, "time", lambda: now)
    assert export(SignedTimeline.model_validate_json(hostile.model_dump_json()), form, GIVEN) == first


@pytest.fixture
def case(small_timeline: Timeline, tmp_path: Path) -> Path:
    draft_folder.write(small_timeline, tmp_path / "case")
    return tmp_path / "case"


@each_format
def test_the_command_writes_the_files(
    form: str, case: Path, small_timeline: Timeline, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    draft_folder.rewrite(sign(small_timeline), case)
    (tmp_path / "case.toml").write_text('started_at = 2026-11-26T09:30:00+01:00\nsite = "Invented Hospital"\n')
    arguments = ["--format", form, "--out", str(tmp_path / "out.x"), "--particulars", str(tmp_path / "case.toml")]
    assert main(["export", str(case), *arguments]) == 0
    given = Particulars(started_at=datetime.fromisoformat("2026-11-26T09:30:00+01:00"), site="Invented Hospital")
    files = export(sign(small_timeline), form, Wishes(particulars=given))
    assert {path.name: path.read_bytes() for path in tmp_path.glob("out.x*")} == {
        f"out.x{end}": content for end, content in files.items()
    }
    assert str(tmp_path / "out.x") in capsys.readouterr().out


# --- a draft says so wherever a format has a place for it


def _cues(content: bytes) -> list[str]:
    return [block.split("\n", 1)[1] for block in content.decode().split("\n\n") if "-->" in block.split("\n")[0]]


def _rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(content.decode(), newline="")))


def _sheets(content: bytes) -> list[str]:
    """What each sheet of rows has first, and above every printed page."""
    sheet = openpyxl.load_workbook(BytesIO(content)).worksheets[0]
    return [str(sheet["A1"].value), sheet.print_title_rows or ""]


#: Format -> its pages or objects, each of which must say that it is a draft. PDF: every page, in test_record.
PLACES: dict[str, Callable[[dict[str, bytes]], list[str]]] = {
    "record-html": lambda made: re.findall(r"<(?:title|header|h1|footer)\b[^>]*>([^<]*)", made[""].decode()),
    "record-text": lambda made: [made[""].decode()[:300], made[""].decode()[-300:]],
    "implants-csv": lambda made: [row["state"] for row in _rows(made[""])],
    "implants-xlsx": lambda made: _sheets(made[""])[:1],
    "events-csv": lambda made: [row["state"] for row in _rows(made[""])],
    "events-jsonl": lambda made: [json.loads(line)["state"] for line in made[""].splitlines()],
    "events-xlsx": lambda made: _sheets(made[""])[:1],
    "events-parquet": lambda made: pyarrow.parquet.read_table(BytesIO(made[""]))["state"].to_pylist(),
    "fhir": lambda made: [
        tag["code"] for each in json.loads(made[""])["entry"] for tag in each["resource"]["meta"]["tag"]
    ],
    "dicom": lambda made: [pydicom.dcmread(BytesIO(made[""])).SeriesDescription],
    "captions": lambda made: _cues(made[""])[:1],
    "srt": lambda made: [made[""].decode().split("\n\n")[0]],
    "chapters": lambda made: [
        *_cues(made[""])[:1],
        *(json.loads(each)["state"] for each in re.findall(r"^\{.*\}$", made["-events.vtt"].decode(), re.MULTILINE)),
    ],
}  # fmt: skip


@pytest.mark.parametrize("form", PLACES)
def test_a_draft_says_so_on_every_page_and_object(form: str, small_timeline: Timeline, small: SignedTimeline) -> None:
    places = PLACES[form](export(small_timeline, form, GIVEN, draft=True))
    assert places
    assert [each for each in places if "draft" not in each.lower()] == []
    signed = PLACES[form](export(small, form, GIVEN))
    assert [each for each in signed if "draft" in each.lower()] == []


def test_each_format_has_a_place_for_it() -> None:
    assert PLACES.keys() | {"record-pdf", "record-docx"} == set(FORMATS)


REFUSED = [
    pytest.param(["--format", "events-csv"], "give --draft", id="a-draft"),
    pytest.param(["--format", "fax", "--draft"], "--format fax: not known", id="unknown-format"),
]


@pytest.mark.parametrize(("arguments", "named"), REFUSED)
def test_what_cannot_be_handed_over_is_refused(
    case: Path, tmp_path: Path, arguments: list[str], named: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["export", str(case), "--out", str(tmp_path / "out"), *arguments]) == 2
    said = capsys.readouterr().err
    assert named in said
    assert str(case) in said
    assert not list(tmp_path.glob("out*"))


def test_nothing_is_overwritten(case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "out-metadata.json").write_text("mine")
    assert main(["export", str(case), "--draft", "--format", "events-csv", "--out", str(tmp_path / "out")]) == 2
    assert "is there already" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_every_format_stands_in_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    main(["export", "--help"])
    said = capsys.readouterr().out.split()
    assert set(FORMATS) <= set(said)


# --- the page


PAGE = Path(__file__).parents[2] / "docs" / "exports.md"


def test_the_table_of_columns_is_complete(golden: Callable[[Path, str], None]) -> None:
    page = PAGE.read_text(encoding="utf-8")
    lines = "".join(f"| `{each.name}` | {each.tells} |\n" for each in COLUMNS)
    table = f"\n| column | tells |\n|---|---|\n{lines}\n"
    mark = re.compile(r"(<!-- columns: [^\n]*-->\n).*?(<!-- /columns -->)", re.DOTALL)
    golden(PAGE, mark.sub(lambda match: match[1] + table + match[2], page))


@each_format
def test_every_format_stands_in_the_page(form: str) -> None:
    heads = re.findall(r"^## .*", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert [head for head in heads if form in re.split(r"[:,] ", head)]
