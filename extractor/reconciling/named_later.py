"""A pressure told before the balloon it is of: "up to twelve with the seven by forty", "ten bar on the six"."""

from dataclasses import replace

from extractor.model import Item
from extractor.reconciling.size_roles import NOUNS, role_of
from extractor.reconciling.story import NOT_DONE, Story, Thing
from extractor.reconciling.things import find
from extractor.units import BALLOON_PRESSURES, TIMES

#: Between a pressure and what it is of.
_WITH = frozenset({"with", "on", "in", "using", "by", "via"})
#: How a verb's object begins: "we inflated to twelve a seven by forty".
_OBJECT = frozenset({"a", "an", "the", "this", "that", "our", "my"})
_BALLOONS = {"inflation", "stent"}


def balloon_named_later(story: Story) -> Thing | None:
    """The balloon or stent that a pressure heard now is said of, where only what follows names it; an unsized one in
    the story, which the mention fills in, where it is new. None where nothing is named so.
    """
    named = _named(story)
    role = (named.role or role_of(story, named)) if named is not None else ""
    role = "inflation" if named is not None and "bare" in named.figures else role
    if named is None or role not in _BALLOONS:
        return None
    bare = named.figures.get("bare")
    if bare is not None:  # "up to fourteen with the eight"
        named = replace(named, figures={"diameter": bare.in_unit("mm")}, headless=True)
    known = find(story, replace(named, role=role), lambda thing: thing.role == role and thing.where != "refused")
    if known is None and named.mount != "self" and bare is None:
        known = Thing(role, NOUNS[role], breath=story.sentence.breath, among=story.things)
        story.things.append(known)
    if known is not None:
        known.seen = known.called = story.number
    return known


def _named(story: Story) -> Item | None:
    """The sized device behind the figure heard now, with nothing between but times and places."""
    heard, marked = story.sentence.items[story.index], False
    for other, following in zip(story.ahead(), (*list(story.ahead())[1:], None), strict=False):
        if other.kind == "device":
            called = other.figures.keys() == {"bare"} and other.definite and other.where in {"with", "using"}
            told = called or "diameter" in other.figures
            if not told or other.status in NOT_DONE or _tells_more(other, following):
                return None
            before = story.sentence.tokens[max(0, other.span[0] - 2) : other.span[0]]
            at_once = other.span[0] - heard.span[1] <= 1 and (other.definite or bool({*before} & _OBJECT))
            unit = heard.figures["value"].unit in BALLOON_PRESSURES  # "twelve hundred kilopascals, six by forty"
            alone = unit and story.index == 0 and other.span[0] - heard.span[1] <= 1
            return other if {*before} & _WITH or other.where in _WITH or (at_once and not marked) or alone else None
        timed = other.kind == "quantity" and other.figures["value"].unit in TIMES
        opens = other.kind == "action" and bool(other.meanings & {"inflate", "deploy"}) and other.status not in NOT_DONE
        if not (timed or opens or other.text in {",", *_WITH} or other.kind in {"side", "place", "part", "pronoun"}):
            return None
        marked = marked or other.kind == "mark"
    return None


def _tells_more(named: Item, following: Item | None) -> bool:
    """ "twelve, with the five by eighty ten": what is named is said of the next figure."""
    if following is None or following.span[0] - named.span[1] > 1:
        return False
    figure = following.figures["value"] if following.kind == "quantity" else None
    return (figure is not None and figure.unit not in TIMES) or bool(following.meanings & {"raise", "inflate"})
