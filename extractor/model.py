"""The domain's types, frozen: words in, events with values out. The timeline contract lives here.

Times are whole milliseconds from the start of the case. Word ranges are half-open ``[first, past_last)``
into the timeline's ``words``. Units are UCUM codes. Nothing here computes anything but views.
"""

from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from enum import StrEnum
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

FORMAT: Literal["procedure-timeline/1"] = "procedure-timeline/1"

Milliseconds = Annotated[int, Field(ge=0)]
Probability = Annotated[float, Field(ge=0.0, le=1.0)]
WordRange = tuple[int, int]


class Frozen(BaseModel):
    """A value that never changes and takes no field it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Kind(StrEnum):
    """What happened. A balloon or stent has no insert or remove of its own: its inflation or deployment tells."""

    ACCESS = "access"
    INSERT = "insert"
    REMOVE = "remove"
    INFLATION = "inflation"
    STENT = "stent"
    EMBOLISE = "embolise"
    RUN = "run"
    DRUG = "drug"
    MEASURE = "measure"
    FINDING = "finding"
    CLOSURE = "closure"
    TOTAL = "total"
    REMARK = "remark"


class Status(StrEnum):
    """Whether it happened: in this case, or only in somebody's words."""

    DONE = "done"  # happened in this case
    PLANNED = "planned"  # announced or asked for, not yet done
    CONSIDERED = "considered"  # possible, conditional or hypothetical
    QUOTED = "quoted"  # a chart, a rule, general teaching: not this patient
    NEGATED = "negated"  # said not to be there, or not to be done
    PAST = "past"  # before this case


#: The value keys an event may carry, in the order people read them.
VALUE_KEYS = (
    "gauge", "wire_diameter", "diameter", "length", "pressure", "duration", "count", "volume", "rate", "frame_rate",
    "dose", "gradient", "stenosis", "act", "contrast_volume", "fluoro_time", "air_kerma", "dap",
)  # fmt: skip

#: Sides that rule each other out; what is on both is on neither alone.
SIDES = frozenset({"left", "right"})

#: UCUM codes the contract allows. ``{count}`` is UCUM's annotation for a plain number of things.
UNITS = (
    "mm", "cm", "[Ch]", "[in_i]", "atm", "bar", "kPa", "[psi]", "mL", "mL/s", "/s", "[iU]", "mg", "ug", "g", "%",
    "mm[Hg]", "s", "min", "mGy", "Gy.cm2", "{count}",
)  # fmt: skip


class Word(Frozen):
    """One spoken word, with its time and how sure the recogniser was (1.0 where a transcript gave no figure)."""

    text: str
    start_ms: Milliseconds
    end_ms: Milliseconds
    probability: Probability = 1.0


class Part(Frozen):
    """One file of the case and where it begins on the case's clock. Two files overlap where they hold the same."""

    name: str
    sha256: str
    offset_ms: Milliseconds
    duration_ms: Milliseconds


class Recording(Frozen):
    """The sound (or transcript) the case was drafted from."""

    sha256: str
    duration_ms: Milliseconds
    recorded_at: str | None = None
    parts: tuple[Part, ...] = ()


class SpeechModel(Frozen):
    """The recogniser that heard the words; ``transcript`` where none did."""

    name: str
    sha256: str


class MadeBy(Frozen):
    """Which program, speech model, lexicons and files of the site made this draft, by version and hash."""

    extractor: str
    speech_model: SpeechModel | None
    lexicons: dict[str, str]
    opinions: tuple[SpeechModel, ...] = ()
    site: dict[str, str] = Field(default_factory=dict)


class Gap(Frozen):
    """A stretch in which something may have been said that nobody wrote down.

    ``recorded``: there is speech-like sound without words; else there is no sound at all (nothing recorded, or lost).
    """

    start_ms: Milliseconds
    end_ms: Milliseconds
    why: str
    recorded: bool = True


class Rival(Frozen):
    """What a recogniser nearly wrote in place of a word (its number among the words), and how much likelier that was to
    it: natural logarithm of the odds, below 0.
    """

    word: int
    text: str
    log_ratio: float


class Opinion(Frozen):
    """What another recogniser heard in the same sound: its words on the case's clock, in order of time, and what else
    their figures may be.
    """

    speech_model: SpeechModel
    words: tuple[Word, ...]
    rivals: tuple[Rival, ...] = ()


class Transcript(Frozen):
    """What listening hands on: the recording, its words in order of time, what may have been missed, cautions about how
    its files were laid on one clock, what other recognisers heard, and which words were spoken much
    fainter than the rest.
    """

    recording: Recording
    words: tuple[Word, ...]
    speech_model: SpeechModel | None = None
    gaps: tuple[Gap, ...] = ()
    checks: tuple["Check", ...] = ()
    opinions: tuple[Opinion, ...] = ()
    faint: tuple[WordRange, ...] = ()


class Correction(Frozen):
    """Words read as something other than what was heard. The heard form always stays."""

    words: WordRange
    heard: str
    read: str
    why: str
    audio_cost: float | None = None
    review: bool = False


#: One in twenty, natural logarithm: what is less likely than that beside what was heard is no close call. Set by hand
#: before it was tried.
CLOSE = -3.0


class Alternative(Frozen):
    """What else a value might have been, and how much likelier that is: natural logarithm of the odds, below 0 where it
    is less likely.
    """

    value: float
    unit: str | None = None
    log_ratio: float | None = None


class Value(Frozen):
    """One quantity of an event, in the unit spoken, with its evidence."""

    value: float
    unit: str
    confidence: Probability
    review: bool = False
    flags: tuple[str, ...] = ()
    heard: str = ""
    words: WordRange
    alternatives: tuple[Alternative, ...] = ()


class Site(Frozen):
    """Where in the body."""

    name: str | None = None
    side: Literal["left", "right", "both"] | None = None
    part: str | None = None


class Event(Frozen):
    """One thing that happened, was asked for, quoted, considered or ruled out."""

    id: str
    kind: Kind
    status: Status
    start_ms: Milliseconds
    end_ms: Milliseconds
    device: str | None = None
    drug: str | None = None
    finding: str | None = None
    site: Site | None = None
    values: dict[str, Value] = Field(default_factory=dict)
    confidence: Probability
    review: bool = False
    flags: tuple[str, ...] = ()
    words: WordRange
    rule: str


class Check(Frozen):
    """A plain caution with its evidence. Never advice.

    ``withdrawn``: it no longer fits since a person changed the events. It keeps its place, for its number is its name.
    ``words``: those it is about, where it is about words.
    """

    code: str
    severity: Literal["note", "review", "withdrawn"]
    message: str
    events: tuple[str, ...] = ()
    words: WordRange | None = None


class Change(Frozen):
    """One field that a person changed. ``at`` is a path of names: ``events.e0017.values.pressure.value``.

    ``events.e0017`` is a whole event with ``after``, the event it stands behind (None: it is the first);
    ``order.e0017`` that alone; ``corrections.22`` what is read for the words from the 22nd on; ``looked.`` and the name
    of a point, that somebody looked at it; ``checks.7`` a caution that came of the change, ``checks.7.severity`` that
    one was withdrawn or fits again. None stands for what was not there before, or is not after.
    """

    at: str
    before: Any = None
    after: Any = None


class Revision(Frozen):
    """What one person did in one step: when (ISO 8601 with its offset), what in words, why where it was asked for."""

    number: Annotated[int, Field(ge=1)]
    at: str
    by: str
    what: str
    why: str = ""
    changes: tuple[Change, ...]


class Timeline(Frozen):
    """The draft, as ``timeline.json`` holds it. ``revisions`` tell how people changed what was drafted."""

    format: Literal["procedure-timeline/1"] = FORMAT
    state: Literal["draft"] = "draft"
    recording: Recording
    made_by: MadeBy
    words: tuple[Word, ...]
    corrections: tuple[Correction, ...] = ()
    events: tuple[Event, ...] = ()
    checks: tuple[Check, ...] = ()
    gaps: tuple[Gap, ...] = ()
    revisions: tuple[Revision, ...] = ()

    @property
    def looked_at(self) -> frozenset[str]:
        """Names of the points that somebody looked at, by the revisions."""
        looked: dict[str, bool] = {}
        for revision in self.revisions:
            for change in revision.changes:
                if change.at.startswith("looked."):
                    looked[change.at.removeprefix("looked.")] = bool(change.after)
        return frozenset(point for point, is_looked_at in looked.items() if is_looked_at)

    @property
    def cautions(self) -> dict[int, Check]:
        """The checks that were not withdrawn, by the number they have among all, from one."""
        return {number: check for number, check in enumerate(self.checks, 1) if check.severity != "withdrawn"}

    @property
    def open_points(self) -> tuple[str, ...]:
        """Names of everything that asks for a look, in the order of the file.

        ``e0003`` an event, ``e0003.pressure`` a value, ``words-22`` a repair by its first word, ``check-1`` and
        ``gap-1`` counted from one.
        """
        points: list[str] = []
        for event in self.events:
            points += [event.id] if event.review else []
            points += [f"{event.id}.{key}" for key, value in event.values.items() if value.review]
        points += [f"words-{repair.words[0]}" for repair in self.corrections if repair.review]
        points += [f"check-{n}" for n, check in enumerate(self.checks, 1) if check.severity == "review"]
        points += [f"gap-{n}" for n, _ in enumerate(self.gaps, 1)]
        return tuple(dict.fromkeys(points))


class LeftOpen(Frozen):
    """A point that was not settled at sign-off, and why."""

    point: str
    reason: str


class Earlier(Frozen):
    """A signed timeline that an amendment took the place of: what it was signed with, and the hash of its seal."""

    name: str
    signed_at: str
    reason: str = ""
    sha256: str
    sealed_sha256: str


class Signature(Frozen):
    """Who signed, when, meaning what, and the seal that binds it; made and read by ``signing``.

    An amendment has a ``reason`` and names what was signed ``earlier``: the first record, and each amendment after it.
    """

    name: str
    signed_at: str
    meaning: str
    looked_at: tuple[str, ...] = ()
    left_open: tuple[LeftOpen, ...] = ()
    reason: str = ""
    earlier: tuple[Earlier, ...] = ()
    sha256: str
    public_key: str
    sealed: str
    value: str

    @property
    def amends(self) -> str | None:
        """The SHA-256 of the sealed text that this amendment takes the place of; None where it is the first record."""
        return self.earlier[-1].sealed_sha256 if self.earlier else None


class SignedTimeline(Timeline):
    """A timeline somebody answers for. Whatever reads a draft reads it too; only ``signing`` makes one."""

    state: Literal["signed"] = "signed"  # type: ignore[assignment]
    signature: Signature


#: Every flag a value or event may carry, with the sentence a person reads. One list, one place.
FLAGS = {
    "carried-over": "Said earlier in the case, not here.",
    "unit-assumed": "No unit was said; the usual one is taken.",
    "unit-guessed": "The unit said cannot be; the one that was probably meant is taken.",
    "corrected": "The speaker put an earlier figure right.",
    "approximate": "Said as about, or as a range.",
    "one-taken": "No number was said; one is taken.",
    "two-readings": "The words can be read as another number too.",
    "implausible": "Outside what is usual for this; kept as it was said.",
    "unsure-word": "The recogniser was unsure of a word this rests on.",
    "heard-otherwise": "Another recogniser heard another number here, or none.",
    "close-call": "A number that sounds alike fits the sound nearly as well.",
    "doubtful": "Small signs of doubt come together: a word hardly made out, another recogniser that heard otherwise.",
    "spoken-faintly": "Spoken much fainter than the rest: it may be somebody else, about something else.",
    "repaired-word": "Rests on a word that was put right from a misheard form.",
    "asked": "Said as a question that nobody answered.",
    "no-procedure": "Little is told as happening now, or no device is named nearby: it may be other talk.",
    "drug-assumed": "Nobody named the drug; the one that is usual here is taken.",
    "which-device": "It was not said which device; the likeliest is taken.",
    "which-run": "It was not said which earlier run is meant; the likeliest is taken.",
    "not-said-in": "Only named with its size: nobody said that it went in, but the case went on as if it had.",
    "conflict": "Said differently elsewhere.",
    "read-alone": "No rule reads it; the second reader, a language model, is as sure of it as rules are.",
    "read-as-done": "The rules took it for planned; the second reader, a language model, is sure that it was done.",
    "read-otherwise": "The second reader, a language model beside the rules, does not read it so.",
    "second-reading": "No rule reads it; only the second reader, a language model, does.",
    "log-differs": "The pressure log has another pressure.",
    "not-logged": "The pressure log has no inflation here.",
    "set-by-hand": "Set by a person at the desk.",
}


# --- What reading hands to reconciling -------------------------------------------------------------------------------
# Plain, fast objects, made by the hundred thousand; they never leave the two rooms.


@dataclass(frozen=True, slots=True)
class SecondHearing:
    """A figure, and what other recognisers heard in its place: how many another figure, how many none; and which other
    figures they heard or nearly did, each with how much likelier it was to them (natural logarithm; None: not known).
    """

    words: WordRange
    value: float
    otherwise: int = 0
    unheard: int = 0
    rivals: tuple[tuple[float, float | None], ...] = ()


@dataclass(slots=True)
class Quantity:
    """One figure with its unit (None: not said), where it was said, and what is doubtful about it."""

    value: float
    unit: str | None
    words: WordRange
    heard: str
    form: str = "cardinal"
    flags: tuple[str, ...] = ()
    alternatives: tuple[float, ...] = ()

    def flagged(self, *flags: str, **changes: Any) -> "Quantity":
        """The same figure with further flags, and what else changes: another unit, other alternatives."""
        return replace(self, flags=(*self.flags, *flags), **changes)

    @property
    def of_pictures(self) -> bool:
        """Whether the unit was said to be of pictures: "frames a second", not "a second" alone."""
        return any(word in self.heard for word in ("frame", "image", "picture", "pulse", "fps"))

    def in_unit(self, unit: str | None) -> "Quantity":
        """The figure in the unit said with it, else in the one that is usual, flagged as assumed."""
        return self if self.unit else self.flagged("unit-assumed", unit=unit)


#: After a figure: it is a rate or a count.
_NO_DOSE = {
    "a kilo", "an hour", "a mil", "kilogram", "kilograms", "kilo", "kilos", "vial", "vials", "ampoule", "ampoules",
    "syringe", "syringes", "percent",
}  # fmt: skip


@dataclass(slots=True, eq=False)
class Item:
    """One thing said in a sentence: a device with its sizes, a drug, a finding, an action, a figure, a mark.

    ``kind`` is device, drug, finding, place, side, part, action, quantity, pair, pronoun, mark or phrase.
    ``meanings`` are an action's; ``status`` is what the talk around it says (None: nothing). ``figures`` are a device's
    sizes, a drug's dose, the two figures of a pair ("eight at four").
    """

    kind: str
    words: WordRange
    text: str
    name: str = ""
    meanings: frozenset[str] = frozenset()
    status: Status | None = None
    cue: str = ""
    figures: dict[str, Quantity] = dataclass_field(default_factory=dict)
    role: str = ""  # devices: the kind of event their use makes, empty where only a size was said; figures: wide, long
    nickname: str | None = None
    mount: str | None = None
    qualifiers: frozenset[str] = frozenset()
    definite: bool = False
    headless: bool = False  # devices: only its size was said, not what it is
    known_only: bool = False  # devices: a short name, good only for one already named in full
    where: str = (
        ""  # the word before it, where it says what the device is to something else: "over the wire", "for a sheath"
    )
    unit: str = ""  # drugs: the unit of a dose nobody gave a unit
    usual: tuple[float, float] | None = None  # drugs: the doses that are plausible in that unit
    span: tuple[int, int] = (0, 0)  # tokens of the sentence
    before: str = ""  # figures and actions: the token right before
    after: str = ""  # figures and actions: the token that follows, or what a rate is for ("a kilo", "an hour")
    used: bool = False  # a figure that has found its place

    @property
    def corrects(self) -> bool:
        """Whether it is a word that puts right what was said before it: "sorry", "make that"."""
        return self.kind == "phrase" and self.name == "correction"

    @property
    def no_dose(self) -> bool:
        """Whether a figure is a rate or counts something, by what follows it: no dose of a drug."""
        return self.after in _NO_DOSE

    @property
    def names_picture(self) -> bool:
        """Whether it is a word for a picture, not only for taking one."""
        return self.kind == "action" and "run" in self.meanings and "go" not in self.meanings


@dataclass(slots=True, eq=False)
class Sentence:
    """The items of one sentence in order. ``breath`` numbers the stretches of speech between pauses."""

    items: list[Item]
    words: WordRange
    breath: int
    question: bool = False
    cues: frozenset[Status] = frozenset()
    texts: frozenset[str] = frozenset()  # every token, for words no lexicon needs
    first: str = ""  # the first token
    tokens: tuple[str, ...] = ()  # the same as texts in order, as the spans of items count them
    refusal: tuple[str, int] = ("", 0)  # what it begins with that turns down what was said before, and the token behind
    towns: tuple[int, ...] = ()  # tokens that look like the name of a town: "in Ghent"
