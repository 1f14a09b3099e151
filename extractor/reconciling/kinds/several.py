"""Several of one kind: "two six French sheaths… right one is in, left one is in", "first is in the anterior, second in
the posterior", "seven French on each side".
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from extractor.model import SIDES, Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.told_after import CALLS
from extractor.reconciling.story import STORES, Story, Thing, carried
from extractor.reconciling.things import fit

_COUNTS = {"two": 2, "both": 2, "three": 3, "four": 4}
#: These stand for one of several, where the clause names nothing else.
_EACH = frozenset("one first second third other".split())
#: What several were asked for of is called so.
_SEVERAL = "several"
#: Before them.
_LIGHT = frozenset("the a an another that this and then so now right left , . ... this".split()) | {""}
_MOVES, _LEAVES = {"placed", "particle"}, {"removed", "particle out"}
#: What is told of both sides with one of these is done: "both groins are in".
_GAINED = {"gained", "particle", "give", "placed", "performed"}
#: Between what stands for one of several and what is told of it.
_ALSO = frozenset("also too now likewise already one".split())
#: Right behind them, where none of these is: "one moment", "first we take".
_STATES = frozenset(
    "is 's in out off up down through across goes went comes has lies sits into at on inside placed".split()
)
#: Before an article these lead to where it is.
_WITHIN, _ARTICLES = frozenset("in on into at inside".split()), frozenset("the my a your his her our".split())
#: Where nobody is worked on, or nothing is put.
_AWAY = frozenset("recovery theatre bay bed stock ward room scan holding lab reception".split())
#: Right behind a number that is no count of something else.
_BEHIND_NUMBER = frozenset(", . ! ... ; and on in for is goes up then too please right left there".split()) | {""}
_NEW, _PAIR = frozenset({"new"}), ("one", "other")
#: For so many sentences; set by hand, no source.
_LATELY = 12


def count_of(story: Story, item: Item) -> int:
    """How many a mention asks for: "two six French sheaths", "sheaths for both sides", "seven French on each side"; one
    where nothing is said.
    """
    if is_two_of(item) or is_each_of_two(story, item):
        return 2
    if not item.text.endswith("s"):
        return 2 if on_both_sides(story, item) else 1
    sides = any(other.name == "both" for other in story.mentions("side"))
    return _COUNTS.get(item.text.split()[0], 2 if sides else 1)


def number_of(story: Story, item: Item, way: str) -> int:
    """How many a mention speaks of: two for "both wires", "two wires", "sheaths … on both sides", and for "the sheaths"
    that come out where two are in; else one.
    """
    items = story.sentence.items
    at = items.index(item)
    before = items[at - 1] if at else None
    both = before is not None and before.name == "both" and item.span[0] - before.span[1] <= 2  # "both of the wires"
    sides = _names_both_sides(items, way) and "respectively" not in story.sentence.texts
    said = any(other.kind == "pronoun" and other.name == "both" for other in items[at + 1 :])  # "wires out, both"
    if not item.text.endswith("s"):
        both = both and not {"and", "with", "plus"} & {other.text for other in items[at + 1 : at + 2]}
        return 2 if both or on_both_sides(story, item) or is_each_of_two(story, item) else 1
    one_of = "of" in story.sentence.tokens[max(0, item.span[0] - 3) : item.span[0]]  # "the first of the wires"
    if way == "out" and not item.figures and not one_of:
        said = (
            said
            or len(
                [
                    one
                    for one in story.things
                    if one.where == "in" and one.role == "insert" and fit(item, one) is not None
                ]
            )
            == 2
        )
    return 2 if both or sides or said or item.text.startswith("two ") else 1


def _names_both_sides(items: Sequence[Item], way: str) -> bool:
    """ "Stiff wires out, both sides", "… left and right": not "out of the left, into the right"."""
    sides = [at for at, item in enumerate(items) if item.kind == "side" and item.name in SIDES]
    joined = way == "out" and any(
        one + 2 == other and items[one + 1].text in {"and", "+", "plus"} and items[one].name != items[other].name
        for one, other in pairwise(sides)
    )
    return joined or any(item.kind == "side" and item.name == "both" for item in items)


def is_two_of(item: Item) -> bool:
    """ "Two seven French", where it is no microcatheter of two point seven: two of seven French, or twenty-seven."""
    gauge = item.figures.get("gauge")
    return gauge is not None and "two-readings" in gauge.flags and item.headless and item.text.startswith("two ")


def is_each_of_two(story: Story, item: Item) -> bool:
    """ "Two sheaths, each six French", "one up, one down, both six French"."""
    before, tokens = story.sentence.tokens[: item.span[0]], story.sentence.tokens
    sized = item.headless and "gauge" in item.figures and before[-1:] in {("each",), ("both",)}
    return sized and ("two" in before or tokens.count("one") == len(_PAIR))


def part_two(item: Item, thin: bool) -> None:
    """Digits in a row behind which no noun stands, of a microcatheter where it is ``thin``, else two of one gauge."""
    gauge = item.figures.get("gauge")
    if (
        gauge is None
        or not item.headless
        or item.name
        or not item.text.startswith("two ")
        or not 23 <= gauge.value <= 29
    ):
        return
    if gauge.form in {"digits", "spelled"} and gauge.value % 1 == 0:
        value, others = (gauge.value / 10, ()) if thin else (gauge.value - 20, (gauge.value, gauge.value / 10))
        flags = tuple(flag for flag in gauge.flags if flag != "two-readings") + ("two-readings",) * (not thin)
        item.figures["gauge"] = replace(gauge, value=value, alternatives=others, flags=flags)
        item.name = "microcatheter" if thin else item.name


def on_both_sides(story: Story, item: Item) -> bool:
    """ "Seven French on each side": a size without a noun, of one on the right and one on the left."""
    sized = item.headless and "gauge" in item.figures and item in story.sentence.items
    return sized and any(other.name == "both" for other in _clause_of(story, item) if other.kind == "side")


def side_of(story: Story, item: Item) -> str:
    """The side that a mention's own clause names, where it names one."""
    sides = {other.name for other in _clause_of(story, item) if other.kind == "side"} & SIDES
    return sides.pop() if len(sides) == 1 else ""


def _clause_of(story: Story, item: Item) -> list[Item]:
    at = next((at for at, other in enumerate(story.sentence.items) if other is item), None)
    return story.clause(at) if at is not None else []


def is_for_other_side(story: Story, item: Item, thing: Thing) -> bool:
    """ "Seven French on the left, please, and seven French for the right": two, however alike they are."""
    side = side_of(story, item) if item.figures and not item.definite else ""
    return bool(side and thing.spots & SIDES and side not in thing.spots)


def are_both_in(story: Story, item: Item) -> bool:
    """ "Both groins are in, seven French each side": told of both, and the size of what is in them."""
    sentence = story.sentence
    if not on_both_sides(story, item) or sentence.question or sentence.cues - {Status.NEGATED}:
        return False
    before = [other for other in sentence.items if other.span[1] <= item.span[0]]
    both = next((other for other in before if other.kind == "side" and other.name == "both"), None)
    told = both is not None and sentence.tokens[both.span[1] : both.span[1] + 1] in {("are",), ("were",)}
    return told and not sentence.texts & CALLS and any(other.meanings & _GAINED for other in before)


def tell_alike_apart(sentence: Sentence) -> None:
    """ "Give six French and six French": two of one size; "a six French sheath in, and another six", "one in on the
    right and another on the left": what stands for the second becomes that, in place.
    """
    items, joined = sentence.items, False
    one: Item | None = None
    for at, item in enumerate(items):
        joined = (joined and item.kind != "device") or item.text == "and"
        following = items[at + 1] if at + 1 < len(items) else item
        if one is not None and joined and item.text == "another" and following.span[0] - item.span[1] <= 1:
            other = following if following.kind == "quantity" else item
            said = following.figures.get("value")  # none where "another" is the last word
            same = other is following and said is not None and said.value == one.figures["gauge"].value
            same = same and following.after in _BEHIND_NUMBER  # not "another six patients after"
            if same or (
                other is item and following.kind == "side" and _told_side(items, at) not in {"", following.name}
            ):
                _make_another(other, one, one.figures["gauge"])
        elif one is not None and _is_on_other_side(sentence, one, at):
            _make_another(item, one, item.figures["value"].in_unit("[Ch]"))
        elif item.kind == "device" and item.role in {"", "insert"} and "gauge" in item.figures:
            alike = one is not None and one.name == item.name and not (one.definite or item.definite)
            if alike and one is items[at - 2] and items[at - 1].text == "and" and _same_gauge(one, item):
                item.qualifiers |= _NEW
            one = item


def _make_another(item: Item, one: Item, gauge: Quantity) -> None:
    item.kind, item.role, item.name, item.headless = "device", "insert", one.name, True
    item.figures, item.qualifiers, item.meanings = {"gauge": gauge}, _NEW, frozenset()


def _is_on_other_side(sentence: Sentence, one: Item, at: int) -> bool:
    """ "Eighteen French on the right and fourteen on the left": a number, and a side that is not that of the first."""
    item, following = sentence.items[at], sentence.items[at + 1] if at + 1 < len(sentence.items) else None
    figure = item.figures["value"] if item.kind == "quantity" else None
    if figure is None or following is None or following.kind != "side" or following.span[0] - item.span[1] > 1:
        return False
    told = _told_side(sentence.items, at)
    between = {*sentence.tokens[one.span[1] : item.span[0]]}
    joined = sentence.items[at - 1].text in {"and", ","} and not between & {"out", "contrast", "balloon"}
    return joined and told not in {"", "both", following.name} and figure.unit is None and figure.value in range(3, 29)


def is_one_more(story: Story, item: Item, told: Item) -> bool:
    """Whether what became of one is told of a second beside it: "and another six"."""
    items = story.sentence.items
    between = items[items.index(told) + 1 : items.index(item)] if told in items and told.span[1] <= item.span[0] else []
    joined = item.headless and "new" in item.qualifiers and any(other.text == "and" for other in between)
    return joined and Status.PLANNED not in story.sentence.cues


def _told_side(items: Sequence[Item], at: int) -> str:
    """The side named last before a place in a sentence."""
    return next((item.name for item in reversed(items[:at]) if item.kind == "side"), "")


def _same_gauge(one: Item, other: Item) -> bool:
    return one.figures.keys() == other.figures.keys() and one.figures["gauge"].value == other.figures["gauge"].value


def name_one_of_several(story: Story, sentence: Sentence) -> None:
    """ "Right one is in", "second in the posterior": what stands for one of those asked for becomes that, in place."""
    if any(item.kind in {"device", "drug", "finding"} for item in sentence.items):
        return
    told = {meaning for item in sentence.items if item.kind == "action" for meaning in item.meanings}
    if not told & (_MOVES | _LEAVES):
        return
    at = next((at for at in range(len(sentence.tokens)) if _stands_for_one(sentence, at)), None)
    if at is None:
        return
    said = sentence.tokens[at]
    thing = _one_of(story, said) if told & _MOVES else _one_left(story, said) if said in SIDES else None
    if thing is None:
        return
    place = next((n for n, item in enumerate(sentence.items) if item.span[1] > at), len(sentence.items))
    known = sentence.items[place] if place < len(sentence.items) and sentence.items[place].span[0] == at else None
    if known is None:
        word = sentence.words[0] + at
        known = Item("pronoun", (word, word + 1), sentence.tokens[at], span=(at, at + 1))
        sentence.items.insert(place, known)
    elif known.kind == "side":
        known = replace(known)
        sentence.items.insert(place + 1, known)
    elif known.kind != "pronoun":
        return
    known.kind, known.role, known.name, known.headless = "device", thing.role, thing.name or "sheath", True
    known.figures = {key: carried(size) for key, size in thing.values.items()}


def _one_of(story: Story, word: str) -> Thing | None:
    """Which of those asked for a word stands for: by its side, or any of several."""
    waiting = [one for one in reversed(story.things) if _is_awaited(story, one)]
    if word not in SIDES:
        return waiting[0] if waiting else None
    there = next((one for one in waiting if word in one.spots), None)
    last = waiting[0] if waiting else None
    return there or (last if last is not None and (last.left > 1 or _SEVERAL in last.qualifiers) else None)


def _one_left(story: Story, side: str) -> Thing | None:
    """ "Left sheath out. Right also out.": its like on the other side, where that was just told to be out."""
    last = story.drafts[-1] if story.drafts else None
    gone = [one for one in story.things if one.role == "insert" and one.where == "out" and story.number - one.seen <= 1]
    if not gone or last is None or story.number - last.number > 1:
        return None
    left = [one for one in story.things if one.where == "in" and one.name == gone[-1].name and side in one.spots]
    return left[0] if len(left) == 1 else None


def take_one(thing: Thing) -> Thing:
    """One of several that were asked for: as they are, on its own."""
    if thing.left <= 1:
        return thing
    thing.left -= 1
    thing.qualifiers.add(_SEVERAL)
    return Thing(thing.role, thing.name, thing.nickname, thing.mount, set(thing.qualifiers), dict(thing.values))


def both_of(story: Story, focus: Sequence[Thing], way: str) -> Sequence[Thing]:
    """ "Both come away now": what is spoken of, and with one thing the one before it that can go there too; of several
    asked for at once, two.
    """
    if len(focus) != 1 or "both" not in story.sentence.texts or story.mentions("device"):
        return focus
    if focus[0].where == "asked" and focus[0].left > 1:
        one = take_one(focus[0])
        story.things.append(one)
        return [focus[0], one]
    before = [
        thing
        for thing in story.things
        if thing.role == "insert" and thing is not focus[0] and thing.where == focus[0].where != way
    ]
    return [*sorted(before, key=lambda thing: thing.seen)[-1:], *focus]


def on_other_side(story: Story, item: Item, unnamed: str) -> bool:
    """ "… was advanced on the right. On the left, a fourteen French.": nothing is told of it but the other side, right
    after one of its kind went in. ``unnamed``: what a gauge with no noun is of.
    """
    sides = {other.name for other in story.mentions("side")} & SIDES
    last = story.drafts[-1] if story.drafts else None
    if last is None or len(sides) != 1 or not item.figures or story.sentence.question or story.sentence.cues:
        return False
    told = last.kind is Kind.INSERT and last.status is Status.DONE and story.number - last.number <= 1
    alike = (last.device or unnamed) == (item.name or unnamed) and last.side in SIDES and last.side not in sides
    happens = any(other.meanings - {"again", "raise"} for other in story.mentions("action"))
    return told and alike and not happens and not story.sentence.texts & CALLS and not story.mentions("phrase")


def _is_awaited(story: Story, thing: Thing) -> bool:
    return thing.role == "insert" and thing.where == "asked" and story.number - thing.seen <= _LATELY


def _stands_for_one(sentence: Sentence, at: int) -> bool:
    tokens, told = sentence.tokens, at + 1
    while told < len(tokens) and tokens[told] in _ALSO:
        told += 1
    if tokens[at] not in _EACH | SIDES or told >= len(tokens) or tokens[told] not in _STATES:
        return False
    return all(text in _LIGHT for text in tokens[max(0, at - 2) : at]) and not _in_no_place(sentence, told)


def _in_no_place(sentence: Sentence, at: int) -> bool:
    """ "Left one is in the way", "the first is on the trolley": not in the body."""
    tokens = sentence.tokens
    within = next((n for n in range(at, min(at + 3, len(tokens))) if tokens[n] in _WITHIN), None)
    if within is not None and _AWAY & {*tokens[within + 1 : within + 3]}:
        return True  # "the first is in recovery"
    if within is None or tokens[within + 1 : within + 2] not in {(text,) for text in _ARTICLES}:
        return False
    return bool((STORES | {"way"}) & {*tokens[within + 2 : within + 4]})
