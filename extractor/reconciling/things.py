"""Which device is meant: a mention -> one of the things the case has spoken of, or a new one."""

from collections.abc import Callable, Iterable
from collections.abc import Set as AbstractSet
from dataclasses import replace

from extractor.model import SIDES, Item, Quantity, Status
from extractor.reconciling.story import Story, Thing, carried
from extractor.sizes import WIDEST_MICRO

#: What is before a noun, or in it, and calls nothing by a name of its own.
_NO_NAMES = frozenset(
    """
    a an the my our this that his her another one some and or of with in on over through up down for to by at from no
    oh zero two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen
    eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred point half french then now please
    same new old next first second third wire wires sheath catheter is 's put take give get use need want just only too
    out off away again back so as other
    """.split()
)

_SAME = 0.011  # relative: sizes are equal when they are within what rounding in speech can do

#: What is called one of a pair is not what is called the other.
_OPPOSITES = (
    ("stiff", "hydrophilic"), ("short", "long"), ("plain", "drug coated"), ("first", "second"), ("first", "third"),
    ("second", "third"), ("big", "small"),
)  # fmt: skip
#: Where a thing may be spoken of next; what was spoken of within so many sentences may be too: set by hand, no source.
_AT_HAND = {"asked", "in", "up"}
_JUST_NOW = 3

#: How much more what was called by the same words is meant than another: set by hand, no source.
_CALLED_SO = 0.6

#: A long sheath, cm, and a thick wire, in: common practice, no source.
_LONG, _THICK = 25, 0.03

#: The thickest wire that goes through a microcatheter, in: common practice, no source; how much more such a one is
#: meant than another, set by hand; and where a device has been that was in.
_THIN, _MEANT, _HAS_BEEN_IN = 0.021, 1.5, {"in", "out", "replaced"}

#: What was thought of by its size alone is ruled out by its noun: "two seven five by twelve? No second stent."
_TOLD_BY_SIZE = {"stent", "inflation"}


def equal(a: Quantity, b: Quantity) -> bool:
    """Whether two figures name one size; centimetres and millimetres may differ in what was said."""
    x, y = a.value, b.value
    if a.unit != b.unit and {a.unit, b.unit} == {"mm", "cm"}:
        x, y = (x * 10 if a.unit == "cm" else x), (y * 10 if b.unit == "cm" else y)
    return abs(x - y) <= _SAME * max(abs(x), abs(y))


def find(story: Story, item: Item, allowed: Callable[[Thing], bool]) -> Thing | None:
    """A mention -> the thing that fits it best, the latest of equals; None where none fits."""
    best: Thing | None = None
    best_score = 0.0
    spots, own = story.spots(), own_words(story, item) if item.role == "insert" else set[str]()
    for order, thing in enumerate(story.things):
        if not allowed(thing):
            continue
        score = fit(item, thing)
        if score is None:
            continue
        if thing.where == "asked":
            score += 0.3  # what was asked for is what is spoken of next
        elif thing.where == "up":
            score += 1
        score += _through_what_is_in(item, thing, story.number)
        here, there = (spots & SIDES, thing.spots & SIDES) if thing.role == "insert" else (spots, thing.spots)
        if here and there:
            score += 1 if here & there else -0.5
        score += _CALLED_SO if own & thing.words else 0
        score = score + order * 1e-6 + thing.seen * 1e-3
        if score > best_score:
            best, best_score = thing, score
    return best


def _through_what_is_in(item: Item, thing: Thing, number: int) -> float:
    """ "The wire out", "wire in again", with nothing told of how thick it is: with a microcatheter in it is a thin one,
    which alone goes through it; once that is out, a thick one. 0 where the case has none.
    """
    thick = thing.values.get("wire_diameter")
    if item.name != "wire" or item.figures or item.nickname or item.qualifiers or thick is None:
        return 0
    micros = [other for other in thing.among if other.name == "microcatheter"]
    if not any(one.where in _HAS_BEEN_IN for one in micros):
        return 0
    inside = any(
        one.where == "in"
        or (one.where == "asked" and number - one.seen <= _JUST_NOW)  # it goes in now, though nobody said so
        or (thing.where == "in" and number == one.seen)  # "micro out, wire out"
        for one in micros
    )
    return _MEANT if (thick.value <= _THIN) == inside else 0


def fit(item: Item, thing: Thing) -> float | None:
    """How well a mention fits a thing; None where they contradict each other."""
    if item.role and thing.role and item.role != thing.role:
        return None
    score = 0.5
    same = False  # whether anything they both have is the same
    gauge = thing.values.get("gauge")
    if gauge is not None and (item.name == "wire" or (item.name == "microcatheter" and gauge.value > WIDEST_MICRO)):
        return None
    if (
        item.name
        and not thing.name
        and not (
            item.role == thing.role in _TOLD_BY_SIZE
            and (item.status is Status.NEGATED or item.figures or _called_by_kind(item))
        )
        and (item.name not in {"sheath", "catheter"} or item.nickname not in {None, "crossover sheath"})
    ):
        return None
    if item.name and thing.name:
        if not _names_agree(item, thing):
            return None
        score += 1 if item.name == thing.name else 0.4
    elif item.name == "catheter":
        score -= 0.4
    elif item.name == "sheath":
        score += 1  # a gauge with no noun is a sheath's, mostly
    if item.nickname and thing.nickname:
        if item.nickname != thing.nickname:
            return None
        score += 3
        same = True
    for key, quantity in item.figures.items():
        if not _may_have(thing, key):
            return None
        known = thing.values.get(key)
        if known is None and key == "length" and _longer(item, thing):
            return None
        if known is None:
            score -= 0.2
        elif equal(quantity, known):
            score += 2
            same = True
        else:
            return None
    shared = item.qualifiers & thing.qualifiers
    if item.figures and not same and not shared and thing.role == "insert" and thing.where in {"in", "replaced", "out"}:
        return None
    score += len(shared)
    if item.name == "wire" and _of_other_thickness(item, thing):
        return None
    if item.name == "catheter" and "big" in item.qualifiers and thing.name == "microcatheter":
        return None
    if "short" in item.qualifiers:
        length = thing.values.get("length")
        if length and length.value > 25:
            return None
        score += 0.5
    if "long" in item.qualifiers:
        length = thing.values.get("length")
        if not length and "short" in thing.qualifiers:
            return None
        score += 1 if length and length.value > 25 else 0
    if not item.role and not item.name and not any(key in thing.values for key in item.figures):
        return None
    if not item.name and not item.figures and not shared and not item.qualifiers & {"long", "short"}:
        return None
    for one, other in _OPPOSITES:
        if (one in item.qualifiers and other in thing.qualifiers and one not in thing.qualifiers) or (
            other in item.qualifiers and one in thing.qualifiers and other not in thing.qualifiers
        ):
            return None
    return score


def _called_by_kind(item: Item) -> bool:
    """ "The coated one's across": called by what kind it is alone, it may be what was asked for by its size alone."""
    return item.headless and not item.figures and bool(item.qualifiers)


def fit_but_for_sizes(item: Item, thing: Thing) -> bool:
    """Whether a mention fits a thing in all but the sizes it tells."""
    return fit(replace(item, figures={}), thing) is not None


def _longer(item: Item, thing: Thing) -> bool:
    """ "the forty-five centimetre sheath" is none that went in with no length told: that is a short one."""
    length = item.figures["length"]
    sheath = thing.name in {"", "sheath"} and item.name in {"", "sheath"} and "long" not in thing.qualifiers
    return sheath and thing.where == "in" and length.unit in {None, "cm"} and length.value >= _LONG


def _of_other_thickness(item: Item, thing: Thing) -> bool:
    """ "the small wire" is none of thirty-five thousandths, "the big wire" none of fourteen."""
    known = thing.values.get("wire_diameter")
    if known is None or item.figures:
        return False
    return ("small" in item.qualifiers and known.value >= _THICK) or ("big" in item.qualifiers and known.value < _THICK)


def _may_have(thing: Thing, key: str) -> bool:
    if thing.name == "wire":
        return key != "gauge"
    return key != "wire_diameter" or (not thing.name and "gauge" not in thing.values)


def _names_agree(item: Item, thing: Thing) -> bool:
    if item.name == thing.name:
        return True
    return (
        item.name.endswith("catheter")
        and thing.name.endswith("catheter")  # any of a kind may be called just "the catheter"
        and "catheter" in {item.name, thing.name}
        and not (item.nickname and (thing.nickname or thing.name == "microcatheter"))  # "the cobra" is no thin one
    )


def learn(thing: Thing, item: Item) -> None:
    """Adds what a mention says to what is known."""
    thing.values |= item.figures
    thing.qualifiers |= item.qualifiers
    thing.nickname = thing.nickname or item.nickname
    thing.mount = thing.mount or item.mount
    thing.name = thing.name or item.name


def call(story: Story, thing: Thing, item: Item) -> None:
    """Keeps the words that something is called by: "the green wire", "polymer in", "mother, five French"."""
    thing.words |= own_words(story, item)


def own_words(story: Story, item: Item) -> set[str]:
    """The words that a mention calls something by, its sizes and noun left out."""
    tokens, (first, past) = story.sentence.tokens, item.span
    apposed = item.headless and first > 1 and tokens[first - 1] == ","
    before = tokens[first - 2 : first - 1] if apposed else tokens[max(0, first - 1) : first]
    return {word for word in (*before, *tokens[first:past]) if word.isalpha() and word not in _NO_NAMES}


def values_of(thing: Thing, item: Item | None = None, own: AbstractSet[str] = frozenset()) -> dict[str, Quantity]:
    """The sizes of a thing, marked as carried over where this mention did not say them, and as doubtful where another
    thing may be meant, which was called by its ``own`` words as well; of several, no count.
    """
    said = item.figures if item else {}
    rivals = _rivals(thing, item) if thing.values.keys() - said.keys() else []
    if own & thing.words:
        rivals = [other for other in rivals if own & other.words]
    return {
        key: quantity if key in said else carried_past(key, quantity, rivals)
        for key, quantity in thing.values.items()
        if key != "count" or quantity.value == 1
    }


def _rivals(thing: Thing, item: Item | None) -> list[Thing]:
    """What else the words may mean: things of one kind with it, where it is now. Of those that were used and of those
    that are out, only what was spoken of just now.
    """
    now = max((other.seen for other in thing.among), default=0)
    alike = [
        other
        for other in thing.among
        if other is not thing
        and other.role == thing.role
        and (other.where == thing.where or _waits_since(other, thing))
    ]
    at_hand = [
        other
        for other in alike
        if (other.where in _AT_HAND or now - other.seen <= _JUST_NOW)
        and (not other.name or not thing.name or other.name == thing.name)
    ]
    return [
        other
        for other in (alike if _any_catheter(item, thing) else at_hand)
        if _may_mean(thing, item, other) or _any_catheter(item, other)
    ]


def _waits_since(other: Thing, thing: Thing) -> bool:
    """Whether another device was asked for since this one went in, and nobody said what became of it: what is in now,
    and comes out, may be that one.
    """
    return thing.role == "insert" and (thing.where, other.where) == ("in", "asked") and thing.moved < other.seen


def _may_mean(thing: Thing, item: Item | None, other: Thing) -> bool:
    """Whether another thing fits the words too; with no words, unless this one was called by its width since that one,
    which has another, was spoken of.
    """
    if item is not None:
        return fit(item, other) is not None
    width, wide = thing.values.get("diameter"), other.values.get("diameter")
    return not (thing.called > other.seen and width is not None and wide is not None and not equal(width, wide))


def _any_catheter(item: Item | None, thing: Thing) -> bool:
    """ "the cath goes back in", where it may be any kind of catheter that came out."""
    if item is None or item.name != "catheter" or item.nickname or item.figures:
        return False
    return thing.where == "out" and thing.name.endswith("catheter")


def carried_past(key: str, quantity: Quantity, rivals: Iterable[Thing]) -> Quantity:
    """A size carried over; where another thing's differs, doubtful, with that one as what else it may be."""
    others = [rival.values[key] for rival in rivals if key in rival.values]
    differing = [other for other in others if not equal(quantity, other)]
    if not differing:
        return carried(quantity)
    alternatives = dict.fromkeys(other.value for other in differing if other.unit == quantity.unit)
    return carried(quantity).flagged("which-device", alternatives=(*quantity.alternatives, *alternatives))


def doubt_which(value: Quantity) -> Quantity:
    """A value that may be another thing's."""
    return value if "which-device" in value.flags else value.flagged("which-device")


def _side_before(story: Story, item: Item) -> set[str]:
    """ "one for the left side, ten by sixty": the side named in the clause before the size of a balloon or stent."""
    clause: list[Item] = []
    for other in story.behind() if item.role in {"inflation", "stent"} and item.figures else ():
        if other.kind == "mark" and clause:
            break
        if other.kind == "device":
            return set()
        if other.kind != "mark":
            clause.append(other)
    named = {other.name for other in clause if other.kind == "side"}
    return named if len(clause) > 1 and len(named) == 1 else set()


def new(story: Story, item: Item, where: str = "asked") -> Thing:
    """A thing first spoken of here."""
    thing = Thing(
        role=item.role,
        name=item.name,
        nickname=item.nickname,
        mount=item.mount,
        qualifiers=set(item.qualifiers),
        values=dict(item.figures),
        spots=story.spots() or _side_before(story, item),
        where=where,
        breath=story.sentence.breath,
        seen=story.number,
        among=story.things,
    )
    call(story, thing, item)
    story.things.append(thing)
    return thing
