"""A case on the desk: its timeline with its words for people, what somebody changes, its sound and its pictures."""

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, status
from fastapi.responses import FileResponse
from pydantic import BaseModel, Field

from extractor.audit.crosscheck import CrossCheck, cross_check
from extractor.audit.pressure_log import read_log
from extractor.desk import drafting, sound
from extractor.desk.api.asking import Body, CaseId, Desk, Editor, Line, OfDesk, Reader
from extractor.desk.edits import Edit, NewEvent
from extractor.desk.rows import State
from extractor.desk.said import events_said, to_add
from extractor.handover import wording
from extractor.model import FLAGS, UNITS, Change, Event, Kind, Milliseconds, Revision, SignedTimeline, Status, Timeline
from extractor.signing import MEANING
from extractor.units import UNIT_NAMES, VALUE_UNITS

router = APIRouter(tags=["review"])


class ValueText(BaseModel):
    """One value as a person reads it: ``14 atm?`` asks for a look, ``(6 mm)`` was said earlier in the case."""

    key: str
    text: str = Field(examples=["14 atm?"])
    review: bool


class EventText(BaseModel):
    """An event as a person reads it, and why it or its values ask for a look."""

    name: str = Field(examples=["Balloon inflation"])
    values: list[ValueText]
    site: str = Field(examples=["left superficial femoral artery, mid"])
    doubts: list[str]

    @classmethod
    def of(cls, event: Event) -> "EventText":
        return cls(
            name=wording.event_name(event),
            values=[
                ValueText(key=key, text=wording.value_text(key, value), review=value.review)
                for key, value in event.values.items()
            ],
            site=wording.site_text(event.site),
            doubts=list(wording.doubts(event)),
        )


class FilmAnswer(BaseModel):
    """A recording with a picture, and where it lies on the case's clock. Its address: ``/video/{number}``."""

    number: int
    name: str
    offset_ms: int
    duration_ms: int


class TimelineAnswer(BaseModel):
    """The newest state of a case. ``waits``: points nobody looked at yet; ``texts``: by event."""

    head: int
    state: State
    title: str
    timeline: SignedTimeline | Timeline
    waits: list[str]
    texts: dict[str, EventText]
    has_sound: bool
    films: list[FilmAnswer]


class NewRevision(Body):
    """What somebody does to a case that they saw as it was after revision ``base``."""

    base: int = Field(ge=0, le=2**31 - 1)
    edit: Edit
    why: Line | None = Field(None, description="Asked for where something that happened goes.")


class RevisionAnswer(BaseModel):
    """The revision as it is kept, and those of others since ``base``. ``texts``: of the events these changed."""

    revision: Revision
    since: list[Revision]
    head: int
    waits: list[str]
    texts: dict[str, EventText]


class ConflictAnswer(BaseModel):
    """Somebody changed the same meanwhile: what was asked (nothing of it was kept), and what stands."""

    error: dict[str, str]
    mine: list[Change]
    theirs: list[Revision]
    head: int


@router.get("/cases/{case}/timeline", summary="The newest state of a case, with its words for people")
def read_timeline(at: OfDesk, person: Reader, case: CaseId) -> TimelineAnswer:
    head, timeline = at.store.timeline(case)
    row = at.store.case(case)
    at.store.note_access(person.name, "read the timeline", case)
    return TimelineAnswer(
        head=head,
        state=row.state,
        title=row.title,
        timeline=timeline,
        waits=waits(timeline),
        texts={event.id: EventText.of(event) for event in timeline.events},
        has_sound=sound.is_heard(timeline),
        films=[
            FilmAnswer(
                number=film.number,
                name=film.part.name,
                offset_ms=film.part.offset_ms,
                duration_ms=film.part.duration_ms,
            )
            for film in sound.films(timeline, recordings(at, case))
        ],
    )


@router.post(
    "/cases/{case}/revisions",
    status_code=status.HTTP_201_CREATED,
    summary="Change a case",
    responses={409: {"model": ConflictAnswer, "description": "Somebody changed the same meanwhile."}},
)
def change_timeline(at: OfDesk, person: Editor, case: CaseId, new: NewRevision) -> RevisionAnswer:
    """The change is kept when this answers. It is laid on the newest state where it touches nothing that others changed
    since ``base``; else it is refused with both, and nothing is kept.
    """
    revised = at.store.revise(case, new.base, new.edit, person.name, why=new.why or "")
    changed = {event for each in (*revised.since, revised.revision) for event in _events_of(each.changes)}
    return RevisionAnswer(
        revision=revised.revision,
        since=list(revised.since),
        head=revised.head,
        waits=waits(revised.timeline),
        texts={event.id: EventText.of(event) for event in revised.timeline.events if event.id in changed},
    )


class SaidLine(Body):
    """A line as it would be said at the table, and when that was."""

    text: Line = Field(examples=["six by eighty balloon to fourteen"])
    start_ms: Milliseconds
    end_ms: Milliseconds


class SaidAnswer(BaseModel):
    """What a line tells: events as ``add`` takes them, and each as a person reads it."""

    events: list[NewEvent]
    texts: list[EventText]


@router.post("/cases/{case}/reading", summary="Read a line as it would be said; nothing is changed")
def read_line(at: OfDesk, _: Editor, case: CaseId, line: SaidLine) -> SaidAnswer:
    """Whoever adds an event writes it as it would be said, sees how it is read, and adds that."""
    at.store.case(case)
    if line.end_ms < line.start_ms:
        raise HTTPException(422, "It cannot end before it begins.")
    events = events_said(line.text, line.start_ms, line.end_ms, at.lexicon)
    return SaidAnswer(events=[to_add(event) for event in events], texts=[EventText.of(event) for event in events])


@router.get("/cases/{case}/revisions", summary="How a case was changed, since a revision")
def list_revisions(
    at: OfDesk, _: Reader, case: CaseId, since: Annotated[int, Query(ge=0, le=2**31 - 1)] = 0
) -> list[Revision]:
    return list(at.store.revisions(case, since))


@router.get(
    "/cases/{case}/sound",
    summary="The sound of a case on its own clock: the times of its words fit",
    response_class=FileResponse,
    responses={200: {"content": {"audio/webm": {}}, "description": "WebM with Opus; ranges are answered."}},
)
def read_sound(at: OfDesk, _: Reader, case: CaseId) -> FileResponse:
    return FileResponse(_sound(at, case).sound, media_type="audio/webm")


@router.get(
    "/cases/{case}/peaks",
    summary="How loud a case is: a byte for each 20 ms, 255 the most there can be",
    response_class=FileResponse,
    responses={200: {"content": {"application/octet-stream": {}}, "description": "One byte for each 20 ms."}},
)
def read_peaks(at: OfDesk, _: Reader, case: CaseId) -> FileResponse:
    return FileResponse(_sound(at, case).peaks, media_type="application/octet-stream")


@router.get(
    "/cases/{case}/video/{number}",
    summary="A recording with a picture, as it came",
    response_class=FileResponse,
    responses={200: {"content": {"video/*": {}}, "description": "The recording; ranges are answered."}},
)
def read_video(at: OfDesk, _: Reader, case: CaseId, number: int) -> FileResponse:
    """``number``: its place among the parts of the case's recording, from 0."""
    timeline = at.store.timeline(case)[1]
    film = next((film for film in sound.films(timeline, recordings(at, case)) if film.number == number), None)
    if film is None:
        raise HTTPException(404, f"Recording {number} of the case has no picture.")
    # The recording's own type is not guessed: a browser looks into it, and a page is nothing it may make of it.
    return FileResponse(film.path, media_type="video/mp4" if _is_mp4(film.path) else "video/webm")


@router.get("/cases/{case}/crosscheck", summary="Spoken pressures beside those that were logged")
def read_crosscheck(at: OfDesk, _: Reader, case: CaseId) -> CrossCheck | None:
    """By event, and what was logged and not spoken. Null where the case has no log."""
    logs = at.store.logs(case)
    if not logs:
        return None
    timeline = at.store.timeline(case)[1]
    with drafting.lent() as lend:
        read = [read_log(lend.file(drafting.Named(log.name, log.sha256, log.path))) for log in logs]
        return cross_check(timeline, read)


# --- words the page shows

#: Kind of event -> the values it may carry; docs/timeline.md tells what they are.
KIND_KEYS: dict[Kind, tuple[str, ...]] = {
    Kind.ACCESS: ("gauge",),
    Kind.INSERT: ("gauge", "wire_diameter", "diameter", "length"),
    Kind.REMOVE: ("gauge", "wire_diameter", "diameter", "length"),
    Kind.INFLATION: ("pressure", "diameter", "length", "duration"),
    Kind.STENT: ("diameter", "length", "gauge", "pressure", "count"),
    Kind.EMBOLISE: ("diameter", "length", "count", "volume"),
    Kind.RUN: ("volume", "rate", "frame_rate"),
    Kind.DRUG: ("dose",),
    Kind.MEASURE: ("diameter", "length", "gradient", "stenosis", "act", "pressure"),
    Kind.FINDING: ("stenosis", "length", "diameter"),
    Kind.CLOSURE: ("gauge", "duration"),
    Kind.TOTAL: ("contrast_volume", "fluoro_time", "air_kerma", "dap"),
    Kind.REMARK: (),
}


class ValueName(BaseModel):
    """What a value is called, and the units it may be in (UCUM)."""

    name: str
    units: list[str]


class Vocabulary(BaseModel):
    """The words of the trade the desk knows: for choosing and for showing."""

    kinds: dict[Kind, list[str]] = Field(description="Kind of event: the values it may carry.")
    statuses: list[Status]
    units: dict[str, str]
    values: dict[str, ValueName]
    flags: dict[str, str]
    devices: list[str]
    drugs: list[str]
    findings: list[str]
    sites: list[str]
    parts: list[str]
    sides: list[str]
    meaning: str = Field(description="What a signature means where nothing else is said.")


@router.get("/vocabulary", summary="Kinds, units, flags and the lexicon's names")
def read_vocabulary(at: OfDesk, _: Reader) -> Vocabulary:
    lexicon = at.lexicon
    return Vocabulary(
        kinds={kind: list(keys) for kind, keys in KIND_KEYS.items()},
        statuses=list(Status),
        units={unit: UNIT_NAMES.get(unit, unit) for unit in UNITS},
        values={
            key: ValueName(name=wording.VALUE_NAMES.get(key, key.replace("_", " ")), units=list(units))
            for key, units in VALUE_UNITS.items()
        },
        flags=dict(FLAGS),
        devices=[entry.name for entry in lexicon.device],
        drugs=[entry.name for entry in lexicon.drug],
        findings=[entry.name for entry in lexicon.finding],
        sites=[entry.name for entry in lexicon.vessel],
        parts=[entry.name for entry in lexicon.part],
        sides=["left", "right", "both"],
        meaning=MEANING,
    )


# --- what routes share


def waits(timeline: Timeline) -> list[str]:
    """The points that nobody looked at yet, in the order of the case."""
    looked_at = timeline.looked_at
    return [point for point in timeline.open_points if point not in looked_at]


def recordings(at: Desk, case: int) -> dict[str, Path]:
    """The recordings of a case by their SHA-256."""
    return {file.sha256: file.path for file in at.store.case(case).files_of("recording")}


def _sound(at: Desk, case: int) -> sound.CaseSound:
    timeline = at.store.timeline(case)[1]
    made = sound.make(timeline, recordings(at, case), drafting.sound_folder(at.store))
    if made is None:
        raise HTTPException(404, "The case was drafted from a transcript; it has no sound.")
    return made


def _events_of(changes: Iterable[Change]) -> set[str]:
    """The events that changes touch, by their ids."""
    paths = (change.at.split(".") for change in changes)
    return {path[1] for path in paths if path[0] in ("events", "order", "looked")}


def _is_mp4(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(12)[4:8] == b"ftyp"
