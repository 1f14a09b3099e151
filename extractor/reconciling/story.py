"""The story of the case as a state: sentences in, events out.

The story holds what is on the table, in the patient and out again, which balloon, stent or embolic is spoken of, what
is going on now, the last run and the drugs ordered. Each kind of event (``kinds/``) hears every item of every sentence
in order and may claim it. To add a kind: a module in ``kinds/`` with a class that has ``hear`` (and, where it must,
``begin`` and ``end``), and a line in ``kinds/__init__.py``.
"""

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

from extractor.model import SIDES, Item, Kind, Quantity, Sentence, Status, WordRange
from extractor.reconciling.frames import Frames
from extractor.reconciling.questions import Questions, deny
from extractor.reconciling.turned_down import turn_down, turn_down_answered
from extractor.units import BALLOON_PRESSURES

#: How many devices or open orders, and how many of the last events, a story keeps in mind: more than any case has, and
#: what keeps the time a sentence takes from growing with the case. No search goes farther back.
MOST_THINGS, _MOST_EVENTS = 120, 400
#: Events stand in the order of their breaths, but for those that waited so many for an answer.
_SETTLED = 20
#: What is said and does not happen now.
NOT_DONE = {Status.NEGATED, Status.CONSIDERED, Status.QUOTED, Status.PAST}
#: Where what is not used lies.
STORES = frozenset(
    """
    box boxes drawer cupboard store stores storeroom bin fridge packet packaging wrapper cabinet corridor shelf rack
    trolley table hand hands house hospital department lab country room office ward lift list pocket
    """.split()
)
#: A device or finding named after one of these is where something else goes or is.
PLACING = frozenset(
    """
    over through on down along behind across from into via onto beyond past inside around above below within beside
    for up round to
    """.split()
)
#: What a device keeps from event to event.
KEPT_SIZES = {"gauge", "wire_diameter", "diameter", "length"}
#: Words that stand for what was named before.
POINTERS = {"it", "that", "they", "both", "she", "he", "these", "those", "them", "this", "lot"}
NO = frozenset({"no", "nah", "nope"})
#: How many sentences a dictated history has, the heading's own the first, where its items are not numbered: set by
#: hand, no source.
_HISTORY = 2
#: A sentence of these alone is the heading of a plan: "So the plan for today."
_PLAN = frozenset("so the our my plan is then today for right okay now game of attack case this one here".split())
#: A sentence of these alone says that what was named before it is only thought of.
_HEDGES = frozenset("maybe perhaps possibly potentially if mebbe only or just we i ll 'll see might could".split())
#: What examined the patient before; a sentence of so many words that names it tells nothing else. Set by hand, no
#: source.
_EXAMINATIONS = frozenset("ct cta mr mri mra scan duplex doppler echo ultrasound letter referral report clinic".split())
_HEADING = 10
_NOW = frozenset("now today here please next give see sees sits".split())
_HAPPENS_NOW = {"inflate", "deflate", "run", "go", "measure", "puncture"}
#: What an action says of a thing is not so yet while it is planned: "oh one eight down the left".
_HAPPENS = {"particle", "placed", "give", "go", "inflate", "raise", "detach", "removed"}
_ORDINALS = {"one", "two", "three", "four", "five", "six", "first", "second", "third", "firstly", "secondly"}
#: Before "the other side": it is turned to. "Out on the other side", "as on the other side" are other things.
_TURNING = {"and", "now", "then", "next", "so", "for", "in"}


@dataclass(slots=True, eq=False)
class Draft:
    """An event while it is being told."""

    kind: Kind
    status: Status
    words: WordRange
    rule: str
    breath: int
    number: int  # of the sentence that told it
    device: str | None = None
    drug: str | None = None
    finding: str | None = None
    values: dict[str, Quantity] = field(default_factory=dict)
    flags: set[str] = field(default_factory=set)
    place: str | None = None
    side: str | None = None
    beside: str | None = None  # the side named in its very clause
    part: str | None = None
    repeated: bool = False  # told in a closing summary
    aimed_at: float | None = None  # the pressure wanted, while it is not told how far it went
    named: WordRange | None = None  # the words that name its device, drug or finding
    only_named: bool = False  # a device, with no word that it is wanted, or what became of it
    of: "Thing | None" = None  # what goes in or comes out by it, or left the hole it closes

    def reach(self, words: WordRange) -> None:
        """Widens the evidence to further words."""
        self.words = (min(self.words[0], words[0]), max(self.words[1], words[1]))


@dataclass(slots=True, eq=False)
class Thing:
    """A device the case speaks of: what is known of it, and where it is."""

    role: str
    name: str
    nickname: str | None = None
    mount: str | None = None
    qualifiers: set[str] = field(default_factory=set)
    values: dict[str, Quantity] = field(default_factory=dict)
    spots: set[str] = field(default_factory=set)  # the sides, vessels and parts it was said to be for
    where: str = "asked"  # asked, in, up, out, replaced (nobody said that it is out), used, refused
    asked: Draft | None = None
    done: Draft | None = None  # the last time it was used
    told: Draft | None = None  # of what goes in: the event that last told of it
    breath: int = 0
    seen: int = 0  # number of the sentence that last spoke of it
    called: int = -9  # and of the one that called it by its width: "the six"
    moved: int = -9  # and of the one that told that it went in
    words: set[str] = field(default_factory=set)  # what it was called by, its sizes and nouns left out
    left: int = 1  # how many of it are still to be used
    among: Sequence["Thing"] = ()  # everything the case speaks of, itself too

    def tell(self, draft: Draft) -> None:
        """An event tells of it."""
        self.told, draft.of = draft, self


class Hearing:
    """A kind of event, listening: before a sentence, at each of its items (True claims it), after it."""

    def begin(self, story: "Story", sentence: Sentence) -> None:
        return

    def hear(self, story: "Story", item: Item) -> bool:
        return False

    def end(self, story: "Story", sentence: Sentence) -> None:
        return


class Story:
    """The state, and the loop over sentences."""

    def __init__(self, kinds: Sequence[Hearing], dictated: bool = False) -> None:
        #: What the kinds do at each place; most do nothing at some.
        self._begin = [kind.begin for kind in kinds if type(kind).begin is not Hearing.begin]
        self._hear = [kind.hear for kind in kinds if type(kind).hear is not Hearing.hear]
        self._end = [kind.end for kind in kinds if type(kind).end is not Hearing.end]
        self.dictated = dictated
        self.drafts: list[Draft] = []
        self.ways: list[Draft] = []  # those of the drafts that are of access: few, however long the case
        self.things: deque[Thing] = deque(maxlen=MOST_THINGS)
        self.active: Thing | None = None  # the balloon, stent or embolic now spoken of
        self.inflated: Thing | None = None  # the balloon, or stent on its balloon, that went up last
        self.spoken_role = ""  # the role of the sized device last spoken of, and in which breath
        self.spoken_breath = -9
        self.graft_breath = -9  # the breath that last named a part of a stent graft
        self.unsized: tuple[Item, int, int] | None = None  # a coil or plug only named, in which sentence and breath
        self.sized_later: Thing | None = None  # what it became, whose size may still follow
        self.topic = ""  # what was last spoken of: drug, device, balloon, stent, embolise, run, …
        self.orders: deque[Draft] = deque(maxlen=MOST_THINGS)  # drugs asked for, not yet reported given
        self.side: str | None = None
        self.turned = False  # this sentence is of "the other side"
        self.pressure_unit = "atm"  # what balloon pressures were last told in
        self.summary = False  # the speaker repeats what stands above
        self.planned = -9  # the breath whose rest is a plan
        self.history = 0  # for so many sentences the speaker dictates what was before this case
        self.sentence: Sentence = Sentence([], (0, 0), 0)
        self.number = 0
        self._begun = 0  # how many events were told before this sentence
        self.following: Sentence | None = None
        self.next_but_one: Sentence | None = None
        self.before_this: Sentence | None = None  # the sentence just heard, if it named another time and nothing else
        self.questions = Questions()
        self.frames = Frames(dictated=dictated)
        self.index = 0

    def tell(self, sentences: Sequence[Sentence]) -> list[Draft]:
        """Sentences in order -> events in order of their words."""
        units = (unit for sentence in sentences for item in sentence.items if (unit := _pressure_unit(item)))
        self.pressure_unit = next(units, self.pressure_unit)  # "up to ten" before the first "twelve bar"
        for self.number, self.sentence in enumerate(sentences, 1):
            self._begun = len(self.drafts)
            self.index = 0  # nothing of it is heard yet, and the sentence before may have had more items
            self._turn()
            self.frames.hear(self.sentence, self.number)
            self.questions.answer(self.sentence, self.number, self.keep)
            self._head()
            self.following, self.next_but_one = (*sentences[self.number : self.number + 2], None, None)[:2]
            deny(self.sentence, self.following)
            turn_down(self.sentence, self.following)
            turn_down_answered(self.sentence, self.following, self.next_but_one)
            self._hedge(self.following)
            for begin in self._begin:
                begin(self, self.sentence)
            for self.index, item in enumerate(self.sentence.items):  # noqa: B020
                if item.kind == "phrase" and item.name in {"summary", "addendum"} and self.dictated:
                    self.summary = item.name == "summary"
                if item.kind == "side" and (self.turned or not self._apart_from_all(item)):
                    self.side = item.name
                self.pressure_unit = _pressure_unit(item) or self.pressure_unit
                for hear in self._hear:
                    if item.used:
                        break
                    if hear(self, item):
                        item.used = True
            for end in self._end:
                end(self, self.sentence)
            self.questions.ask(self.sentence, self.number, self.drafts)
        self.questions.close()
        self.things.clear()  # they know of each other: nothing is to refer back to itself once the case is told
        return sorted(self._without_repeats(), key=lambda draft: draft.words)

    def _turn(self) -> None:
        """ "The other side, same angle": the side that was not spoken of last; not "out on the other side of it"."""
        self.turned, side = False, self.side
        for item in self.sentence.items:
            if item.kind != "side":
                continue
            if item.name != "other":
                side = item.name
                continue
            words = ("", *self.sentence.tokens, "")
            before, after = words[item.span[0]], words[item.span[1] + 1]
            heads = before in _TURNING or not before.isalpha()
            if not heads or after == "of" or side not in SIDES:
                item.kind, item.name = "phrase", "aside"
                continue
            item.name = side = next(iter(SIDES - {side}))
            self.turned = True

    def _apart_from_all(self, item: Item) -> bool:
        """ "Right, let us see": no side."""
        marked = len(self.sentence.items) > 1 and self.sentence.items[1].kind == "mark"
        return item.text == "right" and self.index == 0 and marked

    def _head(self) -> None:
        """What a dictated history holds was before this case: the sentences of its heading, and its numbered items."""
        if any(item.kind == "phrase" and item.name == "history" for item in self.sentence.items[:2]):
            self.history = self.dictated * _HISTORY
        elif self.sentence.first not in _ORDINALS:
            self.history -= 1
        ended = any(item.name == "heading" or item.text == "new paragraph" for item in self.mentions("phrase"))
        if ended or self.says("puncture"):
            self.history = 0
        self._look_back()
        if self.history > 0:
            for item in self.sentence.items:
                item.status = item.status or Status.PAST
        if self.planned == self.sentence.breath:
            for item in self.sentence.items:
                item.status = item.status or Status.PLANNED
                item.meanings -= _HAPPENS
        if "plan" in self.sentence.texts and {text for text in self.sentence.texts if text.isalpha()} <= _PLAN:
            self.planned = self.sentence.breath

    def _look_back(self) -> None:
        """ "And the CT? Eighty percent stenosis.", "Left leg was done two years back. Six by one hundred stent.": a few
        words name another examination or another time, and the next sentence tells of it.
        """
        sentence, before = self.sentence, self.before_this
        named = [item for item in sentence.items if item.kind in {"device", "finding"}]
        happens = any(item.kind == "action" and item.meanings & _HAPPENS_NOW for item in sentence.items)
        near = before is not None and before.breath == sentence.breath and sentence.first != "open"
        if near and named and not happens and not sentence.cues & {Status.PLANNED} and not sentence.texts & _NOW:
            for item in sentence.items:
                item.status = item.status or Status.PAST
        heading = len(sentence.tokens) <= _HEADING and not self.mentions("device", "finding", "drug", "pair")
        told = Status.PAST in sentence.cues or (sentence.question and sentence.texts & _EXAMINATIONS)
        self.before_this = sentence if heading and told else None

    def _hedge(self, following: Sentence | None) -> None:
        """ "Second stent, six by forty. Maybe.": a hedge that stands alone: what was asked for is only thought of."""
        if following is None or following.breath != self.sentence.breath or following.question:
            return
        if not following.texts & _HEDGES:
            return
        words = {token for token in following.tokens if token.isalpha()}
        for item in self.sentence.items if words <= _HEDGES else ():
            if item.kind == "device" and item.status in {None, Status.PLANNED}:
                item.status, item.cue = Status.CONSIDERED, following.first

    def keep(self, key: str, old: Quantity, new: Quantity) -> None:
        """A value told anew: wherever a size is carried to from here, the new one is."""
        for thing in self.things if key in KEPT_SIZES else ():
            if thing.values.get(key) is old:
                thing.values[key] = new
                thing.seen = self.number if thing.role == "insert" else thing.seen  # "and the length?" is of it

    def _without_repeats(self) -> list[Draft]:
        """Drops what a closing summary only says again; keeps, and marks, what it says differently."""
        kept: list[Draft] = []
        told: dict[Kind, set[tuple[str, float]]] = {}
        for draft in self.drafts:
            figures = {(key, round(value.value, 6)) for key, value in draft.values.items()}
            if draft.repeated and draft.status is Status.DONE:
                if draft.kind in told and figures <= told[draft.kind]:
                    continue
                draft.flags.add("conflict")
            elif draft.status in {Status.DONE, Status.NEGATED}:
                told.setdefault(draft.kind, set()).update(figures)
            kept.append(draft)
        return kept

    # --- looking around in the sentence ------------------------------------------------------------

    def ahead(self) -> Iterator[Item]:
        """The items after the one heard now."""
        return iter(self.sentence.items[self.index + 1 :])

    def behind(self) -> Iterator[Item]:
        """The items before the one heard now, nearest first."""
        return iter(self.sentence.items[: self.index][::-1])

    def before(self, *passing: str) -> Item | None:
        """The item right before the one heard now, over items of some kinds."""
        for item in self.behind():
            if item.kind not in passing:
                return item
        return None

    def after(self, *passing: str) -> Item | None:
        """The item right after the one heard now, over items of some kinds."""
        for item in self.ahead():
            if item.kind not in passing:
                return item
        return None

    def says(self, *meanings: str) -> bool:
        """Whether the sentence has an action of one of these meanings."""
        return any(item.kind == "action" and not item.meanings.isdisjoint(meanings) for item in self.sentence.items)

    def mentions(self, *kinds: str) -> list[Item]:
        return [item for item in self.sentence.items if item.kind in kinds]

    def clause(self, at: int | None = None) -> list[Item]:
        """The items of the clause around the one heard now, or the one of this place: between marks."""
        items, at = self.sentence.items, self.index if at is None else at
        first, last = at, at + 1
        while first > 0 and items[first - 1].kind != "mark":
            first -= 1
        while last < len(items) and items[last].kind != "mark":
            last += 1
        return items[first:last]

    def spots(self) -> set[str]:
        """The sides, vessels and parts named in the clause around the item heard now."""
        return {item.name for item in self.clause() if item.kind in {"side", "place", "part"}}

    # --- making events -----------------------------------------------------------------------------

    def add(self, kind: Kind, status: Status, item: Item, rule: str, **details: object) -> Draft:
        """A new event, from the item heard now."""
        draft = Draft(kind, status, item.words, rule, self.sentence.breath, self.number, **details)  # type: ignore[arg-type]
        draft.repeated = self.summary
        draft.named = item.words if item.kind in {"device", "drug", "finding"} else None
        for other in self.sentence.items:
            if other.kind == "place" and draft.place is None:
                draft.place = other.name
            elif other.kind == "part" and draft.part is None:
                draft.part = other.name
            elif other.kind == "side":
                draft.side = other.name
        at = next((at for at, other in enumerate(self.sentence.items) if other is item), None)
        beside = [other.name for other in self.clause(at) if other.kind == "side"] if at is not None else []
        draft.beside = next(reversed(beside), None)  # "the eight out on the left, the ten on the right"
        draft.side = draft.beside or draft.side or self.side
        self.drafts.append(draft)
        if kind is Kind.ACCESS:
            self.ways.append(draft)
        return draft

    def settle(self, asked: Draft | None, status: Status, item: Item, rule: str) -> Draft | None:
        """What was asked for in this breath -> the same event, now done or ruled out; None where it was not: what was
        asked for earlier stays, and what became of it is an event of its own.
        """
        if asked is None or asked.breath != self.sentence.breath:
            return None
        asked.status, asked.rule = status, rule
        asked.reach(item.words)
        return asked

    def rule_out(self, draft: Draft, item: Item, how: str) -> None:
        """An event told before does not happen after all, or did not; it is open no more."""
        draft.status, draft.rule = Status.NEGATED, f"{draft.kind}/{how}"
        draft.reach(item.words)
        if draft in self.orders:
            self.orders.remove(draft)

    def forget(self, draft: Draft) -> None:
        """An event told lately was none: it is no longer in the story."""
        self.ways = [way for way in self.ways if way is not draft]
        for at in range(len(self.drafts) - 1, -1, -1):
            if self.drafts[at] is draft:
                del self.drafts[at]
                self._begun -= at < self._begun
                return

    def lately(self) -> list[Draft]:
        """The last events told, oldest first: as far back as a speaker refers."""
        return self.drafts[-_MOST_EVENTS:]

    def told_here(self) -> list[Draft]:
        """The events that this sentence has told, oldest first."""
        return [draft for draft in self.drafts[self._begun :] if draft.number == self.number]

    def recent(self, kind: Kind, breaths: int = 0, *statuses: Status) -> Draft | None:
        """The last event of a kind told at most so many breaths ago."""
        first = self.sentence.breath - breaths
        told = self.ways if kind is Kind.ACCESS else self.drafts
        for draft in islice(reversed(told), _MOST_EVENTS):
            if draft.kind is kind and draft.breath >= first and (not statuses or draft.status in statuses):
                return draft
            if draft.breath < first - _SETTLED:  # a question answered late stands behind newer events, never by much
                break
        return None


def _pressure_unit(item: Item) -> str | None:
    """The unit a balloon's pressure is told in here, where one is."""
    if item.kind not in {"quantity", "pair"}:
        return None
    return next((figure.unit for figure in item.figures.values() if figure.unit in BALLOON_PRESSURES), None)


def told_status(item: Item) -> Status:
    """What is told counts as done, an order too, unless the talk around it says that it does not happen now."""
    return item.status if item.status in NOT_DONE else Status.DONE


def carried(quantity: Quantity) -> Quantity:
    """A value said earlier, used here."""
    return quantity if "carried-over" in quantity.flags else quantity.flagged("carried-over")
