"""Which devices a word of what became of them is said of: those named before it, or what was named last."""

from collections.abc import Sequence

from extractor.model import Item
from extractor.reconciling.marks import CLAUSE_ENDS
from extractor.reconciling.story import POINTERS, Story

#: A device named after one of these goes where the one before it goes.
ALONG = frozenset({"with", "over", "on", "through", "via", "inside"})
#: Between a device and what is told of it these change nothing.
PASSING = frozenset({"mark", "pronoun", "side", "place", "part"})
#: These words speak of all the devices just named; a verb that begins so speaks of one.
_ALL = {"both", "all", "they", "these", "those", "them", "together"}
_ONE = ("is ", "'s ", "was ", "has ", "comes ", "goes ")
#: Before "the" and so many words, these tell where it has come to. Set by hand, no source.
_COME_TO, _FEW = {"in", "across", "through", "down", "up", "into"}, 4


def subjects(story: Story, named: list[Item], action: Item) -> list[Item]:
    """Of the devices named so far, those a word says something of: the last, and what is joined to it: "wire and
    catheter out", "micro, catheter and sheath all out", but not "nine French… six is out".
    """
    items = story.sentence.items
    at = items.index(named[-1])
    if any(other.kind == "pronoun" and other.name in _ALL for other in items[at + 1 : story.index]):
        return named
    one = action.text.startswith(_ONE)
    first, listed = len(named) - 1, not one
    while first:
        before = items.index(named[first - 1])
        marks = {other.text for other in items[before + 1 : at] if other.kind == "mark"}
        listed = listed and not named[first - 1].headless and not marks - {","}
        joined = "and" in marks and not (one and "," in marks)
        if named[first].where not in ALONG and not joined and not listed:
            break
        first, at, listed, one = first - 1, before, True, False
    return named[first:]


def right_after(story: Story, action: Item, device: Item) -> bool:
    """A small word ("in", "out", "up") says what became of a device only right after it."""
    items = story.sentence.items
    between = [other for other in items[items.index(device) + 1 : story.index] if other.span[0] >= device.span[1]]
    gap = action.span[0] - (between[-1].span[1] if between else device.span[1])
    told = max((size.words[1] for size in device.figures.values()), default=0)  # "a wire of two metres is in"
    if gap > 4 and not told <= action.words[0] <= told + 2:
        return False
    return all(
        other.kind in {"side", "place", "part"}
        or other.meanings in ({"raise"}, {"again"})  # "to the arch… is there"
        or (other.kind == "mark" and other.text in {",", "...", ":", "-"})
        or other.kind == "pronoun"
        or (other.kind == "quantity" and other.before == "number")  # "dilator number one is in"
        or (other.kind == "mark" and other.text in {"and", "which"})
        for other in between
    )


def apart(story: Story, item: Item, action: Item) -> bool:
    """Whether an action has its own subject that stands for the device: "would you have a sheath… and that's it in"."""
    items = story.sentence.items
    if item is action or items.index(item) > items.index(action):
        return False
    between = items[items.index(item) + 1 : items.index(action)]
    marks = [n for n, other in enumerate(between) if other.kind == "mark"]
    return bool(marks) and any(other.kind == "pronoun" and other.name in POINTERS for other in between[marks[0] :])


def adjoins(story: Story, item: Item) -> bool:
    """Whether nothing at all stands between an action and the marks around it: "… in."."""
    items = story.sentence.items
    first = item.span[0] == 0 if story.index == 0 else items[story.index - 1].span[1] == item.span[0]
    last = story.index + 1 >= len(items) or items[story.index + 1].span[0] == item.span[1]
    return first and last


def somewhere(story: Story, item: Item, clause: Sequence[Item]) -> bool:
    """ "tricky... in the side branch.": where what was called for has come to, in a few words after a pause."""
    tokens, past = story.sentence.tokens, item.span[1]
    end = next((at for at in range(past, len(tokens)) if tokens[at] in CLAUSE_ENDS), len(tokens))
    only = all(other is item or other.kind in {"place", "part", "side"} for other in clause)
    return only and item.text in _COME_TO and tokens[past : past + 1] == ("the",) and end - past <= _FEW


def is_pair(story: Story, item: Item) -> bool:
    """ "these two are down": the number belongs to the pronoun."""
    items = story.sentence.items
    at = items.index(item)
    return (
        item.kind == "quantity"
        and item.figures["value"].value == 2
        and at > 0
        and items[at - 1].kind == "pronoun"
        and items[at - 1].span[1] == item.span[0]
    )
