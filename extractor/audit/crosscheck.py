"""A draft timeline and pressure logs -> what was spoken beside what was logged, one to one, and where they disagree.

Each log has its own clock, found from the pattern of inflations alone (``clock.py``). Where it cannot be found with
confidence, nothing of that log is paired: no verdict is better than a wrong one.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from extractor.audit.clock import Clock, Mark, find_clock
from extractor.audit.inflations import Inflation
from extractor.audit.pressure_log import PressureLog
from extractor.errors import InputError
from extractor.model import Check, Event, Frozen, Kind, Status, Timeline, Value
from extractor.units import convert

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

Verdict = Literal["agrees", "differs", "not-logged", "not-spoken"]

#: Beyond half of the last digit said, a gauge and a log may differ by so much: reading and jitter in atm, or bar read
#: out as atmospheres (101325 Pa over 100000 Pa: NIST SP 811, appendix B.8), whichever is more.
READING_ATM, BAR_SHARE = 0.3, 0.01325
#: Holds agree within the larger of these: people count and round (common practice, no source).
HOLD_S, HOLD_SHARE = 5.0, 0.2
#: A peak is spoken of within so many seconds of being reached, or while it is held and so long after.
NEAR_S = 10.0
#: Seconds that weigh as much as one atmosphere when pairs are chosen.
_SECONDS_AN_ATM, _MOST_ATM = 1.5, 6.0

#: Flag of an event -> and code of the check that goes with it.
DIFFERS, NOT_LOGGED = "log-differs", "not-logged"
NOT_SPOKEN, HOLD_DIFFERS, NO_CLOCK = "not-spoken", "hold-differs", "log-clock-not-found"
OUTSIDE = "Outside the recording."
CODES = (DIFFERS, NOT_LOGGED, NOT_SPOKEN, HOLD_DIFFERS, NO_CLOCK)


class Compared(Frozen):
    """One inflation, spoken, logged or both. Pressures in atm, times in ms each on its own clock, holds in s."""

    event: str | None = None
    spoken_atm: float | None = None
    logged_atm: float | None = None
    difference_atm: float | None = None  # logged less spoken
    tolerance_atm: float | None = None
    spoken_ms: int | None = None
    logged_ms: int | None = None
    logged_on_recording_ms: int | None = None
    verdict: Verdict
    spoken_hold_s: float | None = None
    logged_hold_s: float | None = None
    hold_verdict: Literal["agrees", "differs"] | None = None
    fits_alternative_atm: float | None = None  # what else may have been said, where that agrees with the log
    log: str | None = None
    note: str | None = None


class LogClock(Frozen):
    """One log and its clock: ``log_ms = recording_ms * (1 + drift_ppm / 1e6) + offset_ms``. None: not found."""

    name: str
    sha256: str
    unit: str
    clock: str
    day: str | None
    rows: str
    inflations: int
    found: bool
    offset_ms: int | None = None
    drift_ppm: float | None = None
    offset_error_ms: int | None = None
    drift_error_ppm: float | None = None
    why: str | None = None
    repairs: tuple[str, ...] = ()


class CrossCheck(Frozen):
    """The whole answer. ``offset_ms`` and ``drift_ppm`` are those of the first log whose clock was found."""

    format: Literal["pressure-crosscheck/1"] = "pressure-crosscheck/1"
    recording: str
    offset_ms: int | None
    drift_ppm: float | None
    pairs: tuple[Compared, ...]
    not_spoken: tuple[Compared, ...]
    not_logged: tuple[Compared, ...]
    logs: tuple[LogClock, ...]

    @property
    def clock_found(self) -> bool:
        return any(log.found for log in self.logs)


@dataclass(frozen=True)
class _Spoken:
    """One inflation that was told as done: when its peak was said, in s from the start of the recording."""

    event: Event
    pressure: Value | None
    atm: float | None
    hold_s: float | None
    at_s: float
    down_s: float | None


@dataclass(frozen=True)
class _Logged:
    """One logged inflation on the recording's clock, s."""

    log: PressureLog
    inflation: Inflation
    at_s: float
    down_s: float


def cross_check(timeline: Timeline, logs: Sequence[PressureLog]) -> CrossCheck:
    """Timeline and its logs, each with a clock of its own -> CrossCheck. InputError where a log is given twice."""
    for place, log in enumerate(logs):
        if log.sha256 in {other.sha256 for other in logs[:place]}:
            raise InputError(f"{log.name}: the same log twice; give each once")
    spoken = [_spoken(timeline, event) for event in timeline.events if _is_inflation(event)]
    marks = [Mark(each.at_s, each.atm, each.hold_s, each.down_s) for each in spoken]
    clocks = [find_clock(marks, [_mark(each) for each in log.inflations]) for log in logs]
    heard = [(log, clock) for log, clock in zip(logs, clocks, strict=True) if isinstance(clock, Clock)]
    logged = sorted((each for log, clock in heard for each in _on_recording(log, clock)), key=lambda each: each.at_s)
    pairs = _pair(spoken, logged) if heard else {}
    taken = set(pairs.values())
    compared = [_compare(spoken[first], logged[second]) for first, second in sorted(pairs.items())]
    lone = [each for place, each in enumerate(spoken) if place not in pairs] if heard else []
    end_s = timeline.recording.duration_ms / 1000
    return CrossCheck(
        recording=timeline.recording.sha256,
        offset_ms=next((round(clock.offset_s * 1000) for _, clock in heard), None),
        drift_ppm=next((round(clock.drift_ppm, 1) for _, clock in heard), None),
        pairs=tuple(each for each in compared if each.verdict in ("agrees", "differs")),
        not_spoken=(
            *(each for each in compared if each.verdict == "not-spoken"),
            *(_not_spoken(each, end_s) for place, each in enumerate(logged) if place not in taken),
        ),
        not_logged=tuple(_not_logged(each, heard) for each in lone),
        logs=tuple(_log_clock(log, clock) for log, clock in zip(logs, clocks, strict=True)),
    )


# --- what was spoken


def _is_inflation(event: Event) -> bool:
    told = event.kind is Kind.INFLATION or (event.kind is Kind.STENT and "pressure" in event.values)
    return told and event.status is Status.DONE


def _spoken(timeline: Timeline, event: Event) -> _Spoken:
    pressure, duration = event.values.get("pressure"), event.values.get("duration")
    first, past = event.words
    at_ms = float(event.start_ms)
    # A pressure carried over was said at another inflation: then the event's own words tell when.
    if pressure and first <= pressure.words[0] < pressure.words[1] <= past and pressure.words[1] <= len(timeline.words):
        said = timeline.words[pressure.words[0] : pressure.words[1]]
        at_ms = (said[0].start_ms + said[-1].end_ms) / 2
    # What an event rests on after its last figure is, more often than not, the word that lets the balloon down.
    last = max((value.words[1] for value in event.values.values()), default=past)
    down_ms = event.end_ms if last < past else None
    return _Spoken(
        event=event,
        pressure=pressure,
        atm=None if pressure is None else _converted(event, pressure, "atm"),
        hold_s=None if duration is None else _converted(event, duration, "s"),
        at_s=at_ms / 1000,
        down_s=None if down_ms is None else down_ms / 1000,
    )


def _converted(event: Event, value: Value, unit: str) -> float:
    try:
        return convert(value.value, value.unit, unit)
    except ValueError as error:
        raise InputError(f"event {event.id} of the draft: {error}; put its value right in timeline.json") from error


def tolerance_atm(value: float, unit: str) -> float:
    """A spoken pressure -> how far the logged one may lie from it, atm.

    Half of the step it was said in (whole atmospheres: 0.5; tens of psi: 5 psi), and ``READING_ATM`` or ``BAR_SHARE``.
    """
    step = {"[psi]": 10.0, "kPa": 50.0}.get(unit, 1.0)
    step = step if value % step == 0 else step / 10 if value % (step / 2) else step / 2
    atm = convert(value, unit, "atm")
    return convert(step / 2, unit, "atm") + max(READING_ATM, BAR_SHARE * atm)


# --- one to one


def _mark(inflation: Inflation) -> Mark:
    down_s = None if inflation.down_ms is None else inflation.down_ms / 1000
    return Mark(inflation.peak_ms / 1000, inflation.atm, inflation.hold_s, down_s)


def _on_recording(log: PressureLog, clock: Clock) -> Iterable[_Logged]:
    for each in log.inflations:
        down_ms = each.peak_ms if each.down_ms is None else each.down_ms
        yield _Logged(log, each, clock.on_recording(each.peak_ms / 1000), clock.on_recording(down_ms / 1000))


def _pair(spoken: Sequence[_Spoken], logged: Sequence[_Logged]) -> dict[int, int]:
    """Places of spoken -> places of logged ones: as many as can be, the nearest in time and pressure, one to one."""
    import numpy as np
    from scipy.optimize import linear_sum_assignment

    if not spoken or not logged:
        return {}
    said = np.array([each.at_s for each in spoken])[:, None]
    peak, down = np.array([each.at_s for each in logged]), np.array([each.down_s for each in logged])
    # While it is held its peak may still be spoken of, though most say it at once.
    away = np.maximum(peak - said, np.maximum(0, said - down)) + 0.2 * np.clip(said - peak, 0, down - peak)
    atm = np.array([np.nan if each.atm is None else each.atm for each in spoken])[:, None]
    apart = np.nan_to_num(np.minimum(np.abs(atm - np.array([each.inflation.atm for each in logged])), _MOST_ATM))
    out_of_reach = (peak - said > NEAR_S) | (said - down > NEAR_S)
    cost = np.where(out_of_reach, 1e6, away + _SECONDS_AN_ATM * apart)
    rows, columns = linear_sum_assignment(cost)
    return {int(row): int(column) for row, column in zip(rows, columns, strict=True) if cost[row, column] < 1e6}


def _compare(said: _Spoken, logged: _Logged) -> Compared:
    inflation = logged.inflation
    hold_verdict = _hold_verdict(said.hold_s, inflation)
    both: dict[str, Any] = {
        "event": said.event.id,
        "logged_atm": inflation.atm,
        "spoken_ms": round(said.at_s * 1000),
        "logged_ms": inflation.peak_ms,
        "logged_on_recording_ms": round(logged.at_s * 1000),
        "spoken_hold_s": said.hold_s,
        "logged_hold_s": inflation.hold_s,
        "hold_verdict": hold_verdict,
        "log": logged.log.name,
        "note": "The log is silent within this inflation." if inflation.cut else None,
    }
    if said.pressure is None or said.atm is None:
        return Compared(**both, verdict="not-spoken")
    tolerance = tolerance_atm(said.pressure.value, said.pressure.unit)
    difference = inflation.atm - said.atm
    agrees = abs(difference) <= tolerance
    return Compared(
        **both,
        spoken_atm=round(said.atm, 2),
        difference_atm=round(difference, 2),
        tolerance_atm=round(tolerance, 2),
        verdict="agrees" if agrees else "differs",
        fits_alternative_atm=None if agrees else _fitting_alternative(said.pressure, inflation.atm),
    )


def _hold_verdict(said_s: float | None, inflation: Inflation) -> Literal["agrees", "differs"] | None:
    if said_s is None or inflation.hold_s is None or inflation.cut:
        return None
    return "agrees" if abs(inflation.hold_s - said_s) <= max(HOLD_S, HOLD_SHARE * said_s) else "differs"


def _fitting_alternative(pressure: Value, logged_atm: float) -> float | None:
    for rival in pressure.alternatives:
        unit = rival.unit or pressure.unit
        atm = convert(rival.value, unit, "atm")
        if abs(logged_atm - atm) <= tolerance_atm(rival.value, unit):
            return round(atm, 2)
    return None


def _not_spoken(logged: _Logged, end_s: float) -> Compared:
    beside = logged.down_s < 0 or logged.at_s > end_s
    return Compared(
        logged_atm=logged.inflation.atm,
        logged_ms=logged.inflation.peak_ms,
        logged_on_recording_ms=round(logged.at_s * 1000),
        logged_hold_s=logged.inflation.hold_s,
        log=logged.log.name,
        verdict="not-spoken",
        note=OUTSIDE if beside else None,
    )


def _not_logged(said: _Spoken, heard: Sequence[tuple[PressureLog, Clock]]) -> Compared:
    covered = any(_covers(log, clock, said.at_s) for log, clock in heard)
    return Compared(
        event=said.event.id,
        spoken_atm=None if said.atm is None else round(said.atm, 2),
        spoken_ms=round(said.at_s * 1000),
        spoken_hold_s=said.hold_s,
        verdict="not-logged",
        note=None if covered else "No log has samples from this time.",
    )


def _covers(log: PressureLog, clock: Clock, at_s: float) -> bool:
    at_ms = (at_s * (1 + clock.drift_ppm * 1e-6) + clock.offset_s) * 1000
    silent = any(start < at_ms < end for start, end in log.silences)
    return log.start_ms <= at_ms <= log.end_ms and not silent


def _log_clock(log: PressureLog, clock: Clock | str) -> LogClock:
    about: dict[str, Any] = {
        "name": log.name,
        "sha256": log.sha256,
        "unit": log.unit,
        "clock": log.clock,
        "day": log.day,
        "rows": log.rows,
        "inflations": len(log.inflations),
        "repairs": log.repairs,
    }
    if isinstance(clock, str):
        return LogClock(**about, found=False, why=clock)
    return LogClock(
        **about,
        found=True,
        offset_ms=round(clock.offset_s * 1000),
        drift_ppm=round(clock.drift_ppm, 1),
        offset_error_ms=round(clock.offset_error_s * 1000),
        drift_error_ppm=round(clock.drift_error_ppm, 1),
    )


# --- onto the timeline


def flag_timeline(timeline: Timeline, result: CrossCheck) -> Timeline:
    """Timeline and its CrossCheck -> the timeline with every disagreement as a check, and a flag on its event.

    What an earlier cross-check left is replaced, so that doing it twice is doing it once. An event that asks for a look
    goes on asking.
    """
    flags = {each.event: DIFFERS for each in result.pairs if each.verdict == "differs"}
    flags |= {each.event: NOT_LOGGED for each in result.not_logged if each.note is None}
    return timeline.model_copy(
        update={
            "events": tuple(_flagged(event, flags.get(event.id)) for event in timeline.events),
            "checks": (*(check for check in timeline.checks if check.code not in CODES), *_checks(result)),
        }
    )


def _flagged(event: Event, flag: str | None) -> Event:
    flags = tuple(each for each in event.flags if each not in (DIFFERS, NOT_LOGGED))
    if flag is None:
        return event.model_copy(update={"flags": flags})
    return event.model_copy(update={"flags": (*flags, flag), "review": True})


def _checks(result: CrossCheck) -> Iterable[Check]:
    for log in result.logs:
        if log.why:
            yield Check(code=NO_CLOCK, severity="note", message=f"Pressure log {log.name} was not compared: {log.why}.")
    for each in result.pairs:
        if each.verdict == "differs":
            rival = each.fits_alternative_atm
            fits = "" if rival is None else f"; it fits {_atm(rival)}, also heard"
            yield _check(DIFFERS, each, f"Spoken {_atm(each.spoken_atm)}, logged {_atm(each.logged_atm)}{fits}.")
    for each in (*result.pairs, *result.not_spoken):
        if each.hold_verdict == "differs":
            message = f"Held {each.spoken_hold_s:g} s as spoken, {each.logged_hold_s:g} s in the log."
            yield _check(HOLD_DIFFERS, each, message, severity="note")
    for each in result.not_logged:
        said = "An inflation without a pressure" if each.spoken_atm is None else _atm(each.spoken_atm)
        message = f"Spoken: {said}. {each.note or 'The log has no inflation there.'}"
        yield _check(NOT_LOGGED, each, message, severity="note" if each.note else "review")
    for each in result.not_spoken:
        outside = each.note == OUTSIDE
        where = "outside the recording" if outside else f"at {_minutes(each.logged_on_recording_ms or 0)}"
        message = f"Logged {_atm(each.logged_atm)} {where}; no pressure was spoken."
        yield _check(NOT_SPOKEN, each, message, severity="note" if outside else "review")


def _check(code: str, row: Compared, message: str, severity: Literal["note", "review"] = "review") -> Check:
    return Check(code=code, severity=severity, message=message, events=(row.event,) if row.event else ())


def _atm(value: float | None) -> str:
    return "no pressure" if value is None else f"{round(value, 1):g} atm"


def _minutes(ms: int) -> str:
    seconds = max(0, ms) // 1000
    return f"{seconds // 60}:{seconds % 60:02}"
