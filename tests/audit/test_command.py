"""``extractor crosscheck``: what it says, writes and refuses."""

import json
import shutil
from pathlib import Path

import pytest

from extractor import draft_folder, pipeline
from extractor.cli import main


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The fistula case: its draft in ``case``, its pump's log in ``pump.csv``."""
    fixture = Path(__file__).parents[2] / "fixtures" / "fistula-high-pressure"
    folder = tmp_path_factory.mktemp("demo")
    draft_folder.write(pipeline.draft([fixture / "transcript.vtt"]), folder / "case")
    shutil.copy(fixture / "pressure-log.csv", folder / "pump.csv")
    return folder


@pytest.fixture
def place(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("COLUMNS", "FORCE_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    shutil.copytree(demo, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


CHECK = ["crosscheck", "case", "pump.csv", "--out", "result.json"]


def test_the_table_is_readable_without_colour(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(CHECK) == 0
    said = capsys.readouterr().out
    assert max(map(len, said.splitlines())) <= 100
    assert "\x1b" not in said
    assert "pump.csv: 5 inflations; the recording begins at 14:07:2" in said
    rows = {line.split()[1]: line for line in said.splitlines() if " atm" in line and ":" in line.split()[0]}
    assert "-2.0 atm" in rows["e0024"]
    assert "differs" in rows["e0024"]
    assert "agrees" in rows["e0022"]
    assert "3 agrees, 1 differs, 1 not-spoken" in said
    assert "A draft until signed" in said


def test_the_result_is_written_and_the_draft_left_alone(place: Path) -> None:
    before = {path: path.read_bytes() for path in (place / "case").iterdir()}
    assert main(CHECK) == 0
    result = json.loads((place / "result.json").read_text(encoding="utf-8"))
    assert [pair["verdict"] for pair in result["pairs"]] == ["agrees", "differs", "agrees", "agrees"]
    assert {path: path.read_bytes() for path in (place / "case").iterdir()} == before


def test_the_disagreements_are_put_onto_the_draft_when_asked(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*CHECK, "--flag"]) == 0
    capsys.readouterr()
    assert main(["show", "case"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "log differs" in said
    assert "Caution: Spoken 20 atm, logged 18 atm. e0024" in said
    assert "no pressure was spoken" in (place / "case" / "summary.txt").read_text(encoding="utf-8")


def test_a_clock_that_is_not_found_is_no_error(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (place / "pump.csv").write_text("start_s,hold_s,atm\n5,10,8\n500,10,8\n", encoding="utf-8")
    assert main(CHECK) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "clock not found, nothing paired" in said
    assert "agrees" not in said
    assert json.loads((place / "result.json").read_text(encoding="utf-8"))["offset_ms"] is None


REFUSED = [
    pytest.param(["crosscheck", "nowhere", "pump.csv", "--out", "x.json"], "nowhere", id="no draft"),
    pytest.param(["crosscheck", "case", "nowhere.csv", "--out", "x.json"], "nowhere.csv", id="no log"),
    pytest.param(["crosscheck", "case", "--out", "x.json"], "LOG", id="no log named"),
    pytest.param(["crosscheck", "case", "pump.csv"], "--out", id="no out"),
    pytest.param(["crosscheck", "case", "pump.csv", "--out", "pump.csv"], "is there already", id="used"),
    pytest.param(["crosscheck", "case", "pump.csv", "--out", "no/x.json"], "no folder", id="no folder"),
    pytest.param(["crosscheck", "case", "pump.csv", "pump.csv", "--out", "x.json"], "twice", id="twice"),
    pytest.param(["crosscheck", "case", "pump.csv", "--unit", "inch", "--out", "x.json"], "--unit inch", id="unit"),
    pytest.param(["crosscheck", "case", "pump.csv", "--unit", "kPa", "--out", "x.json"], "never", id="wrong unit"),
    pytest.param(["crosscheck", "case", "case/summary.txt", "--out", "x.json"], "names a time", id="no table"),
]


@pytest.mark.parametrize(("arguments", "named"), REFUSED)
def test_what_cannot_be_used_is_refused(
    arguments: list[str], named: str, place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = sorted(place.rglob("*"))
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("extractor: ")
    assert said.err.count("\n") == 1
    assert named in said.err
    assert sorted(place.rglob("*")) == before
