"""Timeline -> one plain page: the case, what needs a look, the steps, the totals."""

import textwrap

from extractor.handover import safety
from extractor.handover.wording import (
    RECORDED,
    clock,
    correction_text,
    counts_text,
    doubts,
    event_name,
    gap_text,
    made_by_text,
    needs_look,
    plain,
    recording_text,
    site_text,
    value_texts,
)
from extractor.model import Event, Kind, Status, Timeline

WIDTH = 96
MARGIN = " " * 19
#: Stands for a space inside a figure while lines are broken.
UNBROKEN = "\N{NO-BREAK SPACE}"


def write_summary(timeline: Timeline) -> str:
    """Timeline -> plain text, at most 96 letters wide. Holds what happened; what was only talked of is counted."""
    recorded = [event for event in timeline.events if event.status in RECORDED]
    steps = [event for event in recorded if event.kind is not Kind.TOTAL]
    totals = [event for event in recorded if event.kind is Kind.TOTAL]
    title = f"{timeline.state.upper()} TIMELINE OF A PROCEDURE"
    lines = [title, *textwrap.wrap(safety(timeline), WIDTH), ""]
    lines += _entry("Case", recording_text(timeline.recording))
    lines += _entry("Heard by", made_by_text(timeline))
    lines += _entry("Events", counts_text(timeline.events) or "none")
    lines += ["", "NEEDS A LOOK", *(_looks(timeline) or ["  nothing is marked; the draft still wants reading"])]
    lines += ["", "STEPS", *(line for event in steps for line in _step(event))]
    lines += [] if steps else ["  none"]
    lines += ["", "TOTALS", *(line for event in totals for line in _step(event))]
    lines += [] if totals else ["  none said"]
    lines += ["", "14 atm? wants a look. (6 mm) was said earlier in the case, not at this step."]
    return "\n".join(lines) + "\n"


def _looks(timeline: Timeline) -> list[str]:
    """Everything that wants a look, in order of time; cautions about the whole case last."""
    found: list[tuple[int, str, str]] = []
    for event in timeline.events:
        if needs_look(event):
            status = "" if event.status is Status.DONE else f" ({event.status})"
            found.append((event.start_ms, event.id, f"{event_name(event)}{status}. {' '.join(doubts(event))}"))
    for gap in timeline.gaps:
        found.append((gap.start_ms, "gap", f"{gap_text(gap)}. {plain(gap.why)}"))
    for correction in timeline.corrections:
        if correction.review:
            start_ms = timeline.words[correction.words[0]].start_ms
            found.append((start_ms, "words", f"{correction_text(correction)}?"))
    lines = [line for start_ms, what, text in sorted(found) for line in _row(clock(start_ms), what, text)]
    checks = timeline.cautions.values()
    for check in sorted(checks, key=lambda check: check.severity, reverse=True):  # review, then note
        word = "caution" if check.severity == "review" else "note"
        time = clock(timeline.words[check.words[0]].start_ms) if check.words else ""
        lines += _row(time, word, f"{plain(check.message)} {' '.join(check.events)}".rstrip())
    return lines


def _step(event: Event) -> list[str]:
    where = site_text(event.site)
    values = ", ".join(text.replace(" ", UNBROKEN) for text, _ in value_texts(event))
    name = event_name(event) if event.kind is not Kind.TOTAL or not values else ""
    return _row(clock(event.start_ms), event.id, "; ".join(filter(None, (name, where, values))))


def _row(time: str, what: str, text: str) -> list[str]:
    return [
        line.replace(UNBROKEN, " ")
        for line in textwrap.wrap(text, WIDTH, initial_indent=f"{time:>8}  {what:<9}", subsequent_indent=MARGIN)
    ]


def _entry(name: str, text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=f"{name:<10}", subsequent_indent=" " * 10)
