"""What is taken because it is what there is: "Lysis catheter, forty centimetres. / What have we? / Only fifty. / Then
fifty it is."

One size or dose is asked for, another is offered, and that one is used. What was asked for is that size then, where it
was told and wherever it is carried to. So it is where two speak of what goes in next by its size alone: "Catheter, five
French, sixty-five. / Or is it eighty? / Eighty." Marking every offer that nobody takes was tried: 25 marks for four
sizes that were wrong, in 342 cases.
"""

from collections.abc import Iterator, Sequence
from math import log

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.marks import MARKS
from extractor.reconciling.story import KEPT_SIZES, Draft, Hearing, Story
from extractor.reconciling.thousands import in_thousands

#: An offer, or what is made of it, may be so many sentences and breaths behind what was asked for: set by hand, no
#: source.
_NEAR, _BREATHS = 6, 3
#: How much larger or smaller the other one may be: set by hand, no source.
_LIKE = log(2.05)
#: … where neither of them was called for: only said.
_VERY_LIKE = log(1.7)
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
#: … or says so in these words.
_HAS = (("all", "that"), ("all", "i"), ("all", "we"), ("all", "there"), ("exists",), ("we", "have"))
#: What was asked for is not the one: another follows.
_UNFIT = (
    ("not", "enough"), ("too", "short"), ("too", "long"), ("too", "small"), ("too", "big"), ("too", "large"),
    ("not", "found"),
)  # fmt: skip
#: Asks what there is.
_ASKS = frozenset(
    "have got there stock shelf box cupboard drawer size sizes available bring brought which open".split()
)
#: Before or behind the figure that is taken then.
_THEN = {"then", "so"}
_TAKEN = (
    ("then",), ("it", "is"), ("it", "'s"), ("it", "was"), ("it", "will"), ("it", "'ll"), ("is", "it"), ("will", "do"),
    ("'ll", "do"), ("does",), ("stands",), ("yes",), (",", "yes"), ("will", "have", "to"), ("it", "stays"),
    ("is", "fine"), ("is", "okay"), ("is", "enough"), ("works",),
)  # fmt: skip
#: Beside a figure that is said for itself.
_PLAIN = MARKS | set("er um uh no sorry it is 's or sir doctor doc boss please yes yeah okay wait the a".split())
#: Behind the figure that a thing is called by, when it is used; and what may stand between.
_GOES = frozenset("in up goes inside over through across".split())
_BETWEEN = frozenset({",", "is", "'s", "french", "it"})
#: After these words a figure is of something else.
_ELSE = frozenset("of for atm atmospheres bar seconds minutes percent times frames pictures more".split())

#: … and before it.
_AS_HIGH = {"at", "to", "for"}


class InStock(Hearing):
    """Hears what is offered instead of what was asked for, and what is taken then."""

    def __init__(self) -> None:
        self.offered: dict[float, int] = {}  # figures offered lately, and in which sentence
        self.alone: dict[float, int] = {}  # figures said for themselves lately, by whoever, and in which sentence
        self.questioned = -9  # number of the last sentence that asked anything: what follows is another's answer
        self.left: Draft | None = None  # what is no longer spoken of, though nothing was told since

    def begin(self, story: Story, sentence: Sentence) -> None:
        answers = story.number - self.questioned == 1
        asks = sentence.question and "how" not in sentence.texts and bool(sentence.texts & _ASKS)
        self.questioned = story.number if asks or _says(sentence, _UNFIT) else self.questioned
        asked = _asked(story)
        if asked is None or asked is self.left or _names_another(sentence, asked):
            self.offered, self.alone, self.left = {}, {}, asked
            return
        here = _offers(sentence)
        for item, figure in _figures(sentence):
            found = _place(asked, figure)
            if found is None:
                self.alone = {}  # what was asked for is said again
                continue
            key, new = found
            offered, alone = (_said_lately(story, figure, said) for said in (self.offered, self.alone))
            taken = _is_taken(sentence, item) or _goes(sentence, item) or (alone and _is_alone(sentence, item))
            if (offered or alone or answers) and taken and not sentence.question:
                _take(story, asked, key, new)
                item.used = not _goes(sentence, item)  # else it calls the thing that is used
                self.offered, self.alone = {}, {}
                return
            to_go_in = asked.kind is Kind.INSERT and asked.status is Status.PLANNED
            very_like = abs(log(new.value / asked.values[key].value)) <= _VERY_LIKE
            if to_go_in and very_like and _is_alone(sentence, item):
                self.alone |= dict.fromkeys(_readings(figure), story.number)
        answers = answers and asked.status is not Status.DONE
        for _, figure in _figures(sentence) if here or answers or _asks_for_another(sentence) else ():
            if _place(asked, figure) is not None:
                self.offered |= dict.fromkeys(_readings(figure), story.number)
        if _names_another(sentence, asked, behind=True):
            self.left = asked


def _said_lately(story: Story, figure: Quantity, said: dict[float, int]) -> bool:
    return any(story.number - said.get(value, -_NEAR) < _NEAR for value in _readings(figure))


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
    return bool(sentence.texts & _STOCK) or _says(sentence, _HAS)


def _says(sentence: Sentence, phrases: Sequence[tuple[str, ...]]) -> bool:
    tokens = sentence.tokens
    return any(tokens[at : at + len(words)] == words for words in phrases for at in range(len(tokens)))


def _asks_for_another(sentence: Sentence) -> bool:
    """ "or fifty?" """
    return sentence.question and "or" in sentence.tokens


def _is_taken(sentence: Sentence, item: Item) -> bool:
    """ "then ten", "ten then", "fifty it's to be", "the fifty": what stands around a figure says that it is taken."""
    tokens = sentence.tokens
    behind = tuple(tokens[item.span[1] : item.span[1] + 3])
    return item.before in _THEN or any(behind[: len(words)] == words for words in _TAKEN)


def _is_alone(sentence: Sentence, item: Item) -> bool:
    """ "One eighty.", "or is it eighty?": nothing else is said."""
    first, past = item.span
    return _PLAIN.issuperset(sentence.tokens[:first] + sentence.tokens[past:])


def _goes(sentence: Sentence, item: Item) -> bool:
    """ "forty goes over it", "one eighty, up": what becomes of a thing called by its size."""
    behind = [token for token in sentence.tokens[item.span[1] : item.span[1] + 3] if token not in _BETWEEN]
    return bool(_GOES & {*behind[:1]})


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
