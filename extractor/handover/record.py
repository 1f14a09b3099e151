"""Timeline, particulars, template -> the procedure record as sections: what its text, HTML, PDF and DOCX all show.

Sections are views: ``steps`` holds all that happened in order, the others pick from it. What happened is what the
timeline calls done or negated; planned, considered, quoted and past stand apart. Nothing is added up or concluded here.
"""

import re
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from extractor.handover import safety
from extractor.handover.particulars import Particulars, Template
from extractor.handover.wording import (
    RECORDED,
    VALUE_NAMES,
    changed_by_hand,
    clock,
    doubts,
    earlier_text,
    event_name,
    gap_text,
    made_by_text,
    plain,
    recording_text,
    rivals_text,
    settled,
    site_text,
    value_texts,
)
from extractor.model import CLOSE, Event, Kind, SignedTimeline, Status, Timeline
from extractor.units import figure


@dataclass(frozen=True)
class Table:
    """Rows of plain text beneath their heads. ``marked``: which rows ask for a look."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    marked: tuple[bool, ...]


@dataclass(frozen=True)
class Section:
    """A title, lines of text and a table; each may be empty. ``missing``: nothing was said or given of it."""

    title: str
    lines: tuple[str, ...] = ()
    table: Table | None = None
    missing: bool = False


@dataclass(frozen=True)
class Record:
    """What a record shows, in plain text throughout. ``notice`` stands on every page."""

    title: str
    notice: str
    is_draft: bool
    language: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]


NOT_SAID = "Not said, and not given."

#: Section and field -> its title.
TITLES = MappingProxyType({
    "patient": "Patient", "procedure": "Procedure", "started_at": "Begun", "operator": "Operator", "consent": "Consent",
    "sedation": "Sedation or anaesthesia", "missing": "Not said", "indication": "Indication", "access": "Access",
    "findings_before": "Findings before treatment", "devices": "Devices in and out",
    "inflations": "Inflations and stents", "implants": "Implants", "drugs": "Drugs", "contrast": "Contrast",
    "radiation": "Radiation", "findings_after": "Findings after treatment", "complications": "Complications, as said",
    "closure": "Closure", "aftercare": "After-care", "steps": "Steps in order",
    "talked_of": "Talked of, not part of what was done", "left_open": "Marks and what became of them",
    "changes": "Changed by hand", "signature": "Signature",
})  # fmt: skip

TREATMENT = frozenset({Kind.INFLATION, Kind.STENT, Kind.EMBOLISE})
_PICTURES = frozenset({Kind.RUN, Kind.FINDING, Kind.MEASURE})
#: Devices put in that stay in the body when the case is over: common practice, no source.
STAYING = frozenset({"filter", "plug", "port", "clip", "coil"})
#: Findings that, once something was done, may be of its doing: common practice, no source.
_COMPLICATIONS = frozenset({
    "dissection", "perforation", "extravasation", "spasm", "thrombus", "embolus", "haematoma", "pseudoaneurysm",
})  # fmt: skip

_RADIATION = frozenset({"fluoro_time", "air_kerma", "dap"})
#: Drugs that sedate or numb: common practice, no source. Given, they tell of sedation or anaesthesia.
_SEDATING = frozenset({
    "lidocaine", "bupivacaine", "levobupivacaine", "ropivacaine", "prilocaine", "mepivacaine", "chloroprocaine",
    "midazolam", "diazepam", "lorazepam", "fentanyl", "alfentanil", "remifentanil", "sufentanil", "morphine",
    "propofol", "ketamine", "etomidate", "thiopental", "dexmedetomidine",
})  # fmt: skip

#: How to read what follows; stands above it.
READING = (
    "Times are minutes and seconds from the start of the recording, when it was said. 14 atm? asked for a look; "
    "(6 mm) was said earlier in the case, not at that step."
)

#: British -> American, for our own words and the lexicon's; words that were spoken stay as they were heard.
_AMERICAN = (
    ("aemo", "emo"), ("aemato", "emato"), ("anaesth", "anesth"), ("oedema", "edema"), ("ischaem", "ischem"),
    ("coeliac", "celiac"), ("embolis", "emboliz"), ("catheteris", "catheteriz"), ("tunnelled", "tunneled"),
    ("litre", "liter"), ("centre", "center"),
)  # fmt: skip


#: Columns of what people said, wrote or are called.
_AS_IT_IS = frozenset({"As said", "Who", "Why"})


def implanted(event: Event) -> bool:
    """Whether an event puts something in that stays: a stent, an embolic, a filter, plug, port, clip or coil."""
    if event.status is not Status.DONE:
        return False
    return event.kind in (Kind.STENT, Kind.EMBOLISE) or (event.kind is Kind.INSERT and event.device in STAYING)


#: Columns of the table of inflations; what is left has one too.
_BY_VALUE = ({"gauge", "diameter", "length"}, {"pressure"}, {"duration"})


def _texts(event: Event, keys: Collection[str]) -> str:
    """Some of an event's values as people read them."""
    some = {key: value for key, value in event.values.items() if key in keys}
    return ", ".join(text for text, _ in value_texts(event.model_copy(update={"values": some})))


class _Case:
    """What the sections pick from."""

    def __init__(self, timeline: Timeline, particulars: Particulars, template: Template, spoken: bool) -> None:
        self.timeline, self.particulars, self.template, self.spoken = timeline, particulars, template, spoken
        self.recorded = [each for each in timeline.events if each.status in RECORDED]
        self.done = [each for each in timeline.events if each.status is Status.DONE]
        treatment = [each.start_ms for each in self.done if each.kind in TREATMENT]
        self.treated_ms = min(treatment, default=None)
        self.treated_until_ms = max(treatment, default=None)

    def pick(self, *kinds: Kind) -> list[Event]:
        return [each for each in self.recorded if each.kind in kinds]

    def title(self, key: str) -> str:
        return self.template.titles.get(key, TITLES[key])

    def table(self, events: Iterable[Event], *, by_value: bool = False) -> Table | None:
        """A row an event; with ``by_value`` sizes, pressure and time have columns of their own."""
        values = ("Size", "Pressure", "For", "Else") if by_value else ("Sizes and pressures",)
        heads = ("Time", "Id", "What", "Where", *values, "Marks", *(("As said",) if self.spoken else ()))
        rows = [self._row(event, by_value) for event in events]
        if not rows:
            return None
        # A column in which nothing stands only takes room.
        shown = [at for at in range(len(heads)) if at < 3 or any(row[at] for row in rows)]
        return Table(
            tuple(heads[at] for at in shown),
            tuple(tuple(row[at] for at in shown) for row in rows),
            tuple(bool(self.marks(event)) for event in events),
        )

    def _row(self, event: Event, by_value: bool) -> tuple[str, ...]:
        cells = [_texts(event, keys) for keys in (_BY_VALUE if by_value else (event.values.keys(),))]
        if by_value:
            cells.append(_texts(event, event.values.keys() - set().union(*_BY_VALUE)))
        first, past = event.words
        said = plain(" ".join(word.text for word in self.timeline.words[first:past]))
        name = event_name(event)
        status = "" if event.status in RECORDED else f" ({event.status})"
        row = (clock(event.start_ms), plain(event.id), name + status, site_text(event.site), *cells, self.marks(event))
        return (*row, said) if self.spoken else row

    def marks(self, event: Event) -> str:
        """Why an event or its values ask for a look, what became of it, and what else was heard; empty for none."""
        told = list(doubts(event))
        for key, value in event.values.items():
            text = f"{VALUE_NAMES.get(key, '')} {figure(value.value, value.unit)}".lstrip()
            by_hand = "set-by-hand" in value.flags
            # What stood before a person set it was not only heard, and is told however unlikely it was.
            close = [r for r in value.alternatives if by_hand or r.log_ratio is None or r.log_ratio > CLOSE]
            rivals = rivals_text(close, value.unit)
            if by_hand:
                told.append(f"{text} was set by hand{rivals.replace(' or ', ', not ', 1)}.")
            elif rivals and not value.review:
                told.append(f"{text}{rivals} was heard.")
        points = {event.id: event.review} | {f"{event.id}.{key}": value.review for key, value in event.values.items()}
        outcomes = {settled(self.timeline, point) for point, review in points.items() if review}
        told += [f"At sign-off: {outcome}." for outcome in sorted(outcomes)]
        return plain(" ".join(told))

    def past_treatment(self, event: Event) -> bool:
        return self.treated_until_ms is not None and event.start_ms >= self.treated_until_ms


def _events(key: str, pick: Callable[[_Case], list[Event]], **how: bool) -> Callable[[_Case], Section]:
    def make(case: _Case) -> Section:
        events = pick(case)
        lines = () if events else (NOT_SAID,)
        return Section(case.title(key), lines, case.table(events, **how), not events)

    return make


def _indication(case: _Case) -> Section:
    given = case.particulars.indication
    past = [each for each in case.timeline.events if each.status is Status.PAST]
    lines = [plain(given) if given else NOT_SAID, *(["Told of as before this case:"] if past else [])]
    return Section(case.title("indication"), tuple(lines), case.table(past), not given)


def _complications(case: _Case) -> Section:
    """Findings that may be complications, since treatment or else access: there, feared, and ruled out.

    What was ruled out before is no word on what the treatment did.
    """
    accesses = [each.start_ms for each in case.pick(Kind.ACCESS)]
    since = case.treated_ms if case.treated_ms is not None else min(accesses, default=0)
    named = [each for each in case.timeline.events if each.finding in _COMPLICATIONS and each.start_ms >= since]
    told = [each for status in _TOLD for each in named if each.status is status]
    if not told:
        return Section(case.title("complications"), ("Nothing was said of any, nor that there were none.",), None, True)
    ruled_out = all(each.status is Status.NEGATED for each in told)
    lines = ("These were said not to be there; of others nothing was said.",) if ruled_out else ()
    return Section(case.title("complications"), lines, case.table(told))


#: What is told of a complication, in this order.
_TOLD = (Status.DONE, Status.CONSIDERED, Status.NEGATED)


def _contrast(case: _Case) -> Section:
    totals = [each for each in case.pick(Kind.TOTAL) if "contrast_volume" in each.values]
    runs = [each for each in case.pick(Kind.RUN) if "volume" in each.values]
    lines = () if totals else ("No total was said.",)
    return Section(case.title("contrast"), lines, case.table([*totals, *runs]), not totals)


def _aftercare(case: _Case) -> Section:
    lines = tuple(map(plain, case.template.aftercare))
    return Section(case.title("aftercare"), lines or ("The site's template has none.",), None, not lines)


def _talked_of(case: _Case) -> Section:
    events = [each for each in case.timeline.events if each.status not in (*RECORDED, Status.PAST)]
    return Section(case.title("talked_of"), () if events else ("Nothing.",), case.table(events))


def _left_open(case: _Case) -> Section:
    """Cautions, gaps and doubtful repairs; marks of events stand with the events, those left open here too."""
    timeline = case.timeline
    rows: list[tuple[str, str, str]] = []
    for number, check in enumerate(timeline.checks, 1):
        point = f"check-{number}"
        outcome = settled(timeline, point, check.severity == "review") or _UNMARKED[check.severity]
        rows.append((point, f"{plain(check.message)} {' '.join(check.events)}".rstrip(), outcome))
    for number, gap in enumerate(timeline.gaps, 1):
        text = f"{clock(gap.start_ms)} {gap_text(gap)}. {plain(gap.why)}"
        rows.append((f"gap-{number}", text, settled(timeline, f"gap-{number}")))
    for repair in timeline.corrections:
        if repair.review:
            point = f"words-{repair.words[0]}"
            rows.append(
                (point, f"heard “{plain(repair.heard)}”, perhaps {plain(repair.read)}", settled(timeline, point))
            )
    told = {row[0] for row in rows}
    for point in timeline.open_points:
        if point not in told:
            rows.append((plain(point), f"see {plain(point.partition('.')[0])}", settled(timeline, point)))
    if not rows:
        return Section(case.title("left_open"), ("Nothing was marked.",))
    marked = tuple(outcome.startswith(("left open", "not looked")) for *_, outcome in rows)
    return Section(case.title("left_open"), (), Table(("Point", "What", "At sign-off"), tuple(rows), marked))


def _changes(case: _Case) -> Section:
    """What people changed of the draft, and of what was signed before: who, when, from what to what, why."""
    timeline = case.timeline
    lines = []
    if isinstance(timeline, SignedTimeline) and timeline.signature.earlier:
        lines = [f"This is an amendment: {plain(timeline.signature.reason)}"]
        lines += [f"In place of what was {earlier_text(each)}" for each in reversed(timeline.signature.earlier)]
    changed = changed_by_hand(timeline)
    if not changed:
        return Section(case.title("changes"), (*lines, "Nothing: all stands as it was drafted."))
    heads = ("No.", "When", "Who", "What", *(("Why",) if any(each.why for each in changed) else ()))
    cells = ((str(each.number), each.at, each.by, each.what, each.why)[: len(heads)] for each in changed)
    rows = tuple(tuple(map(plain, row)) for row in cells)
    return Section(case.title("changes"), tuple(lines), Table(heads, rows, (False,) * len(rows)))


def _signature(case: _Case) -> Section:
    sources = (f"Made from {recording_text(case.timeline.recording)}.", f"By {made_by_text(case.timeline)}.")
    if not isinstance(case.timeline, SignedTimeline):
        return Section(case.title("signature"), ("Nobody has signed: this is a draft.", *sources), None, True)
    by = case.timeline.signature
    lines = (
        f"Signed by {plain(by.name)}, {plain(by.signed_at)}.", plain(by.meaning),
        *([f"An amendment: {plain(by.reason)}"] if by.earlier else []),
        f"SHA-256 of what was signed: {by.sha256}", f"Ed25519 signature: {by.value}", *sources,
    )  # fmt: skip
    return Section(case.title("signature"), lines)


def _before(case: _Case) -> list[Event]:
    until = case.treated_ms
    return [each for each in case.pick(*_PICTURES) if until is None or each.start_ms < until]


def _after(case: _Case) -> list[Event]:
    return [each for each in case.pick(*_PICTURES) if case.past_treatment(each)]


def _access(case: _Case) -> list[Event]:
    return [
        each
        for each in case.recorded
        if each.kind is Kind.ACCESS or (each.kind is Kind.INSERT and each.device == "sheath")
    ]


#: What is told of a caution that asks for no look.
_UNMARKED = {"note": "a note", "withdrawn": "no longer so, after a change by hand"}

_MAKERS: Mapping[str, Callable[[_Case], Section]] = MappingProxyType({
    "indication": _indication,
    "access": _events("access", _access),
    "findings_before": _events("findings_before", _before),
    "devices": _events("devices", lambda case: case.pick(Kind.INSERT, Kind.REMOVE)),
    "inflations": _events("inflations", lambda case: case.pick(Kind.INFLATION, Kind.STENT), by_value=True),
    "implants": _events("implants", lambda case: [each for each in case.timeline.events if implanted(each)]),
    "drugs": _events("drugs", lambda case: case.pick(Kind.DRUG)),
    "contrast": _contrast,
    "radiation": _events("radiation", lambda case: [e for e in case.pick(Kind.TOTAL) if _RADIATION & e.values.keys()]),
    "findings_after": _events("findings_after", _after),
    "complications": _complications,
    "closure": _events("closure", lambda case: case.pick(Kind.CLOSURE)),
    "aftercare": _aftercare,
    "steps": _events("steps", lambda case: case.recorded),
    "talked_of": _talked_of,
    "left_open": _left_open,
    "changes": _changes,
    "signature": _signature,
})  # fmt: skip


def make_record(
    timeline: Timeline,
    particulars: Particulars | None = None,
    template: Template | None = None,
    *,
    spoken: bool = False,
) -> Record:
    """A timeline -> its record. ``spoken``: the words each event was read from stand beside it."""
    case = _Case(timeline, particulars or Particulars(), template or Template(), spoken)
    facts = _facts(case)
    made = {key: _MAKERS[key](case) for key in _MAKERS}
    absent = {key for key, text in facts.items() if not text} | {
        key for key, section in made.items() if section.missing
    }
    listed = [key for key in case.template.required if key in absent]
    missing = tuple(f"{case.title(key)}: not said, and not given." for key in listed)
    made["missing"] = Section(
        case.title("missing"), missing or ("Nothing that the template asks for.",), None, bool(missing)
    )
    record = Record(
        title=plain(case.template.title),
        notice=safety(timeline),
        is_draft=not isinstance(timeline, SignedTimeline),
        language="en-US" if case.template.spelling == "american" else "en-GB",
        facts=(*((case.title(key), text or NOT_SAID) for key, text in facts.items()), ("How to read", READING)),
        sections=tuple(made[key] for key in case.template.sections),
    )
    return record if case.template.spelling == "british" else _in_american(record)


def _facts(case: _Case) -> dict[str, str]:
    given = case.particulars
    patient = given.patient
    signed = ""
    if isinstance(case.timeline, SignedTimeline):  # who amends need not be who did it
        by = case.timeline.signature
        signed = by.earlier[0].name if by.earlier else by.name
    who = [
        patient.name,
        f"number {patient.id}" if patient.id else "",
        f"born {patient.birth_date}" if patient.birth_date else "",
    ]
    sedating = dict.fromkeys(each.drug for each in case.done if each.drug in _SEDATING)
    begun = str(given.started_at or case.timeline.recording.recorded_at or "")
    facts = {
        "patient": ", ".join(filter(None, (*who, patient.sex))),
        "procedure": given.procedure,
        "started_at": begun,
        "operator": given.operator or (f"{signed} (who signed)" if signed else ""),
        "consent": given.consent,
        "sedation": given.sedation or (f"as said under drugs: {', '.join(sedating)}" if sedating else ""),
    }
    return {key: plain(text or "") for key, text in facts.items()}


def _in_american(record: Record) -> Record:
    def table(of: Table | None) -> Table | None:
        if of is None:
            return None
        rows = tuple(
            tuple(cell if head in _AS_IT_IS else american(cell) for head, cell in zip(of.heads, row, strict=True))
            for row in of.rows
        )
        return Table(of.heads, rows, of.marked)

    sections = (Section(american(s.title), s.lines, table(s.table), s.missing) for s in record.sections)
    facts = tuple((american(label), text) for label, text in record.facts)
    return Record(record.title, record.notice, record.is_draft, record.language, facts, tuple(sections))


def american(text: str) -> str:
    """British spelling -> American, as far as the trade's own words go."""
    for british, other in _AMERICAN:
        text = re.sub(british, lambda match, other=other: _like(match[0], other), text, flags=re.IGNORECASE)  # type: ignore[misc]
    return text


def _like(found: str, other: str) -> str:
    return other.capitalize() if found[0].isupper() else other
