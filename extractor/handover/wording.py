"""Events, values and doubts -> the words a person reads. One wording for the terminal, the summary and the rest.

Marks: ``14 atm?`` asks for a look, ``(6 mm)`` was said earlier in the case and is carried over. Figures follow the
advice of the ISMP's list of error-prone abbreviations (from memory): a zero before the point, none after it, thousands
with a comma, "units" and "micrograms" in full.
"""

from collections import Counter
from collections.abc import Iterable

from extractor.model import (
    CLOSE,
    FLAGS,
    Alternative,
    Correction,
    Earlier,
    Event,
    Gap,
    Kind,
    Recording,
    Revision,
    SignedTimeline,
    Site,
    Status,
    Timeline,
    Value,
)
from extractor.units import figure

#: Value key -> the word before its figure, where the unit alone does not tell what it is.
VALUE_NAMES = {
    "wire_diameter": "wire",
    "duration": "for",
    "count": "count",
    "gradient": "gradient",
    "stenosis": "stenosis",
    "act": "ACT",
    "contrast_volume": "contrast",
    "fluoro_time": "screening",
    "air_kerma": "air kerma",
    "dap": "dose area product",
}

#: Kind of event -> what is said of it, with the thing (device, drug, finding) put in.
EVENT_NAMES = {
    Kind.ACCESS: "access",
    Kind.INSERT: "{} in",
    Kind.REMOVE: "{} out",
    Kind.INFLATION: "{} inflation",
    Kind.STENT: "{} deployment",
    Kind.EMBOLISE: "{} delivered",
    Kind.RUN: "contrast run",
    Kind.DRUG: "{}",
    Kind.MEASURE: "measurement",
    Kind.FINDING: "{}",
    Kind.CLOSURE: "closure",
    Kind.TOTAL: "total",
    Kind.REMARK: "remark",
}

#: What stands in an event's name where nobody said which.
UNNAMED = {
    Kind.INSERT: "device",
    Kind.REMOVE: "device",
    Kind.INFLATION: "balloon",
    Kind.STENT: "stent",
    Kind.EMBOLISE: "embolic",
    Kind.DRUG: "drug",
    Kind.FINDING: "finding",
}


#: What a record of the case would hold: what happened, and what was said not to be there or not to be done.
RECORDED = (Status.DONE, Status.NEGATED)


def clock(ms: int) -> str:
    """Milliseconds from the start of the case -> ``1:23``, from one hour on ``1:02:03``."""
    minutes, seconds = divmod(ms // 1000, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"


def plain(text: str) -> str:
    """Any text -> one line that a terminal or a text file can hold: control characters become a visible sign."""
    return "".join(letter if letter.isprintable() else "\ufffd" for letter in " ".join(text.split()))


def value_text(key: str, value: Value) -> str:
    """One value -> its name, figure and mark: ``contrast 85 mL?``."""
    return _marked(f"{VALUE_NAMES.get(key, '')} {figure(value.value, value.unit)}".lstrip(), (value,))


def value_texts(event: Event) -> tuple[tuple[str, bool], ...]:
    """An event's values in reading order -> (text, whether it wants a look). Diameter and length stand as one size."""
    texts: list[tuple[str, bool]] = []
    diameter, length = event.values.get("diameter"), event.values.get("length")
    for key, value in event.values.items():
        if diameter and length and key in ("diameter", "length"):
            if key == "diameter":
                texts.append((_size(diameter, length), diameter.review or length.review))
        else:
            texts.append((value_text(key, value), value.review))
    return tuple(texts)


def event_name(event: Event) -> str:
    """What it is: ``Balloon inflation``, ``No dissection``, ``Not done: stent deployment``."""
    thing = event.drug or event.finding or event.device or UNNAMED.get(event.kind, "")
    name = EVENT_NAMES[event.kind].format(thing)
    if event.kind is Kind.CLOSURE and event.device:
        name = f"closure, {event.device}"
    if event.status is Status.NEGATED:
        name = f"no {name}" if event.kind is Kind.FINDING else f"not done: {name}"
    return plain(name[:1].upper() + name[1:])


def site_text(site: Site | None) -> str:
    """Where in the body: ``left superficial femoral artery, mid``; empty where nobody said."""
    if site is None:
        return ""
    side = "left and right" if site.side == "both" else site.side
    place = " ".join(filter(None, (side, site.name)))
    return plain(", ".join(filter(None, (place, site.part))))


def needs_look(event: Event) -> bool:
    """Whether a person must look at the event or one of its values before sign-off."""
    return event.review or any(value.review for value in event.values.values())


def looks(timeline: Timeline) -> int:
    """How many things a person must look at before sign-off: events, gaps, repairs of words, cautions."""
    marked = [check for check in timeline.checks if check.severity == "review"]
    repairs = [correction for correction in timeline.corrections if correction.review]
    return sum(map(needs_look, timeline.events)) + len(timeline.gaps) + len(repairs) + len(marked)


def doubts(event: Event, *, brief: bool = False) -> tuple[str, ...]:
    """What to look at in an event; empty where nothing asks for it. Values doubted for one reason stand together.

    ``6 Fr, 45 cm: The recogniser was unsure of a word this rests on.``, or brief, ``6 Fr, 45 cm: unsure word``.
    """
    found = [_reasons(event.flags, brief) or "Is this what happened?"] if event.review else []
    together: dict[str, list[str]] = {}
    for key, value in event.values.items():
        if value.review:
            rivals = rivals_text(filter(_close, value.alternatives), value.unit)
            reasons = _reasons(value.flags, brief) or ("" if rivals else "Is this right?")
            name = VALUE_NAMES.get(key, "")
            together.setdefault(reasons, []).append(f"{name} {figure(value.value, value.unit)}{rivals}".lstrip())
    return *found, *(f"{', '.join(texts)}{': ' if why else '?'}{why}" for why, texts in together.items())


def _reasons(flags: tuple[str, ...], brief: bool) -> str:
    # That a value was said earlier is told by its brackets, and is a reason for doubt only where there is no other.
    flags = tuple(flag for flag in flags if flag != "carried-over") or flags
    return ", ".join(flag.replace("-", " ") for flag in flags) if brief else " ".join(flag_sentences(flags))


def flag_sentences(flags: Iterable[str]) -> list[str]:
    """Flag codes -> their sentences; a code nobody wrote a sentence for stands as itself."""
    return [FLAGS.get(flag, f"{flag}.") for flag in flags]


def rivals_text(alternatives: Iterable[Alternative], unit: str | None) -> str:
    """What else a value may be: `` or 40 atm``, `` or 40 atm or 44 atm``; empty where nothing else was heard."""
    return "".join(f" or {figure(rival.value, rival.unit or unit)}" for rival in alternatives)


def correction_text(correction: Correction) -> str:
    """A repair -> ``heard “pepper and”, read heparin``."""
    return f"heard “{plain(correction.heard)}”, read {plain(correction.read)}"


def counts_text(events: Iterable[Event]) -> str:
    """Events -> ``31 done, 4 planned, 2 negated``."""
    counts = Counter(event.status for event in events)
    return ", ".join(f"{counts[status]} {status}" for status in Status if counts[status])


def made_by_text(timeline: Timeline) -> str:
    """What heard the case and by which version it was read."""
    model = timeline.made_by.speech_model
    heard = "a transcript, no speech model"
    if model and model.name != "transcript":
        heard = f"speech model {plain(model.name)} ({model.sha256[:8]})"
    return f"{heard}; extractor {timeline.made_by.extractor}"


def recording_text(recording: Recording) -> str:
    """The case's files and length: ``note-1.ogg, note-2.ogg, 5:53 long``."""
    names = ", ".join(plain(part.name) for part in recording.parts) or "unnamed"
    when = f", recorded {plain(recording.recorded_at)}" if recording.recorded_at else ""
    return f"{names}, {clock(recording.duration_ms)} long{when}"


def gap_text(gap: Gap) -> str:
    """What a gap lacks and until when: ``No words until 5:53``. Of what is lost, the length may not be known."""
    until = f" until {clock(gap.end_ms)}" if gap.end_ms > gap.start_ms else ""
    return f"No {'words' if gap.recorded else 'sound'}{until}"


def _close(rival: Alternative) -> bool:
    """What is less likely than that is told by ``explain`` only."""
    return rival.log_ratio is None or rival.log_ratio > CLOSE


def _size(diameter: Value, length: Value) -> str:
    """``6 × 80 mm`` where both are in one unit, else ``4 mm × 10 cm``; ``6 × (80 mm)`` where one is carried over."""
    first = figure(diameter.value, None if diameter.unit == length.unit else diameter.unit)
    second = figure(length.value, length.unit)
    if len({"carried-over" in value.flags for value in (diameter, length)}) == 1:
        return _marked(f"{first} × {second}", (diameter, length))
    return f"{_marked(first, (diameter,))} × {_marked(second, (length,))}"


def _marked(text: str, values: tuple[Value, ...]) -> str:
    carried = all("carried-over" in value.flags for value in values)
    return (f"({text})" if carried else text) + ("?" if any(value.review for value in values) else "")


def changed_by_hand(timeline: Timeline) -> tuple[Revision, ...]:
    """The revisions that changed something; not those in which somebody only looked."""
    return tuple(
        revision
        for revision in timeline.revisions
        if not all(change.at.startswith("looked.") for change in revision.changes)
    )


def change_text(revision: Revision) -> str:
    """A revision on one line: ``2026-11-26T09:30:00+00:00, A. Operator: e0003 pressure 14 atm → 12 atm (misheard)``."""
    why = f" ({plain(revision.why)})" if revision.why else ""
    return f"{plain(revision.at)}, {plain(revision.by)}: {plain(revision.what)}{why}"


def earlier_text(earlier: Earlier) -> str:
    """What an amendment took the place of: who signed it, when, and its hash, as its own record prints it."""
    why = f"; it was an amendment itself: {plain(earlier.reason)}" if earlier.reason else ""
    return f"signed by {plain(earlier.name)}, {plain(earlier.signed_at)}, SHA-256 {plain(earlier.sha256)}{why}"


def settled(timeline: Timeline, point: str, review: bool = True) -> str:
    """What became of a point that asks for a look: ``left open: a door``; empty where it asks for none."""
    if not review:
        return ""
    if not isinstance(timeline, SignedTimeline):
        return "looked at" if point in timeline.looked_at else "not looked at yet"
    reasons = {each.point: each.reason for each in timeline.signature.left_open}
    return f"left open: {plain(reasons[point])}" if point in reasons else "looked at"
