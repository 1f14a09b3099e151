"""Sizes told of what is in, or came out, when nobody had said them: "the sheath was a six French", "out, it was the
seven", "six French sheath out" where one went in with no size.
"""

from extractor.model import Item, Status
from extractor.reconciling.kinds.said_of import PASSING
from extractor.reconciling.kinds.told_after import CALLS, give_sizes
from extractor.reconciling.story import Story, Thing
from extractor.reconciling.things import fit_but_for_sizes

#: These say what something is or has, and of what was named before.
_IS = frozenset("is 's was were been has had measures measured".split())
_IT = frozenset("it that this he she which".split())
#: Between them and the size.
_LIGHT = frozenset("a an the my our just only of your".split())
#: For so many sentences what is in, and what came out, is spoken of so: set by hand, no source.
_IN, _OUT = 12, 3
#: The veins a filter is made for, mm: common practice, no source.
_VESSELS = (10, 45)
#: What a gauge with no noun is of, mostly; common practice, no source.
_UNNAMED = "sheath"


def tells_what_it_was(story: Story, item: Item, focus: list[Thing], *, asked: bool) -> bool:
    """ "It was the six French", "the sheath has eight French", or where it was ``asked``, "the cobra, five French":
    whether a clause only tells the sizes of what went in or came out with none known; it is given them.
    """
    if not item.figures or item.status is not None or story.sentence.question or story.sentence.texts & CALLS:
        return False
    if any(other is not item and other.kind not in PASSING for other in story.clause()):
        return False
    if asked or _is_said_of_it(story, item):
        spoken = [thing for thing in focus[-1:] if not item.name or _may_be(item, thing)]
    elif item.name and item.definite and _tells(story, item):
        spoken = [thing for thing in story.things if _may_be(item, thing)]
    else:
        return False
    open_to = [thing for thing in spoken if _is_open(story, thing, item)]
    if not open_to:
        return False
    thing = max(open_to, key=lambda one: one.seen)
    give_sizes(story, thing, item)
    return True


def of_unknown_size(story: Story, item: Item) -> Thing | None:
    """ "Six French sheath out": the only one in of this name, where no size of it was said."""
    name = item.name or _UNNAMED
    here = [thing for thing in story.things if thing.where == "in" and (thing.name or _UNNAMED) == name]
    if not item.figures or len(here) != 1 or not _may_be(item, here[0]):
        return None
    return here[0] if _is_open(story, here[0], item) else None


def _is_said_of_it(story: Story, item: Item) -> bool:
    """Whether "it was" or the like stands right before a mention."""
    tokens, at = story.sentence.tokens, item.span[0] - 1
    while at >= 0 and tokens[at] in _LIGHT:
        at -= 1
    said = at > 0 and tokens[at] in _IS
    while at > 0 and tokens[at] in _IS:
        at -= 1
    return said and tokens[at] in _IT


def _tells(story: Story, item: Item) -> bool:
    """Whether "is" or "has" stands in a mention, or right behind it."""
    first, past = item.span
    return bool(_IS & {*story.sentence.tokens[first : past + 1]})


def _may_be(item: Item, thing: Thing) -> bool:
    return thing.role == "insert" and fit_but_for_sizes(item, thing)


def _is_open(story: Story, thing: Thing, item: Item) -> bool:
    """Whether a thing is where one speaks of it so, and none of these sizes of it is known."""
    if thing.name == "needle":
        return False  # "Needle's gone. The set's on, that's six French."
    lately = story.number - thing.seen <= {"in": _IN, "out": _OUT}.get(thing.where, -1)
    fitting = {"wire_diameter", "length"} if thing.name.endswith("wire") else {"gauge", "length"}
    return lately and item.figures.keys() <= fitting and not item.figures.keys() & thing.values.keys()


def allows_width(story: Story, item: Item) -> bool:
    """ "The box says the filter's good to twenty-eight": how wide a vessel it is for."""
    figure = item.figures["value"]
    told = item.status is Status.QUOTED and item.before in {"to", "for"} and figure.unit in {None, "mm"}
    if not told or not _VESSELS[0] <= figure.value <= _VESSELS[1]:
        return False
    named = next((other for other in story.behind() if other.kind == "device"), None)
    if named is None or named.name != "filter" or named.status is not Status.QUOTED or named.figures:
        return False
    named.figures["diameter"] = figure.in_unit("mm")
    return True
