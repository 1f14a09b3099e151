"""Timeline -> tracks for a player: chapters of the case's phases, and its events as data. WebVTT, as of ``captions``.

Chapters follow HTML's rule for ``<track kind="chapters">``: one line a cue, a cue lies inside another or beside it,
none overlaps another in part. Events do overlap (a run during an inflation), so they stand in a track of their own, as
JSON, for ``<track kind="metadata">``.

Phases are found by a simple rule of ours: access until the first pictures, those until the first treatment, treatment
until its last step has ended, then the result, closure and totals, each where it was told. Inside the treatment each
inflation, stent and embolic is a chapter until the next one.
"""

import json

from extractor.handover import safety
from extractor.handover.captions import escape, timestamp
from extractor.handover.wording import event_name, plain, settled, site_text, value_texts
from extractor.model import Event, Kind, SignedTimeline, Status, Timeline

_TREATMENT = {Kind.INFLATION, Kind.STENT, Kind.EMBOLISE}
_PICTURES = {Kind.RUN, Kind.FINDING, Kind.MEASURE}

Chapter = tuple[int, int, str]


def chapters(timeline: Timeline) -> list[Chapter]:
    """Timeline -> (start_ms, end_ms, title), outer before inner: the whole case, its phases, the treatment's steps."""
    events = sorted((each for each in timeline.events if each.status is Status.DONE), key=lambda each: each.start_ms)
    last_ms = max([timeline.recording.duration_ms, 1, *(each.end_ms for each in events)])
    treatment = [each for each in events if each.kind in _TREATMENT]
    treated_ms = (treatment[0].start_ms, max(each.end_ms for each in treatment)) if treatment else None
    past_ms = treated_ms[1] if treated_ms else 0

    def first(kinds: set[Kind], from_ms: int) -> int | None:
        return next((each.start_ms for each in events if each.kind in kinds and each.start_ms >= from_ms), None)

    access = first({Kind.ACCESS}, 0)
    pictures = first(_PICTURES, access or 0)
    borders = [(0, "Before access"), (access, "Access"), (pictures, "First pictures")]
    if treated_ms:
        borders = [(at, title) for at, title in borders if at is not None and at < treated_ms[0]]
        borders += [(treated_ms[0], "Treatment"), (treated_ms[1], "After treatment")]
        borders.append((first(_PICTURES, past_ms), "Result"))
    borders += [(first({Kind.CLOSURE}, past_ms), "Closure"), (first({Kind.TOTAL}, past_ms), "Totals")]
    found: list[Chapter] = []
    at_ms, title = 0, ""
    for next_ms, next_title in sorted((at, title) for at, title in borders if at is not None):
        if next_ms > at_ms:
            found.append((at_ms, next_ms, title))
        at_ms, title = next_ms, next_title
    if events and last_ms > at_ms:
        found.append((at_ms, last_ms, title))
    return [(0, last_ms, _case_title(timeline)), *_with_steps(found, treatment)]


def _with_steps(phases: list[Chapter], treatment: list[Event]) -> list[Chapter]:
    found: list[Chapter] = []
    for start_ms, end_ms, title in phases:
        found.append((start_ms, end_ms, title))
        if title == "Treatment":
            starts = [each.start_ms for each in treatment[1:]] + [end_ms]
            found += [
                (each.start_ms, past_ms, event_text(each))
                for each, past_ms in zip(treatment, starts, strict=True)
                if past_ms > each.start_ms
            ]
    return found


def _case_title(timeline: Timeline) -> str:
    if isinstance(timeline, SignedTimeline):
        return "The case"
    return "DRAFT, not signed: the case"


def event_text(event: Event) -> str:
    """One event in a line: ``Balloon inflation, left, (5 × 80 mm), 10 atm``."""
    return ", ".join(
        filter(None, (event_name(event), site_text(event.site), *(text for text, _ in value_texts(event))))
    )


def write_chapters(timeline: Timeline) -> str:
    """Timeline -> a WebVTT chapter track."""
    blocks = [f"WEBVTT\n\nNOTE {escape(safety(timeline))}"]
    blocks += [
        f"{timestamp(start_ms)} --> {timestamp(end_ms)}\n{escape(title)}"
        for start_ms, end_ms, title in chapters(timeline)
    ]
    return "\n\n".join(blocks) + "\n"


def write_event_track(timeline: Timeline) -> str:
    """Timeline -> a WebVTT metadata track: a cue an event, its id the event's, its text the event as JSON in ASCII."""
    blocks = [f"WEBVTT\n\nNOTE {escape(safety(timeline))}"]
    for event in sorted(timeline.events, key=lambda event: (event.start_ms, event.id)):
        told = {"state": timeline.state, "shown": event_text(event), **event.model_dump(mode="json", exclude={"rule"})}
        marks = {event.id: event.review} | {f"{event.id}.{key}": value.review for key, value in event.values.items()}
        told["settled"] = {point: settled(timeline, point) for point, review in marks.items() if review}
        # "-->" would end a cue: in JSON a letter may stand as its number.
        text = json.dumps(told).replace(">", "\\u003e")
        end_ms = max(event.end_ms, event.start_ms + 1)
        blocks.append(f"{escape(plain(event.id))}\n{timestamp(event.start_ms)} --> {timestamp(end_ms)}\n{text}")
    return "\n\n".join(blocks) + "\n"
