"""What is taken because it is what there is: "Lysis catheter, forty centimetres. / What have we? / Only fifty. / Then
fifty it is."

One size or dose is asked for, another is offered, and that one is used. What was asked for is that size then, where it
was told and wherever it is carried to. An offer that nobody answers leaves both in doubt.
"""

from collections.abc import Iterator, Sequence
from math import log

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import KEPT_SIZES, Draft, Hearing, Story
from extractor.reconciling.thousands import in_thousands

#: An offer, or what is made of it, may be so many sentences and breaths behind what was asked for: set by hand, no
#: source.
_NEAR, _BREATHS = 6, 3
#: How much larger or smaller the other one may be: set by hand, no source.
_LIKE = log(2.05)
#: What can be had in another size.
_HAD = {Kind.INSERT, Kind.STENT, Kind.EMBOLISE, Kind.CLOSURE, Kind.DRUG, Kind.INFLATION}
_SIZES = KEPT_SIZES | {"dose"}
#: In a sentence that tells what there is.
_STOCK = frozenset(
    """
    only stock stocked shelf shelves cupboard drawer store stores storeroom trolley box biggest largest smallest longest
    shortest opened drawn took grabbed available remaining
    """.split()
)
#: Asks what there is.
_ASKS = frozenset(
    "have got there stock shelf box cupboard drawer size sizes available bring brought which open".split()
)
#: Before or behind the figure that is taken then.
_THEN = {"then", "so"}
_TAKEN = (
    ("then",), ("it", "is"), ("it", "'s"), ("it", "will"), ("it", "'ll"), ("is", "it"), ("will", "do"), ("'ll", "do"),
    ("does",), ("stands",), ("will", "have", "to"), ("it", "stays"), ("is", "fine"), ("is", "okay"), ("works",),
)  # fmt: skip
#: After these words a figure is of something else.
_ELSE = frozenset("of for atm atmospheres bar seconds minutes percent times frames pictures more".split())

#: … and before it.
_AS_HIGH = {"at", "to", "for"}


class InStock(Hearing):
    """Hears what is offered instead of what was asked for, and what is taken then."""

    def __init__(self) -> None:
        self.offered: dict[float, int] = {}  # figures offered lately, and in which sentence
        self.questioned = -9  # number of the last sentence that asked anything: what follows is another's answer
        self.left: Draft | None = None  # what is no longer spoken of, though nothing was told since

    def begin(self, story: Story, sentence: Sentence) -> None:
        answers = story.number - self.questioned == 1
        asks = sentence.question and "how" not in sentence.texts and bool(sentence.texts & _ASKS)
        self.questioned = story.number if asks else self.questioned
        asked = _asked(story)
        if asked is None or asked is self.left or _names_another(sentence, asked):
            self.offered, self.left = {}, asked
            return
        here = _offers(sentence)
        for item, figure in _figures(sentence):
            found = _place(asked, figure)
            if found is None:
                continue
            key, new = found
            if self._was_offered(story, figure) and _is_taken(sentence, item) and not sentence.question:
                _take(story, asked, key, new)
                item.used = True
                self.offered = {}
                return
        answers = answers and asked.status is not Status.DONE
        for _, figure in _figures(sentence) if here or answers or _asks_for_another(sentence) else ():
            if _place(asked, figure) is not None:
                self.offered |= dict.fromkeys(_readings(figure), story.number)
        if _names_another(sentence, asked, behind=True):
            self.left = asked

    def _was_offered(self, story: Story, figure: Quantity) -> bool:
        return any(story.number - self.offered.get(value, -_NEAR) < _NEAR for value in _readings(figure))


def _asked(story: Story) -> Draft | None:
    """What was told last, where it is yet to be used or was just now."""
    last = story.drafts[-1] if story.drafts else None
    if last is None or last.kind not in _HAD or story.number - last.number > _NEAR:
        return None
    open_still = last.status in {Status.PLANNED, Status.CONSIDERED, Status.DONE}
    return (
        last
        if open_still and story.sentence.breath - last.breath <= _BREATHS and "pressure" not in last.values
        else None
    )


def _names_another(sentence: Sentence, asked: Draft, behind: bool = False) -> bool:
    """Whether a sentence speaks of something else before it gives a figure (or behind it), or of an injection."""
    for item in sentence.items:
        if item.kind in {"pair", "finding"}:
            return True
        if item.kind in {"device", "drug"} and item.name and item.name not in {asked.device, asked.drug}:
            return True
        if item.kind == "quantity" and not behind:
            return False
    return False


def _figures(sentence: Sentence) -> Iterator[tuple[Item, Quantity]]:
    """The lone figures of a sentence."""
    for item in sentence.items:
        lone = item.kind == "quantity" or (item.kind == "device" and not item.name and len(item.figures) == 1)
        if (
            lone
            and item.status not in {Status.NEGATED, Status.PAST, Status.QUOTED}
            and item.after not in _ELSE
            and item.before not in _AS_HIGH
        ):
            yield item, next(iter(item.figures.values()))


def _readings(figure: Quantity) -> tuple[float, ...]:
    """A figure as it may be meant: "two four" is twenty-four, or two point four."""
    return (figure.value, *figure.alternatives)


def _place(asked: Draft, figure: Quantity) -> tuple[str, Quantity] | None:
    """Which size or dose a figure can stand for: the one it is most like; none where it is one of them already."""
    alike: list[tuple[float, str, Quantity]] = []
    for key in sorted(_SIZES & asked.values.keys()):
        old = asked.values[key]
        for value in _readings(figure):
            new = in_thousands(figure.flagged(value=value, alternatives=()), old)
            if new.unit not in {None, old.unit} or not old.value or new.value <= 0:
                continue
            alike.append((abs(log(new.value / old.value)), key, new.flagged(unit=new.unit or old.unit)))
    best = min(alike, key=lambda each: each[:2], default=None)
    return best[1:] if best is not None and 0 < best[0] <= _LIKE else None


def _offers(sentence: Sentence) -> bool:
    return bool(sentence.texts & _STOCK)


def _asks_for_another(sentence: Sentence) -> bool:
    """ "or fifty?" """
    return sentence.question and "or" in sentence.tokens


def _is_taken(sentence: Sentence, item: Item) -> bool:
    """ "then ten", "ten then", "fifty it's to be", "the fifty": what stands around a figure says that it is taken."""
    tokens = sentence.tokens
    behind = tuple(tokens[item.span[1] : item.span[1] + 3])
    return item.before in _THEN or any(behind[: len(words)] == words for words in _TAKEN)


def _take(story: Story, asked: Draft, key: str, new: Quantity) -> None:
    """The other size, where it was told, marked, and wherever it is carried to: who looks at the one has looked."""
    old, new = asked.values[key], new.flagged("corrected", alternatives=(asked.values[key].value,))
    holders: Sequence[dict[str, Quantity]] = [
        *(draft.values for draft in story.lately() if draft.number >= asked.number),
        *(thing.values for thing in story.things),
    ]
    for values in holders:
        if key in values and (values[key].words, values[key].value) == (old.words, old.value):
            values[key] = new
    asked.values[key] = new.flagged("conflict")
