"""Several of one kind: "two six French sheaths… right one is in, left one is in", "first is in the anterior, second in
the posterior".
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.model import SIDES, Item, Kind, Sentence, Status
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
_MOVES = {"placed", "particle"}
#: Right behind them, where none of these is: "one moment", "first we take".
_STATES = frozenset("is 's in up down through across goes went comes has lies sits into at on inside placed".split())
#: Before an article these lead to where it is.
_WITHIN, _ARTICLES = frozenset("in on into at inside".split()), frozenset("the my a your his her our".split())
#: For so many sentences; set by hand, no source.
_LATELY = 12


def count_of(story: Story, item: Item) -> int:
    """How many a mention asks for: "two six French sheaths", "sheaths for both sides"; one where nothing is said."""
    if not item.text.endswith("s"):
        return 1
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
    sides = any(other.kind == "side" and other.name == "both" for other in items)
    said = any(other.kind == "pronoun" and other.name == "both" for other in items[at + 1 :])  # "wires out, both"
    if not item.text.endswith("s"):
        return 1
    one_of = "of" in story.sentence.tokens[max(0, item.span[0] - 3) : item.span[0]]  # "the first of the wires"
    if way == "out" and item.definite and not item.figures and not one_of:
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


def name_one_of_several(story: Story, sentence: Sentence) -> None:
    """ "Right one is in", "second in the posterior": what stands for one of those asked for becomes that, in place."""
    if any(item.kind in {"device", "drug", "finding"} for item in sentence.items):
        return
    if not any(item.kind == "action" and item.meanings & _MOVES for item in sentence.items):
        return
    thing = next((one for one in reversed(story.things) if _is_awaited(story, one)), None)
    at = next((at for at in range(len(sentence.tokens)) if _stands_for_one(sentence, at)), None)
    if thing is None or at is None or (sentence.tokens[at] in SIDES and _SEVERAL not in thing.qualifiers):
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


def take_one(thing: Thing) -> Thing:
    """One of several that were asked for: as they are, on its own."""
    if thing.left <= 1:
        return thing
    thing.left -= 1
    thing.qualifiers.add(_SEVERAL)
    return Thing(thing.role, thing.name, thing.nickname, thing.mount, set(thing.qualifiers), dict(thing.values))


def both_of(story: Story, focus: Sequence[Thing], way: str) -> Sequence[Thing]:
    """ "Both come away now": what is spoken of, and with one thing the one before it that can go there too."""
    if len(focus) != 1 or "both" not in story.sentence.texts or story.mentions("device"):
        return focus
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
    tokens = sentence.tokens
    if tokens[at] not in _EACH | SIDES or at + 1 >= len(tokens) or tokens[at + 1] not in _STATES:
        return False
    return all(text in _LIGHT for text in tokens[max(0, at - 2) : at]) and not _in_no_place(sentence, at + 1)


def _in_no_place(sentence: Sentence, at: int) -> bool:
    """ "Left one is in the way", "the first is on the trolley": not in the body."""
    tokens = sentence.tokens
    within = next((n for n in range(at, min(at + 3, len(tokens))) if tokens[n] in _WITHIN), None)
    if within is None or tokens[within + 1 : within + 2] not in {(text,) for text in _ARTICLES}:
        return False
    return bool((STORES | {"way"}) & {*tokens[within + 2 : within + 4]})
