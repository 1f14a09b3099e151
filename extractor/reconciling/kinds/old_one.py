"""What was in before this case, told by its size: "the old one is ten French", "the old nephrostomy was an eight". It
is known then, no event tells of it, and it has that size when it comes out.
"""

from extractor.model import Item, Quantity
from extractor.reconciling.story import Story, Thing
from extractor.reconciling.things import new

_OLD = {"old", "previous", "existing", "earlier"}
_IS = {"is", "'s", "was", "has", "had"}
#: What is changed for a new one, and so may come out under any of these names.
_CHANGED = {"", "drain", "nephrostomy", "gastrostomy", "catheter"}
#: Gauges, Fr: common practice, no source.
_GAUGES = (4, 30)


def tells_of_old(story: Story, item: Item) -> bool:
    """Whether a mention only tells how wide something is that was in before; it is known from now on."""
    gauge = item.figures.get("gauge") or item.figures.get("bare")
    if gauge is None or item.role not in {"", "insert"} or not _is_said_of_old(story, item):
        return False
    if not _GAUGES[0] <= gauge.value <= _GAUGES[1]:
        return False
    _know(story, item, gauge)
    return True


def old_one(story: Story, item: Item) -> Thing | None:
    """What comes out where nothing else of its name is in: what was in before."""
    old = [thing for thing in story.things if thing.where == "in" and "old" in thing.qualifiers and not thing.moved > 0]
    alike = [thing for thing in old if thing.name == item.name or {thing.name, item.name} <= _CHANGED]
    named = "old" in item.qualifiers or not any(
        thing.where == "in" and thing.name == item.name and thing not in old for thing in story.things
    )
    return alike[-1] if alike and named and not item.figures else None


def _know(story: Story, item: Item, gauge: Quantity) -> None:
    thing = new(story, item, "in")
    thing.role, thing.values = "insert", {"gauge": gauge.in_unit("[Ch]")}
    thing.qualifiers |= {"old"}


def _is_said_of_old(story: Story, item: Item) -> bool:
    """ "Old one is ten French", "the old was an eight": "old", and then "is", with nothing else said between."""
    tokens = story.sentence.tokens
    told = max((size.words[1] - item.words[0] for size in item.figures.values()), default=0)
    past = min(len(tokens), max(item.span[1], item.span[0] + told))
    first = next((at for at in range(max(0, item.span[0] - 5), past) if tokens[at] in _OLD), None)
    if first is None:
        return False
    verb = next((at for at in range(first + 1, min(first + 4, past)) if tokens[at] in _IS), None)
    return verb is not None and not {",", "and", "out"} & {*tokens[first:verb]}
