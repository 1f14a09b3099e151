"""Timelines and logs laid together: verdicts by hand, then invented cases by the hundred."""

import importlib.util
import sys
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

import pytest

from extractor import pipeline
from extractor.audit.crosscheck import CODES, Compared, CrossCheck, cross_check, flag_timeline, tolerance_atm
from extractor.audit.inflations import Inflation
from extractor.audit.pressure_log import PressureLog, read_log
from extractor.errors import InputError
from extractor.model import Alternative, Event, Kind, MadeBy, Recording, Status, Timeline, Value, Word


def _load(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


inventing = _load("inventing")

#: Seconds, spoken and logged pressure; 90 s on the log's clock is 0 of the recording's.
OFFSET_S = 90.0
Row = tuple[float, float | None, float | None]
CASE: list[Row] = [
    (60, 8, 8.2), (145, 12, 11.8), (290, 14, 14.3), (401, 14, 14.0), (520, 10, 10.1), (733, 18, 17.8), (860, 12, 12.2),
]  # fmt: skip


def told(rows: Iterable[Row]) -> Timeline:
    """What was said at its second: three words, the figure among them."""
    words: list[Word] = []
    events: list[Event] = []
    for at_s, spoken, _ in rows:
        first = len(words)
        ms = round(at_s * 1000)
        words += [Word(text="x", start_ms=ms + 200 * each, end_ms=ms + 200 * each + 100) for each in (-2, -1, 0)]
        values = {}
        if spoken is not None:
            values["pressure"] = Value(value=spoken, unit="atm", confidence=0.9, words=(first + 1, first + 3))
        events.append(
            Event(
                id=f"e{len(events) + 1:04}", kind=Kind.INFLATION, status=Status.DONE, confidence=0.9, rule="by-hand",
                start_ms=words[first].start_ms, end_ms=words[-1].end_ms, words=(first, first + 3),
                values=values,
            )
        )  # fmt: skip
    return Timeline(
        recording=Recording(sha256="00" * 32, duration_ms=1_000_000),
        made_by=MadeBy(extractor="0", speech_model=None, lexicons={}),
        words=tuple(words),
        events=tuple(events),
    )


def changed(timeline: Timeline, number: int, **values: Value) -> Timeline:
    """The values of the event of that number (from 0) replaced."""
    events = list(timeline.events)
    kept = {key: values.get(key, value) for key, value in {**events[number].values, **values}.items()}
    events[number] = events[number].model_copy(update={"values": kept})
    return timeline.model_copy(update={"events": tuple(events)})


def logged(rows: Iterable[Row], name: str = "pump.csv", hold_s: float = 20, offset_s: float = OFFSET_S) -> PressureLog:
    found = [
        Inflation(
            start_ms=round((at_s + offset_s - 5) * 1000), peak_ms=round((at_s + offset_s) * 1000),
            down_ms=round((at_s + offset_s + hold_s) * 1000), atm=atm, hold_s=hold_s,
        )
        for at_s, _, atm in rows if atm is not None
    ]  # fmt: skip
    return PressureLog(
        name=name, sha256=name, unit="atm", clock="seconds", day=None, rows="samples", start_ms=0,
        end_ms=1_200_000, inflations=tuple(found), silences=(), repairs=(),
    )  # fmt: skip


def verdicts(result: CrossCheck) -> dict[str, str]:
    rows = (*result.pairs, *result.not_spoken, *result.not_logged)
    return {row.event or f"log {row.logged_atm:g}": row.verdict for row in rows}


ALL_AGREE = {f"e{number:04}": "agrees" for number in range(1, 8)}
LATER: Row = (640, None, 9.0)

VERDICTS = [
    pytest.param(CASE, ALL_AGREE, id="all agree"),
    pytest.param([*CASE[:3], (401, 14, 17), *CASE[4:]], {**ALL_AGREE, "e0004": "differs"}, id="logged 17, spoken 14"),
    pytest.param([*CASE[:3], (401, 40, 14), *CASE[4:]], {**ALL_AGREE, "e0004": "differs"}, id="heard as forty"),
    pytest.param([*CASE[:3], (401, 14, 15), *CASE[4:]], {**ALL_AGREE, "e0004": "differs"}, id="one atmosphere"),
    pytest.param([*CASE[:3], (401, 14, 14.7), *CASE[4:]], ALL_AGREE, id="rounded"),
    pytest.param([*CASE[:3], (401, 14, None), *CASE[4:]], {**ALL_AGREE, "e0004": "not-logged"}, id="not logged"),
    pytest.param(
        [*CASE[:3], (401, None, 14), *CASE[4:]], {**ALL_AGREE, "e0004": "not-spoken"}, id="told without a pressure",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "wanted"), VERDICTS)
def test_verdicts(rows: list[Row], wanted: dict[str, str]) -> None:
    result = cross_check(told(rows), [logged(rows)])
    assert verdicts(result) == wanted
    assert result.offset_ms == pytest.approx(OFFSET_S * 1000, abs=2000)


def test_an_inflation_nobody_spoke_of() -> None:
    result = cross_check(told(CASE), [logged([*CASE, LATER])])
    assert verdicts(result) == {**ALL_AGREE, "log 9": "not-spoken"}
    (row,) = result.not_spoken
    assert row.logged_on_recording_ms == pytest.approx(640_000, abs=2000)


def test_the_result_has_the_names_that_were_promised() -> None:
    result = cross_check(told(CASE), [logged(CASE)]).model_dump()
    assert {"offset_ms", "drift_ppm", "pairs", "not_spoken", "not_logged"} <= result.keys()
    pair = result["pairs"][1]
    assert pair["event"] == "e0002"
    assert pair["spoken_atm"] == 12
    assert pair["logged_atm"] == 11.8
    assert pair["difference_atm"] == -0.2
    assert pair["spoken_ms"] == pytest.approx(145_000, abs=300)
    assert pair["logged_ms"] == 235_000
    assert pair["verdict"] == "agrees"


WITHOUT_A_CLOCK = [
    pytest.param(CASE, [(3 * at, None, 20 - (atm or 0)) for at, _, atm in CASE], id="another case"),
    pytest.param(CASE[:2], CASE[:2], id="two inflations"),
    pytest.param([], CASE, id="nothing spoken"),
    pytest.param(CASE, [], id="nothing logged"),
]


@pytest.mark.parametrize(("spoken", "log"), WITHOUT_A_CLOCK)
def test_without_a_clock_nothing_is_paired(spoken: list[Row], log: list[Row]) -> None:
    result = cross_check(told(spoken), [logged(log)])
    assert (result.offset_ms, result.drift_ppm) == (None, None)
    assert (result.pairs, result.not_spoken, result.not_logged) == ((), (), ())
    assert result.logs[0].why


STATUSES = [
    pytest.param(status, kind, counted, id=f"{status} {kind}")
    for status in Status
    for kind, counted in ((Kind.INFLATION, True), (Kind.STENT, True), (Kind.MEASURE, False))
]


@pytest.mark.parametrize(("status", "kind", "counted"), STATUSES)
def test_only_what_was_done_with_a_balloon_counts(status: Status, kind: Kind, counted: bool) -> None:
    timeline = told(CASE)
    event = timeline.events[3].model_copy(update={"status": status, "kind": kind})
    timeline = timeline.model_copy(update={"events": (*timeline.events[:3], event, *timeline.events[4:])})
    wanted = "e0004" if counted and status is Status.DONE else "log 14"
    assert wanted in verdicts(cross_check(timeline, [logged(CASE)]))


TOLERANCES = [
    # Half of the step it was said in, and 0.3 atm or 1.325 %.
    pytest.param(12, "atm", 0.8, id="whole"),
    pytest.param(8.5, "atm", 0.55, id="a half"),
    pytest.param(8.2, "atm", 0.35, id="a tenth"),
    pytest.param(30, "atm", 0.8975, id="high"),
    pytest.param(12, "bar", 0.7935, id="bar"),
    pytest.param(300, "[psi]", 0.6402, id="tens of psi"),
    pytest.param(294, "[psi]", 0.334, id="psi"),
    pytest.param(1200, "kPa", 0.5467, id="fifties of kPa"),
]


@pytest.mark.parametrize(("value", "unit", "wanted"), TOLERANCES)
def test_tolerances(value: float, unit: str, wanted: float) -> None:
    assert tolerance_atm(value, unit) == pytest.approx(wanted, abs=0.001)


@pytest.mark.parametrize("atm", range(4, 41, 4))
def test_bar_read_out_as_atmospheres_agrees(atm: int) -> None:
    """The worst that rounding does: the gauge shows half a bar more, and bar is called atmospheres."""
    assert abs((atm + 0.5) / 1.01325 - atm) <= tolerance_atm(atm, "atm")
    assert abs((atm - 0.5) / 1.01325 - atm) <= tolerance_atm(atm, "atm")


HOLDS = [
    pytest.param(20, "s", 22, "agrees", id="near"),
    pytest.param(20, "s", 26, "differs", id="longer"),
    pytest.param(2, "min", 100, "agrees", id="minutes"),
    pytest.param(2, "min", 80, "differs", id="shorter"),
]


@pytest.mark.parametrize(("said", "unit", "hold_s", "wanted"), HOLDS)
def test_holds_are_compared(said: float, unit: str, hold_s: float, wanted: str) -> None:
    duration = Value(value=said, unit=unit, confidence=0.9, words=(3, 6))
    result = cross_check(changed(told(CASE), 1, duration=duration), [logged(CASE, hold_s=hold_s)])
    assert result.pairs[1].hold_verdict == wanted
    assert result.pairs[1].verdict == "agrees"


def test_what_else_was_heard_is_held_against_the_log() -> None:
    heard = Value(value=40, unit="atm", confidence=0.6, words=(10, 12), alternatives=(Alternative(value=14),))
    result = cross_check(changed(told(CASE), 3, pressure=heard), [logged(CASE)])
    assert (result.pairs[3].verdict, result.pairs[3].fits_alternative_atm) == ("differs", 14)


def test_a_pressure_carried_over_is_timed_by_its_own_event() -> None:
    carried = Value(value=14, unit="atm", confidence=0.9, words=(7, 9), flags=("carried-over",))
    result = cross_check(changed(told(CASE), 3, pressure=carried), [logged(CASE)])
    assert result.pairs[3].spoken_ms == pytest.approx(401_000, abs=500)


def test_said_while_it_is_held() -> None:
    timeline = told([*CASE[:6], (860 + 18, 12, None)])
    assert verdicts(cross_check(timeline, [logged(CASE, hold_s=25)])) == ALL_AGREE


def test_what_no_log_covers_is_told_apart() -> None:
    rows = [*CASE, (2_000, 8, None)]
    (row,) = cross_check(told(rows), [logged(rows)]).not_logged
    assert row.verdict == "not-logged"
    assert row.note == "No log has samples from this time."


def test_a_pressure_in_no_unit_of_pressure_is_refused() -> None:
    odd = Value(value=14, unit="mm", confidence=0.9, words=(10, 12))
    with pytest.raises(InputError, match="event e0004"):
        cross_check(changed(told(CASE), 3, pressure=odd), [logged(CASE)])


def test_without_words_an_event_is_timed_by_its_start() -> None:
    timeline = told(CASE).model_copy(update={"words": ()})
    result = cross_check(timeline, [logged(CASE)])
    assert verdicts(result) == ALL_AGREE


# --- several logs


def test_two_pumps_on_two_clocks() -> None:
    other: list[Row] = [(1.07 * at + 33, 22 - (atm or 0), 22 - (atm or 0)) for at, atm, _ in CASE]
    both = sorted([*CASE, *other])
    logs = [logged(CASE, "left.csv"), logged(other, "right.csv", offset_s=-500)]
    result = cross_check(told(both), logs)
    assert [log.found for log in result.logs] == [True, True]
    assert Counter(pair.log for pair in result.pairs) == {"left.csv": 7, "right.csv": 7}
    assert not result.not_spoken
    assert not result.not_logged


def test_a_log_of_another_case_beside_the_right_one() -> None:
    foreign = [(3 * at, None, 20 - (atm or 0)) for at, _, atm in CASE]
    result = cross_check(told(CASE), [logged(foreign, "other.csv"), logged(CASE)])
    assert [log.found for log in result.logs] == [False, True]
    assert result.offset_ms == pytest.approx(OFFSET_S * 1000, abs=2000)
    assert verdicts(result) == ALL_AGREE


def test_the_same_log_twice_is_refused() -> None:
    with pytest.raises(InputError, match="twice"):
        cross_check(told(CASE), [logged(CASE), logged(CASE)])


# --- onto the timeline


def test_disagreements_become_checks_and_flags() -> None:
    rows: list[Row] = [*CASE[:3], (401, 40, 14), (520, 10, None), *CASE[5:], LATER]
    timeline = told(rows[:-1])
    flagged = flag_timeline(timeline, cross_check(timeline, [logged(rows)]))
    assert [(check.code, check.severity, check.events) for check in flagged.checks] == [
        ("log-differs", "review", ("e0004",)),
        ("not-logged", "review", ("e0005",)),
        ("not-spoken", "review", ()),
    ]
    assert [(event.id, event.flags) for event in flagged.events if event.review] == [
        ("e0004", ("log-differs",)),
        ("e0005", ("not-logged",)),
    ]
    assert "Spoken 40 atm, logged 14 atm" in flagged.checks[0].message


def test_flagging_twice_is_flagging_once() -> None:
    rows: list[Row] = [*CASE[:3], (401, 40, 14), *CASE[4:]]
    result = cross_check(told(rows), [logged(rows)])
    once = flag_timeline(told(rows), result)
    assert flag_timeline(once, result) == once


def test_what_agrees_now_loses_its_flag_and_keeps_its_look() -> None:
    rows: list[Row] = [*CASE[:3], (401, 40, 14), *CASE[4:]]
    flagged = flag_timeline(told(rows), cross_check(told(rows), [logged(rows)]))
    again = flag_timeline(flagged, cross_check(told(CASE), [logged(CASE)]))
    assert again.checks == ()
    assert (again.events[3].flags, again.events[3].review) == ((), True)


def test_a_log_that_was_not_compared_says_so_on_the_timeline() -> None:
    flagged = flag_timeline(told(CASE), cross_check(told(CASE), [logged([])]))
    assert [(check.code, check.severity) for check in flagged.checks] == [("log-clock-not-found", "note")]
    assert flagged.events == told(CASE).events
    assert {check.code for check in flagged.checks} <= set(CODES)


# --- the demo


def test_the_demo_case(fixtures: Path) -> None:
    case = fixtures / "fistula-high-pressure"
    timeline = pipeline.draft([case / "transcript.vtt"])
    result = cross_check(timeline, [read_log(case / "pressure-log.csv")])
    assert [(pair.spoken_atm, pair.logged_atm, pair.verdict) for pair in result.pairs] == [
        (26, pytest.approx(26, abs=0.1), "agrees"),
        (20, pytest.approx(18, abs=0.1), "differs"),
        (20.41, pytest.approx(20.41, abs=0.1), "agrees"),
        (16, pytest.approx(16, abs=0.1), "agrees"),
    ]
    assert [row.logged_atm for row in result.not_spoken] == [pytest.approx(8, abs=0.1)]
    assert result.not_logged == ()
    # The pump's clock read 14:07:21 when the recording began.
    assert result.offset_ms == pytest.approx((14 * 3600 + 7 * 60 + 21) * 1000, abs=2000)


def test_the_demo_log_is_what_its_script_makes(fixtures: Path) -> None:
    spec = importlib.util.spec_from_file_location("pressure_log_script", fixtures / "pressure_log.py")
    assert spec
    assert spec.loader
    script = importlib.util.module_from_spec(spec)
    sys.modules["pressure_log_script"] = script
    spec.loader.exec_module(script)
    for case in script.LOGS:
        assert (fixtures / case / "pressure-log.csv").read_text(encoding="utf-8") == script.log_text(case)


# --- invented cases by the hundred


@dataclass
class Tally:
    """What came of many invented cases."""

    found: int = 0
    astray: int = 0  # a clock was told, 2 to 6 s off
    wrong: int = 0  # a clock was told, further off
    planted: int = 0
    planted_found: int = 0
    true: int = 0
    true_differs: int = 0
    unpaired: int = 0
    mispaired: int = 0


def tally(seeds: range, tmp_path: Path, **how: object) -> Tally:
    count = Tally()
    for seed in seeds:
        case = inventing.invent(seed, **how)
        result = cross_check(inventing.timeline_of(case), [read_log(inventing.write_log(case, tmp_path / "log.csv"))])
        if result.offset_ms is None:
            continue
        error_s = abs(result.offset_ms / 1000 - case.offset_s - inventing.zero_s(case.form))
        count.found += error_s < 2
        count.astray += 2 <= error_s < 6
        count.wrong += error_s >= 6
        pairs: dict[str | None, Compared] = {pair.event: pair for pair in result.pairs}
        for number, balloon in case.said:
            pair = pairs.get(f"e{number:04}")
            count.unpaired += balloon.logged and pair is None
            count.mispaired += not balloon.logged and pair is not None
            if balloon.logged and balloon.planted:
                count.planted += 1
                count.planted_found += pair is not None and pair.verdict == "differs"
            elif balloon.logged:
                count.true += 1
                count.true_differs += pair is not None and pair.verdict == "differs"
    return count


def test_a_few_invented_cases(tmp_path: Path) -> None:
    """A sample of the next test."""
    count = tally(range(8), tmp_path)
    assert count.found == 8
    assert count.planted_found == count.planted > 0
    assert count.true_differs <= 1
    assert count.unpaired == count.mispaired == 0


@pytest.mark.slow
@pytest.mark.parametrize(
    ("delays", "found"), [("usual", 97), ("even", 93)], ids=["said within moments", "said up to 5 s early or late"]
)
@pytest.mark.parametrize("first", [0, 1000], ids=["seeds 0 to 99", "seeds 1000 to 1099"])
def test_a_hundred_invented_cases(first: int, delays: str, found: int, tmp_path: Path) -> None:
    """Offset up to 2 h, drift up to 200 ppm, up to 30 % missing on either side, noise, 0.3 atm jitter, any unit."""
    count = tally(range(first, first + 100), tmp_path, delays=delays)
    assert count.wrong == 0
    assert count.found >= found
    assert count.planted_found >= 0.98 * count.planted > 0
    assert count.true_differs <= 0.01 * count.true
    assert count.unpaired + count.mispaired <= 0.01 * (count.true + count.planted)


def confident(seeds: range, tmp_path: Path, shift: int, **how: object) -> list[int]:
    """Seeds whose timeline found a clock in the log of the case ``shift`` seeds on."""
    found = []
    for seed in seeds:
        timeline = inventing.timeline_of(inventing.invent(seed))
        log = read_log(inventing.write_log(inventing.invent(seed + shift, **how), tmp_path / "log.csv"))
        found += [seed] if cross_check(timeline, [log]).clock_found else []
    return found


@pytest.mark.parametrize(
    "seeds", [range(6), pytest.param(range(200), marks=pytest.mark.slow)], ids=["a few", "two hundred"]
)
def test_the_log_of_another_case_is_never_believed(seeds: range, tmp_path: Path) -> None:
    assert confident(seeds, tmp_path, shift=5000) == []


@pytest.mark.slow
def test_one_to_three_inflations_are_never_believed_wrongly(tmp_path: Path) -> None:
    """Mostly the answer is that there is no clock; where there is one it is the right one."""
    count = tally(range(100), tmp_path, fewest=2, most=3, unsaid=0.0, unlogged=0.0)
    assert count.wrong == 0
    assert count.astray <= 2
    assert count.found < 50
