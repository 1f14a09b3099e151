"""One balloon blown up at several places in turn: "distal ten, middle ten, proximal twelve"."""

from itertools import pairwise

from extractor.reconciling.hold_times import Rise
from extractor.reconciling.story import Story, Thing

SPOTS = {"side", "place", "part"}
#: Another place along the vessel, told without its name: "the next spot", "second lesion", "the other end".
_ANOTHER = frozenset("next other second third fourth fifth last new another final".split())
_STRETCH = frozenset(
    "spot place segment part station stage piece bit level stretch stenosis lesion narrowing end edge side stop site "
    "third half section area joint branch limb".split()
)
#: … or by its name, though no part of a vessel has it: "bottom, ten", "the near one, twelve".
_ENDS = frozenset("bottom top near far nearer farther ankle knee elbow shoulder wrist thigh calf foot".split())
_CLOSES_END = frozenset({"", ",", "...", ":", "end", "one", "edge", "part", "half", "third", "bit"})
#: It goes to another place; or so it may, and as well be taken higher: "a bit higher, fourteen".
_MOVES = frozenset(
    "slide slid sliding move moved moving pull pulled pulling shift shifted advance advanced drag".split()
)
_FURTHER = frozenset("lower higher further farther deeper downstream upstream back forward".split())
_FAR = {"cm", "mm"}
#: What else may be said with a place that a balloon goes up at: "then the proximal part with it, eighteen".
_WITH_A_PLACE = frozenset(
    """
    , ... : the a at in on to first then now and with it that this of only here just so going we i go goes now
    also too same again one there up it's 'm i'm slightly little bit more
    """.split()
)
#: A figure so near the width of the balloon may as well be that of the vessel, mm; set by hand, no source.
_LIKE_ITS_WIDTH = 1.5


def spots_since(story: Story) -> set[str]:
    """The sides, places and parts of a vessel named between the figure or device before and the figure heard now."""
    spots: set[str] = set()
    for other in story.behind():
        if other.kind in {"quantity", "pair", "device"}:
            break
        if other.kind in SPOTS:
            spots.add(other.name)
    return spots


def part_named(story: Story) -> str:
    """The part of a vessel a figure is told with: named since the figure before it, or right behind it."""
    for other in story.behind():
        if other.kind in {"quantity", "pair"}:
            break
        if other.kind == "part":
            return other.name
    following = story.after()
    if following is not None and following.kind == "part":
        return following.name
    return _end_named(_said_since(story)[0])


def at_another_part(story: Story, up: list[Rise]) -> bool:
    """Whether a figure is told with another part of the vessel than all that went up: nothing is in two at once."""
    part = part_named(story)
    return bool(part and up) and all(rise.part and rise.part != part and "pressure" in rise.draft.values for rise in up)


def moved_on(story: Story, up: list[Rise]) -> bool:
    """Whether the figure heard now is told of another place than the one before: "next spot, twelve", "up by five
    centimetres, ten", "… two minutes, then a bit lower, eight". What may as well mean a higher pressure is none where
    it is not known yet how long the balloon was held.
    """
    said, far = _said_since(story)
    words = {*said}
    told = all({"pressure", "duration"} <= rise.draft.values.keys() for rise in up)
    if far or words & _MOVES or any(one in _ANOTHER and other in _STRETCH for one, other in pairwise(said)):
        return True
    return told and bool(words & _FURTHER or _end_named(said) or spots_since(story) - {"left", "right"})


def at_a_place(story: Story, thing: Thing) -> bool:
    """ "Proximal end, twenty.", "then mid, eighteen", "bottom edge, ten": a figure with a place and no other word, of a
    balloon at hand; no width of what it is in.
    """
    said, _ = _said_since(story)
    parts = {token for item in story.behind() if item.kind == "part" for token in item.text.split()}
    words = {*said}
    named = words & (parts | _ENDS) or any(one in _ANOTHER and other in _STRETCH for one, other in pairwise(said))
    if not named or not words <= parts | _ENDS | _STRETCH | _ANOTHER | _FURTHER | _WITH_A_PLACE:
        return False
    item, width = story.sentence.items[story.index], thing.values.get("diameter")
    return width is not None and abs(item.figures["value"].value - width.value) > _LIKE_ITS_WIDTH


def _end_named(said: tuple[str, ...]) -> str:
    """ "Bottom end, ten", "near one, twelve"; "top her up" names none."""
    return next((one for one, other in pairwise((*said, "")) if one in _ENDS and other in _CLOSES_END), "")


def _said_since(story: Story) -> tuple[tuple[str, ...], bool]:
    """What is said between the figure before and the one heard now, and whether it tells how far to go along."""
    first, item, far = 0, story.sentence.items[story.index], False
    for other in story.behind():
        figure = other.figures.get("value") if other.kind == "quantity" else None
        if figure is not None and figure.unit in _FAR:
            far = True
        elif other.kind in {"quantity", "pair"}:
            first = other.span[1]
            break
    return tuple(story.sentence.tokens[first : item.span[0]]), far


def spots_before(story: Story) -> set[str]:
    """The side and place last named before the item heard now, where nothing came between that is for both."""
    spots: set[str] = set()
    sized = 0
    said = [*story.behind()]
    several = len({item.name for item in said if item.kind in SPOTS}) > 1 and said[0].kind == "mark"
    for item, earlier in zip(said, (*said[1:], None), strict=False):
        if item.kind in SPOTS:
            told = several and earlier is not None and earlier.kind in {"device", "quantity"}
            if not told:  # "ten on the right, eight on the left, for twenty seconds": the left is where the eight is
                spots.add(item.name)
        elif spots or item.name == "both" or item.meanings & {"inflate", "deflate"}:
            break
        sized += item.kind == "device" and bool(item.figures)
        if sized > 1:
            break  # what stands before both is for both
    return spots


def spot_after(story: Story) -> set[str]:
    """ "eight on the right, ten on the left": the place that follows a figure at once, where none stands before it."""
    before, following = story.before(), story.after()
    figure = story.sentence.items[story.index].kind == "quantity"
    if not figure or following is None or following.kind not in SPOTS or (before and before.kind in SPOTS):
        return set()
    return {following.name}


def apart(one: Thing, other: Thing) -> bool:
    """Whether two balloons lie in different places, so that both can be up."""
    return bool(one.spots) and bool(other.spots) and not one.spots & other.spots
