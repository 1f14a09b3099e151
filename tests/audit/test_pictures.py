"""The picture of a case: what is on it, that no words stand on others, the same bytes from the same case."""

import io
import struct
from pathlib import Path
from xml.etree import ElementTree

import pytest

from extractor import draft_folder, pipeline
from extractor.audit.crosscheck import cross_check
from extractor.audit.paper import inches_of, sheet
from extractor.audit.pictures import LEFT, MOST_POINTS, RIGHT, WIDTH, Label, Lane, _place, _thinned, draw_case
from extractor.audit.pressure_log import read_log
from extractor.cli import main
from extractor.model import Check, Event, Kind, MadeBy, Recording, Status, Timeline, Value, Word

FIXTURE = Path(__file__).parents[2] / "fixtures" / "fistula-high-pressure"


@pytest.fixture(scope="module")
def timeline() -> Timeline:
    return pipeline.draft([FIXTURE / "transcript.vtt"])


def event(number: int, at_s: int, kind: Kind = Kind.INFLATION, **values: tuple[float, str]) -> Event:
    held = {key: Value(value=value, unit=unit, confidence=0.9, words=(0, 1)) for key, (value, unit) in values.items()}
    return Event(
        id=f"e{number:04d}", kind=kind, status=Status.DONE, start_ms=1000 * at_s, end_ms=1000 * at_s + 900,
        values=held, confidence=0.9, words=(0, 1), rule="by-hand",
    )  # fmt: skip


def case(*events: Event, seconds: int = 600, checks: tuple[Check, ...] = ()) -> Timeline:
    return Timeline(
        recording=Recording(sha256="0", duration_ms=1000 * seconds),
        made_by=MadeBy(extractor="0", speech_model=None, lexicons={}),
        words=(Word(text="so", start_ms=0, end_ms=1),),
        events=events,
        checks=checks,
    )


def test_with_a_log_its_trace_and_every_verdict_are_drawn(timeline: Timeline) -> None:
    log = read_log(FIXTURE / "pressure-log.csv")
    result = cross_check(timeline, [log])
    drawn = draw_case(timeline, [log], result, "svg")
    assert drawn == draw_case(timeline, [log], result, "svg"), "the same case gives the same bytes"
    assert drawn != draw_case(timeline)
    ElementTree.fromstring(drawn)
    said = drawn.decode()  # letters are drawn as shapes; what they say stands beside them as a remark
    assert "20 atm, logged 18 atm" in said
    assert "8 atm, not spoken" in said
    assert "The 4 runs told add up to 45 mL" in said


def test_a_png_has_the_width_of_a_page(timeline: Timeline) -> None:
    drawn = draw_case(timeline, form="png")
    width, height = struct.unpack(">II", drawn[16:24])
    assert (width, drawn == draw_case(timeline, form="png")) == (2340, True)
    assert 1_000 < height < 2_500


ODD = [
    pytest.param(case(), id="nothing happened"),
    pytest.param(case(seconds=0), id="no length"),
    pytest.param(case(event(1, 10, pressure=(12, "mm[Hg]"))), id="a pressure of a vessel"),
    pytest.param(case(event(1, 10, pressure=(0, "atm"))), id="no pressure"),
    pytest.param(case(event(1, 10, Kind.REMARK)), id="a remark alone"),
    pytest.param(case(event(1, 900, pressure=(8, "bar"), duration=(3, "min"))), id="later than the recording"),
    pytest.param(
        case(*(event(number, 20 * number, pressure=(8, "atm"), diameter=(6, "mm")) for number in range(1, 120)),
             seconds=6_000),
        id="119 inflations in an hour and a half",
    ),
    pytest.param(
        case(event(1, 5), checks=(Check(code="x", severity="review", message="<b>$x_1$ & co</b>", events=()),)),
        id="a caution without an event, with signs of other languages",
    ),
]  # fmt: skip


@pytest.mark.parametrize("odd", ODD)
def test_odd_cases_are_drawn(odd: Timeline) -> None:
    ElementTree.fromstring(draw_case(odd))


@pytest.mark.parametrize("seconds", [60, 600, 6_000], ids=lambda seconds: f"{seconds} s")
def test_no_words_of_a_lane_stand_on_others(seconds: int) -> None:
    lane = Lane("x", [Label(at, at, f"Stenosis, {at} mm") for at in range(0, seconds, seconds // 30)])
    with sheet(WIDTH, 4) as drawn:
        _place(lane, drawn, seconds)
        widths = [inches_of(label.text, drawn) for label in lane.labels]
    taken: dict[int, list[tuple[float, float]]] = {}
    for label, width in zip(lane.labels, widths, strict=True):
        at = label.at_s * (WIDTH - LEFT - RIGHT) / seconds
        first, past = (at - width, at) if label.leftward else (at, at + width)
        assert all(past <= other or first >= end for other, end in taken.setdefault(label.row, []))
        assert past <= WIDTH - LEFT
        taken[label.row].append((first, past))


def test_a_long_log_is_thinned_and_keeps_its_peaks() -> None:
    import numpy as np

    at_s = np.arange(1_000_000) / 100
    atm = np.zeros(len(at_s))
    atm[[123_456, 777_777]] = 20, -1
    few_s, few = _thinned(at_s, atm)
    assert len(few) <= MOST_POINTS
    assert (few.max(), few.min()) == (20, -1)
    assert (np.diff(few_s) > 0).all()


@pytest.fixture
def drafted(timeline: Timeline, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    draft_folder.write(timeline, tmp_path / "case")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_command_writes_a_picture(drafted: Path) -> None:
    log = str(FIXTURE / "pressure-log.csv")
    assert main(["picture", "case", log, "--out", "case.svg"]) == 0
    assert main(["picture", "case", "--out", "case.PNG"]) == 0
    ElementTree.parse(io.BytesIO((drafted / "case.svg").read_bytes()))
    assert (drafted / "case.PNG").read_bytes().startswith(b"\x89PNG")


def test_a_log_that_is_not_drawn_is_told(drafted: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (drafted / "pump.csv").write_text("start_s,hold_s,atm\n5,10,8\n500,10,8\n", encoding="utf-8")
    assert main(["picture", "case", "pump.csv", "--out", "case.svg"]) == 0
    assert "pump.csv is not drawn, its clock was not found" in capsys.readouterr().err
    assert "pump.csv is not drawn" in (drafted / "case.svg").read_text(encoding="utf-8")


REFUSED = [
    pytest.param(["picture", "case", "--out", "case.pdf"], ".svg or .png", id="another form"),
    pytest.param(["picture", "case", "--out", "case"], ".svg or .png", id="no ending"),
    pytest.param(["picture", "nowhere", "--out", "case.svg"], "nowhere", id="no draft"),
    pytest.param(["picture", "case", "no.csv", "--out", "case.svg"], "no.csv", id="no log"),
    pytest.param(["picture", "case"], "--out", id="no out"),
]


@pytest.mark.parametrize(("arguments", "named"), REFUSED)
def test_what_cannot_be_drawn_is_refused(
    arguments: list[str], named: str, drafted: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    assert named in capsys.readouterr().err
    assert [path.name for path in drafted.iterdir()] == ["case"]
