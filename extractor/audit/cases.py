"""Folders -> every case in them, with what its pressures were compared to, as rows; and what could not be read.

A case is a ``timeline.json``. A cross-check is a file that ``extractor crosscheck`` wrote, found by its content, and
belongs to the case of its recording. One that speaks of another draft of that recording is not used: its events would
be others.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from extractor import draft_folder
from extractor.audit.crosscheck import Compared, CrossCheck
from extractor.errors import ExtractorError, InputError
from extractor.handover.tables import Column, Row
from extractor.handover.wording import clock, looks, needs_look
from extractor.model import Event, Kind, SignedTimeline, Status, Timeline
from extractor.units import BALLOON_PRESSURES, convert

UNKNOWN, UNSIGNED, NOT_COMPARED = "unknown", "nobody yet", "not-compared"
#: In the order they ask for a look.
VERDICTS = ("differs", "not-logged", "not-spoken", NOT_COMPARED, "agrees")
#: A cross-check writes atmospheres with two decimals.
_SAME_ATM = 0.01
_SIGN = b'"pressure-crosscheck/1"'

PRESSURES = (
    Column("case", str, "the folder of the case, from the folder that was given"),
    Column("event", str, "the event's id in timeline.json; empty where nothing was spoken"),
    Column("kind", str, "inflation or stent"),
    Column("device", str, "what device, by the lexicon's name"),
    Column("diameter_mm", float, "its diameter as spoken"),
    Column("length_mm", float, "its length as spoken"),
    Column("spoken", float, "the pressure in the unit spoken"),
    Column("unit", str, "UCUM code"),
    Column("spoken_atm", float, "the same in atmospheres"),
    Column("spoken_ms", int, "when it was told, milliseconds from the start of the recording"),
    Column("clock", str, "when on the recording, as hours, minutes and seconds; of a pressure nobody spoke the log's"),
    Column("heard", str, "the words it was read from"),
    Column("review", bool, "whether the value or its event asks for a look"),
    Column("flags", str, "why, as codes of timeline.json"),
    Column("logged_atm", float, "what the log has"),
    Column("logged_ms", int, "when, milliseconds on the log's clock"),
    Column("difference_atm", float, "logged less spoken"),
    Column("tolerance_atm", float, "how far they may be apart and agree"),
    Column("verdict", str, "agrees, differs, not-logged, not-spoken, or not-compared: no cross-check of this case"),
    Column("spoken_hold_s", float, "how long it was said to be held"),
    Column("logged_hold_s", float, "how long the log has it held"),
    Column("hold_verdict", str, "agrees or differs"),
    Column("log", str, "the log's file"),
    Column("note", str, "what else the cross-check says"),
    Column("state", str, "draft or signed"),
    Column("reviewer", str, "who signed, else nobody yet"),
    Column("recorded_at", str, "when it was recorded"),
    Column("recording", str, "SHA-256 of the recording"),
)  # fmt: skip

CASES = (
    Column("rank", int, "1 asks for a look first"),
    Column("case", str, "the folder of the case, from the folder that was given"),
    Column("state", str, "draft or signed"),
    Column("reviewer", str, "who signed, else nobody yet"),
    Column("recorded_at", str, "when it was recorded"),
    Column("disagreements", int, "pressures that differ, are not logged or not spoken"),
    Column("cautions", int, "checks that ask for a look"),
    Column("looks", int, "all that asks for a look before sign-off; of a signed case nothing does"),
    Column("pressures", int, "spoken pressures"),
    Column("compared", bool, "whether a cross-check with a clock was found"),
    Column("recording", str, "SHA-256 of the recording"),
)


@dataclass(frozen=True)
class Case:
    """One case, without its words. ``pressures`` are rows of ``PRESSURES``."""

    name: str
    state: str
    reviewer: str
    recorded_at: str | None
    recording: str
    cautions: int
    looks: int
    compared: bool
    pressures: tuple[Row, ...]

    @property
    def month(self) -> str:
        """``2026-04``, or unknown."""
        return self.recorded_at[:7] if self.recorded_at else UNKNOWN

    @property
    def disagreements(self) -> int:
        return sum(row["verdict"] in ("differs", "not-logged", "not-spoken") for row in self.pressures)

    @property
    def urgency(self) -> tuple[int, int, int]:
        """More asks for a look earlier: pressures that disagree, then cautions, then all else."""
        return self.disagreements, self.cautions, self.looks


@dataclass(frozen=True)
class Audit:
    """Cases, the one that asks most for a look first; and a sentence for each file that was not used."""

    cases: tuple[Case, ...]
    faults: tuple[str, ...]

    def pressures(self) -> list[Row]:
        return [row for case in sorted(self.cases, key=lambda case: case.name) for row in case.pressures]

    def ranking(self) -> list[Row]:
        shown = ("state", "reviewer", "recorded_at", "disagreements", "cautions", "looks", "compared", "recording")
        return [
            {"rank": rank, "case": case.name}
            | {name: getattr(case, name) for name in shown}
            | {"pressures": sum(row["event"] is not None for row in case.pressures)}
            for rank, case in enumerate(self.cases, 1)
        ]


@dataclass(frozen=True)
class Told:
    """A case that lies in no folder, with its cross-check where it has a log, and what could not be used of it."""

    name: str
    timeline: Timeline | None
    check: CrossCheck | None = None
    faults: tuple[str, ...] = ()


def read_cases(places: Sequence[Path], told: Iterable[Told] = ()) -> Audit:
    """Folders, and cases from elsewhere -> Audit. What cannot be used is named among the faults and stops nothing.

    InputError where a place is no folder, or no case can be read at all.
    """
    for place in places:
        if not place.is_dir():
            raise InputError(f"{place}: no such folder; give folders that hold drafts or signed cases")
    faults: list[str] = []
    checks = _crosschecks(places, faults)
    cases: dict[str, Case] = {}

    def add(case: Case) -> None:
        other = cases.get(case.recording)
        if other is None:
            cases[case.recording] = case
            return
        # The signed one of two is the record.
        kept, left = (case, other) if (case.state, other.state) == ("signed", "draft") else (other, case)
        cases[case.recording] = kept
        faults.append(f"{left.name}: the same recording as {kept.name}, and counted there")

    for name, path in _found(places, draft_folder.TIMELINE):
        try:
            timeline = draft_folder.read(path)
        except ExtractorError as error:
            faults.append(str(error))
            continue
        source, check = checks.get(timeline.recording.sha256) or (None, None)
        add(_case(name, timeline, source, check, faults))
    for each in told:
        faults += each.faults
        if each.timeline:
            add(_case(each.name, each.timeline, each.name, each.check, faults))
    if not cases:
        where = f"{places[0]}: " if places else ""
        raise InputError(f"{where}no case that can be read; {faults[0] if faults else 'draft recordings into it'}")
    ranked = sorted(cases.values(), key=lambda case: ([-part for part in case.urgency], case.name))
    return Audit(tuple(ranked), tuple(sorted(faults)))


def _found(places: Sequence[Path], pattern: str) -> Iterator[tuple[str, Path]]:
    """Name and place of each file, in order of its name: the folder it lies in, from the folder that was given."""
    found = {}
    for place in places:
        for path in place.rglob(pattern):
            inside = path.parent.relative_to(place).as_posix()
            found[path.resolve()] = (f"{place.name}/{inside}".removesuffix("/."), path)
    yield from sorted(found.values())


def _crosschecks(places: Sequence[Path], faults: list[str]) -> dict[str, tuple[Path, CrossCheck] | None]:
    """SHA-256 of a recording -> its cross-check; None where there are two."""
    checks: dict[str, tuple[Path, CrossCheck] | None] = {}
    for _, path in _found(places, "*.json"):
        try:
            if path.name == draft_folder.TIMELINE or _SIGN not in path.read_bytes()[:200]:
                continue
            read = CrossCheck.model_validate_json(path.read_bytes())
        except (OSError, ValidationError) as error:
            faults.append(f"{path}: a cross-check that cannot be read ({type(error).__name__}); make it again")
            continue
        if read.recording in checks:
            faults.append(f"{path}: another cross-check of the same recording; neither is used, leave one")
            checks[read.recording] = None
        else:
            checks[read.recording] = (path, read)
    return checks


def _case(name: str, timeline: Timeline, source: object, check: CrossCheck | None, faults: list[str]) -> Case:
    """A case, with the cross-check of its recording from ``source``, where there is one that speaks of these events."""
    signed = isinstance(timeline, SignedTimeline)
    about = {
        "case": name,
        "state": timeline.state,
        "reviewer": timeline.signature.name if isinstance(timeline, SignedTimeline) else UNSIGNED,
        "recorded_at": timeline.recording.recorded_at,
        "recording": timeline.recording.sha256,
    }
    spoken = [event for event in timeline.events if _has_pressure(event)]
    if check and not _fits(check, timeline):
        faults.append(f"{source}: made of another draft than {name}, not used; make it again")
        check = None
    compared = {row.event: row for row in (*check.pairs, *check.not_spoken, *check.not_logged)} if check else {}
    alone = [row for row in check.not_spoken if row.event is None] if check else []
    found = check is not None and check.clock_found
    rows = [_spoken_row(event, compared.get(event.id), found) for event in spoken]
    rows += [_compared_cells(row) | {"clock": clock(max(0, row.logged_on_recording_ms or 0))} for row in alone]
    blank = dict.fromkeys(column.name for column in PRESSURES)
    return Case(
        name=name,
        state=timeline.state,
        reviewer=str(about["reviewer"]),
        recorded_at=timeline.recording.recorded_at,
        recording=timeline.recording.sha256,
        cautions=sum(each.severity == "review" for each in timeline.checks),
        looks=0 if signed else looks(timeline),
        compared=found,
        pressures=tuple(blank | about | row for row in rows),
    )


def _has_pressure(event: Event) -> bool:
    value = event.values.get("pressure")
    told = event.status is Status.DONE and event.kind in (Kind.INFLATION, Kind.STENT)
    return told and value is not None and value.unit in BALLOON_PRESSURES


def _fits(check: CrossCheck, timeline: Timeline) -> bool:
    """Whether a cross-check speaks of these events with these pressures."""
    events = {event.id: event for event in timeline.events}
    for row in (*check.pairs, *check.not_logged):
        value = events[row.event].values.get("pressure") if row.event in events else None
        if row.event not in events or (value is None) != (row.spoken_atm is None):
            return False
        atm = convert(value.value, value.unit, "atm") if value else None
        if atm is not None and row.spoken_atm is not None and abs(atm - row.spoken_atm) > _SAME_ATM:
            return False
    return True


def _spoken_row(event: Event, row: Compared | None, compared: bool) -> Row:
    pressure = event.values["pressure"]
    size = {
        f"{key}_mm": convert(value.value, value.unit, "mm")
        for key in ("diameter", "length")
        if (value := event.values.get(key)) and value.unit in ("mm", "cm")
    }
    return {
        "event": event.id,
        "kind": event.kind.value,
        "device": event.device,
        **size,
        "spoken": pressure.value,
        "unit": pressure.unit,
        "spoken_atm": round(convert(pressure.value, pressure.unit, "atm"), 2),
        "spoken_ms": event.start_ms,
        "clock": clock(event.start_ms),
        "heard": pressure.heard,
        "review": needs_look(event),
        "flags": " ".join(dict.fromkeys((*event.flags, *pressure.flags))),
        **(_compared_cells(row) if row and compared else {"verdict": NOT_COMPARED}),
    }


def _compared_cells(row: Compared) -> dict[str, Any]:
    names = (
        "logged_atm", "logged_ms", "difference_atm", "tolerance_atm", "verdict", "spoken_hold_s", "logged_hold_s",
        "hold_verdict", "log", "note",
    )  # fmt: skip
    cells: dict[str, Any] = {name: getattr(row, name) for name in names}
    if row.logged_atm is not None:
        cells["logged_atm"] = round(row.logged_atm, 2)
    return cells
