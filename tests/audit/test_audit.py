"""``extractor audit``: agreement beside published figures, what is read and what is not, the same bytes."""

import csv
import json
import re
import shutil
from pathlib import Path

import pytest
from pyarrow import parquet

from extractor import draft_folder, pipeline
from extractor.audit.agreement import agree
from extractor.audit.cases import read_cases
from extractor.audit.crosscheck import cross_check
from extractor.audit.pressure_log import read_log
from extractor.audit.report import write_report
from extractor.cli import main
from extractor.errors import InputError
from extractor.model import Timeline

FIXTURE = Path(__file__).parents[2] / "fixtures" / "fistula-high-pressure"

#: Peak expiratory flow of 17 people, L/min, by two meters: the worked example of Bland and Altman 1986, from memory.
WRIGHT = (494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427)
MINI = (512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451)


def test_agreement_is_that_of_the_papers_worked_example() -> None:
    """Its figures: mean -2.1, s 38.8, limits about -80 and 76 (2 s there, 1.96 s here), interval of the mean -22.0 to
    17.8, of the lower limit -114.3 to -45.1 and of the upper 40.9 to 110.1; from memory.
    """
    found = agree(MINI, WRIGHT)
    assert found is not None
    assert (found.n, round(found.mean, 1), round(found.sd, 1)) == (17, -2.1, 38.8)
    assert found.mean_95 == pytest.approx((-22.0, 17.8), abs=0.1)
    two_s = (found.mean - 2 * found.sd, found.mean + 2 * found.sd)
    assert two_s == pytest.approx((-79.7, 75.5), abs=0.1)
    half = (found.lower_95[1] - found.lower_95[0]) / 2
    assert (two_s[0] - half, two_s[0] + half) == pytest.approx((-114.3, -45.1), abs=0.2)
    assert (two_s[1] - half, two_s[1] + half) == pytest.approx((40.9, 110.1), abs=0.2)


@pytest.mark.parametrize("seed", range(5))
def test_agreement_is_that_of_numpy_and_scipy(seed: int) -> None:
    import numpy as np
    from scipy import stats

    rng = np.random.default_rng(seed)
    first, second = rng.uniform(2, 30, 40), rng.uniform(2, 30, 40)
    found = agree(first.tolist(), second.tolist())
    assert found is not None
    apart = second - first
    assert found.mean_95 == pytest.approx(stats.t.interval(0.95, 39, apart.mean(), stats.sem(apart)))
    assert found.upper == pytest.approx(apart.mean() + 1.96 * np.std(apart, ddof=1))


@pytest.mark.parametrize(("n", "is_told"), [(2, False), (3, True)], ids=["two pairs", "three"])
def test_few_pairs_have_no_limits(n: int, is_told: bool) -> None:
    assert (agree([8.0] * n, [9.0] * n) is not None) is is_told


@pytest.fixture(scope="module")
def drawn() -> tuple[Timeline, str]:
    timeline = pipeline.draft([FIXTURE / "transcript.vtt"])
    return timeline, cross_check(timeline, [read_log(FIXTURE / "pressure-log.csv")]).model_dump_json(indent=1)


@pytest.fixture
def place(drawn: tuple[Timeline, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """``cases/a``: the fistula case with its cross-check; ``cases/deep/b``: another recording, not compared."""
    timeline, check = drawn
    other = timeline.recording.model_copy(update={"sha256": "b" * 64, "recorded_at": "2026-03-04T10:00:00+01:00"})
    draft_folder.write(timeline, tmp_path / "cases" / "a")
    draft_folder.write(timeline.model_copy(update={"recording": other}), tmp_path / "cases" / "deep" / "b")
    (tmp_path / "cases" / "a-pressures.json").write_text(check, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_every_pressure_stands_in_the_table_with_its_verdict(place: Path) -> None:
    audit = read_cases([place / "cases"])
    assert audit.faults == ()
    rows = audit.pressures()
    assert [(row["case"], row["event"], row["verdict"]) for row in rows] == [
        ("cases/a", "e0022", "agrees"),
        ("cases/a", "e0024", "differs"),
        ("cases/a", "e0025", "agrees"),
        ("cases/a", "e0032", "agrees"),
        ("cases/a", None, "not-spoken"),
        ("cases/deep/b", "e0022", "not-compared"),
        ("cases/deep/b", "e0024", "not-compared"),
        ("cases/deep/b", "e0025", "not-compared"),
        ("cases/deep/b", "e0032", "not-compared"),
    ]
    assert rows[2]["spoken_atm"] == 20.41
    assert (rows[2]["spoken"], rows[2]["unit"], rows[2]["diameter_mm"]) == (300, "[psi]", 7)
    assert rows[1]["difference_atm"] == pytest.approx(-2, abs=0.1)


def test_the_case_that_disagrees_comes_first(place: Path) -> None:
    ranking = read_cases([place / "cases"]).ranking()
    assert [(row["rank"], row["case"], row["disagreements"]) for row in ranking] == [
        (1, "cases/a", 2),
        (2, "cases/deep/b", 0),
    ]


def test_the_report_is_the_same_to_the_byte_wherever_it_lies(place: Path) -> None:
    first = write_report(read_cases([place / "cases"]))
    shutil.copytree(place / "cases", place / "elsewhere" / "cases")
    assert write_report(read_cases([place / "elsewhere" / "cases"])) == first


def test_the_command_writes_the_report(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", "cases", "--out", "report"]) == 0
    assert "2 cases, 2 pressures that do not agree" in capsys.readouterr().out
    page = (place / "report" / "report.html").read_text(encoding="utf-8")
    assert "A draft until signed" in page
    assert "3 agrees" in page
    assert "4 pairs, logged less spoken" in page
    assert not re.search(r"""(src|href|url\()\s*=?\s*["'(]?https?:""", page), "nothing from outside"
    with (place / "report" / "pressures.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 9
    assert (place / "report" / "report.pdf").read_bytes().startswith(b"%PDF-")
    assert parquet.read_table(place / "report" / "pressures.parquet").num_rows == 9
    assert {path.name for path in (place / "report").iterdir()} == {
        "report.html", "report.pdf", "pressures.csv",
        "pressures.csv-metadata.json", "pressures.xlsx", "pressures.parquet",
        "cases.csv", "cases.csv-metadata.json", "cases.xlsx", "cases.parquet",
    }  # fmt: skip


def test_a_cross_check_of_another_draft_is_not_used(place: Path) -> None:
    path = place / "cases" / "a-pressures.json"
    check = json.loads(path.read_text(encoding="utf-8"))
    check["pairs"][0]["spoken_atm"] = 24.0
    path.write_text(json.dumps(check, indent=1), encoding="utf-8")
    audit = read_cases([place / "cases"])
    assert {row["verdict"] for row in audit.pressures()} == {"not-compared"}
    assert "made of another draft" in audit.faults[0]


def test_two_cross_checks_of_one_recording_are_not_used(place: Path) -> None:
    shutil.copy(place / "cases" / "a-pressures.json", place / "cases" / "again.json")
    audit = read_cases([place / "cases"])
    assert {row["verdict"] for row in audit.pressures()} == {"not-compared"}
    assert "neither is used" in audit.faults[0]


def test_a_clock_that_was_not_found_compares_nothing(place: Path) -> None:
    (place / "list.csv").write_text("start_s,hold_s,atm\n5,10,8\n500,10,8\n", encoding="utf-8")
    (place / "cases" / "a-pressures.json").unlink()
    assert main(["crosscheck", "cases/a", "list.csv", "--out", "cases/a.json"]) == 0
    audit = read_cases([place / "cases"])
    assert {row["verdict"] for row in audit.pressures()} == {"not-compared"}
    assert not any(case.compared for case in audit.cases)


def test_what_cannot_be_read_stops_nothing_and_is_told(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (place / "cases" / "broken").mkdir()
    (place / "cases" / "broken" / "timeline.json").write_text("{", encoding="utf-8")
    (place / "cases" / "other.json").write_text("[1]", encoding="utf-8")
    (place / "cases" / "half.json").write_text('{"format": "pressure-crosscheck/1"}', encoding="utf-8")
    shutil.copytree(place / "cases" / "a", place / "cases" / "copy of a")
    assert main(["audit", "cases", "--out", "report"]) == 0
    said = capsys.readouterr().err
    assert "broken" in said
    assert "half.json" in said
    assert "copy of a: the same recording as cases/a" in said
    assert "other.json" not in said
    assert "broken" in (place / "report" / "report.html").read_text(encoding="utf-8")


def test_what_people_wrote_is_no_markup(place: Path) -> None:
    (place / "cases" / "<script>x").mkdir()
    shutil.move(place / "cases" / "a" / "timeline.json", place / "cases" / "<script>x")
    page = write_report(read_cases([place / "cases"]))["report.html"].decode()
    assert "<script" not in page
    assert "&lt;script&gt;x" in page


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        pytest.param(["audit", "nowhere", "--out", "report"], "nowhere: no such folder", id="no folder"),
        pytest.param(["audit", "empty", "--out", "report"], "no case that can be read", id="no case"),
        pytest.param(["audit", "cases", "--out", "cases"], "already holds files", id="a folder in use"),
        pytest.param(["audit", "--out", "report"], "DIR", id="no folder named"),
    ],
)
def test_what_cannot_be_audited_is_refused(
    arguments: list[str], named: str, place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (place / "empty").mkdir()
    assert main(arguments) == 2
    assert named in capsys.readouterr().err
    assert not (place / "report").exists()


def test_a_place_that_is_no_folder_is_an_input_error(tmp_path: Path) -> None:
    with pytest.raises(InputError):
        read_cases([tmp_path / "nothing"])
