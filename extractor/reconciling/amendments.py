"""What is said later of what was told before: a figure put right, an event taken back.

"I had that at sixteen and it was only six", "the contrast should read ninety", "strike that, it was never given". The
event is changed where it stands, and marked: somebody changed the record by word of mouth, so a person looks.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import NO, Draft, Hearing, Story

#: How many sentences long a speaker goes on putting right after saying so ("two things I told you wrong").
_AMENDING = 3
#: How many events back a wrong figure is looked for, where it is named or dictated, and at the table: set by hand.
_MOST_BACK, _BACK = 400, 12
#: How many sentences back "it was not given" reaches.
_REFUSING = 2
#: What can be taken back: what was done. What is seen or measured is ruled out by its own words.
_TAKEN_BACK = {
    Kind.ACCESS, Kind.INSERT, Kind.REMOVE, Kind.INFLATION, Kind.STENT, Kind.EMBOLISE, Kind.RUN, Kind.DRUG, Kind.CLOSURE,
}  # fmt: skip
#: What an action word names: the kind of event, and the value where it is one of several.
_NAMED_BY = {
    "contrast": (Kind.TOTAL, "contrast_volume"),
    "screening": (Kind.TOTAL, "fluoro_time"),
    "kerma": (Kind.TOTAL, "air_kerma"),
    "dap": (Kind.TOTAL, "dap"),
    "run": (Kind.RUN, ""),
    "inflate": (Kind.INFLATION, ""),
    "deploy": (Kind.STENT, ""),
    "puncture": (Kind.ACCESS, ""),
    "press": (Kind.CLOSURE, ""),
}


class Amendments(Hearing):
    """Hears, before every kind, sentences that put an earlier figure right; none of their figures make new events."""

    def __init__(self) -> None:
        self.until = -1  # the number of the last sentence that may put right without saying so again

    def begin(self, story: Story, sentence: Sentence) -> None:
        amending = any(item.kind == "phrase" and item.name in {"amendment", "misstated"} for item in sentence.items)
        if amending and story.dictated:
            self.until = story.number + _AMENDING
        settled = self._contrasted(story, sentence, list(_wrong(sentence)))
        if not settled and story.number <= self.until:
            settled = self._contrasted(story, sentence, [item for item in sentence.items if item.kind == "quantity"])
        if settled or (amending and self._named(story, sentence)):
            story.topic = ""
            for item in sentence.items:
                item.used = item.used or item.kind in {"quantity", "pair", "device", "drug"} or bool(_named(item))

    def _contrasted(self, story: Story, sentence: Sentence, wrongs: list[Item]) -> bool:
        """Two figures, one of them told before and the other not: "I had that at sixteen and it was six"."""
        for wrong in wrongs:
            for right in _nearest(sentence, wrong):
                found = self._told(story, sentence, wrong.figures["value"], right)
                if found is not None:
                    _put_right(*found, right)
                    return True
        return False

    def _told(self, story: Story, sentence: Sentence, wrong: Quantity, right: Quantity) -> tuple[Draft, str] | None:
        """The event that has the wrong figure: of those that what is named here fits, the latest."""
        far = _MOST_BACK if story.dictated or _names_any(sentence) else _BACK
        for draft in reversed(story.lately()[-far:]):
            if draft.status not in {Status.DONE, Status.PLANNED} or not _fits(sentence, draft):
                continue
            for key, value in draft.values.items():
                same = value.value == wrong.value and wrong.unit in {None, value.unit}
                if same and right.unit in {None, value.unit} and "carried-over" not in value.flags:
                    return draft, key
        return None

    def _named(self, story: Story, sentence: Sentence) -> bool:
        """One figure for what is named: "contrast should read one hundred and twenty-four"."""
        said = next(at for at, item in enumerate(sentence.items) if item.name in {"amendment", "misstated"})
        for item in _figured(sentence.items[said:]) or _figured(sentence.items[:said]):
            if item.kind == "quantity" and not _names_any(sentence):
                continue
            for draft in reversed(story.lately()):
                if draft.status not in {Status.DONE, Status.PLANNED} or not _fits(sentence, draft):
                    continue
                if item.kind == "pair" and draft.kind is not Kind.RUN:
                    continue
                if changed := list(_changes(sentence, draft, item)):
                    for key, new in changed:
                        _put_right(draft, key, new)
                    return True
                break
        return False


class Retractions(Hearing):
    """Hears, after every kind, what takes an event back: "scrap that", "it was never given", "a stent? No."."""

    def __init__(self) -> None:
        self.asked: list[Draft] = []  # what the questions right before this sentence spoke of
        self.before = 0  # how many events there were before this sentence

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.first in NO | {"nay"} and not _sized(sentence):
            for draft in self.asked:
                if draft.status in {Status.PLANNED, Status.CONSIDERED} and draft.kind in _TAKEN_BACK:
                    _take_back(story, draft, Item("mark", sentence.words, sentence.first))
                    for item in sentence.items:  # "No, no fentanyl": the same event
                        item.used = item.used or (
                            item.status is Status.NEGATED and item.name in {draft.drug, draft.device}
                        )
        self.before = len(story.drafts)

    def end(self, story: Story, sentence: Sentence) -> None:
        self.asked = [*self.asked, *story.drafts[self.before :]] if sentence.question else []

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind != "phrase":
            return False
        if item.name == "refused":
            return self._refused(story, item)
        if item.name == "retraction":
            return self._retracted(story, item)
        return False

    @staticmethod
    def _refused(story: Story, item: Item) -> bool:
        """ "A stent was on the table. It was not placed.": what was last spoken of, where no verb said it was done."""
        here = story.number
        if not any(draft.number == here for draft in story.drafts[-1:]) and not _pointed(story):
            return False
        for draft in reversed(story.drafts[-4:]):
            if story.number - draft.number > _REFUSING or draft.kind not in _TAKEN_BACK:
                continue
            if draft.status is Status.NEGATED:
                return False
            if draft.status in {Status.PLANNED, Status.CONSIDERED} or draft.rule.endswith("/told"):
                _take_back(story, draft, item)
                return True
            return False
        return False

    @staticmethod
    def _retracted(story: Story, item: Item) -> bool:
        """ "Sheath's in. Scrap that.": the event last told; with a figure after it, the figure is put right."""
        if any(
            "corrected" in quantity.flags and quantity.words[0] <= item.words[0] < quantity.words[1]
            for other in story.sentence.items
            for quantity in other.figures.values()
        ):
            return False  # put right in one breath: reading saw to it
        draft = next((draft for draft in reversed(story.drafts[-4:]) if draft.kind in _TAKEN_BACK), None)
        if draft is None or story.number - draft.number > 1 or draft.status is not Status.DONE:
            return False
        figured = next((other for other in _figured(list(story.ahead())) if not other.used), None)
        if figured is None:
            draft.flags.add("conflict")
            _take_back(story, draft, item)
            return True
        if figured.kind == "device" and figured.name not in {"", draft.device}:
            return False
        changed = list(_changes(story.sentence, draft, figured))
        for key, new in changed:
            _put_right(draft, key, new)
        figured.used = bool(changed)
        return bool(changed)


def _pointed(story: Story) -> bool:
    """Whether the clause heard now speaks of what stood before it: "it was not placed", or nothing but "not placed"."""
    clause = story.clause()
    return len(clause) == 1 or any(item.kind == "pronoun" and item.name not in {"i", "we", "you"} for item in clause)


def _named(item: Item) -> list[tuple[Kind, str]]:
    """What an action word names: kinds of event, with the value."""
    return [_NAMED_BY[meaning] for meaning in sorted(item.meanings & _NAMED_BY.keys())]


def _figured(items: Sequence[Item]) -> list[Item]:
    return [item for item in items if item.kind in {"quantity", "pair", "device", "drug"} and item.figures]


def _nearest(sentence: Sentence, wrong: Item) -> Iterator[Quantity]:
    """The figures that may stand for a wrong one: of like size, the next said after it first, then the last before."""
    old = wrong.figures["value"]
    figures = [figure for item in sentence.items if item is not wrong for figure in item.figures.values()]
    alike = [figure for figure in figures if figure.value != old.value and 0.1 <= figure.value / old.value <= 10]
    yield from sorted((f for f in alike if f.words > old.words), key=lambda figure: figure.words)
    yield from sorted((f for f in alike if f.words < old.words), key=lambda figure: figure.words, reverse=True)


def _key_named(sentence: Sentence, item: Item) -> str:
    """Which value is named for a figure: the last named before it, else the first after it."""
    at = sentence.items.index(item)
    for other in (*reversed(sentence.items[:at]), *sentence.items[at:]):
        for _, key in _named(other):
            return key
    return ""


def _wrong(sentence: Sentence) -> Iterator[Item]:
    """The figures said to be wrong: "not five", "I said eight"."""
    for before, item in pairwise(sentence.items):
        if item.kind == "denied" or (before.name == "misstated" and item.kind == "quantity"):
            yield item


def _sized(sentence: Sentence) -> bool:
    """Whether a sentence gives another size: "five by sixty? No, five by eighty." is a plan put right."""
    return any(item.kind == "device" and item.figures and item.status is not Status.NEGATED for item in sentence.items)


def _names_any(sentence: Sentence) -> bool:
    return any(item.kind in {"device", "drug"} or _named(item) for item in sentence.items)


def _fits(sentence: Sentence, draft: Draft) -> bool:
    """Whether what a sentence names can be this event: the same device or drug, the kind, the side."""
    for item in sentence.items:
        if item.kind == "drug" and draft.drug != item.name:
            return False
        if item.kind == "side" and draft.side not in {None, item.name}:
            return False
        if item.kind == "device" and item.role in {"inflation", "stent", "embolise"} and draft.kind != item.role:
            return False
        if item.kind == "device" and item.role == "insert" and draft.device != item.name:
            return False
        if (named := _named(item)) and draft.kind not in {kind for kind, _ in named}:
            return False
    return True


def _changes(sentence: Sentence, draft: Draft, item: Item) -> Iterator[tuple[str, Quantity]]:
    """The values of an event that what is said here puts right."""
    if item.kind == "pair":
        keys = ("volume", "rate") if item.name == "at" else ("rate", "volume")
        pairs = list(zip(keys, item.figures.values(), strict=True))
    elif item.kind == "quantity":
        new = item.figures["value"]
        said = _key_named(sentence, item)
        pairs = [
            (key, new)
            for key, value in draft.values.items()
            if new.unit in {None, value.unit}
            and 0.1 * value.value <= new.value <= 10 * value.value
            and said in {"", key}
        ]
        pairs = pairs if len(pairs) == 1 else []
    else:
        pairs = list(item.figures.items())
    for key, new in pairs:
        old = draft.values.get(key)
        if old is not None and old.value != new.value:
            yield key, new


def _put_right(draft: Draft, key: str, new: Quantity) -> None:
    old = draft.values[key]
    draft.values[key] = new.flagged(
        "corrected", "conflict", unit=new.unit or old.unit, alternatives=(*new.alternatives, old.value)
    )


def _take_back(story: Story, draft: Draft, item: Item) -> None:
    """An event that did not happen after all; its device is not in use."""
    story.rule_out(draft, item, "taken-back")
    for thing in reversed(story.things):
        if thing.asked is draft or (thing.values and thing.values == draft.values):
            thing.where, thing.asked = "refused", None
            return
