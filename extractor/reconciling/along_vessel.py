"""One balloon blown up at several places in turn: "distal ten, middle ten, proximal twelve"."""

from extractor.reconciling.hold_times import Rise
from extractor.reconciling.story import Story, Thing

SPOTS = {"side", "place", "part"}


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
    return following.name if following is not None and following.kind == "part" else ""


def at_another_part(story: Story, up: list[Rise]) -> bool:
    """Whether a figure is told with another part of the vessel than all that went up: nothing is in two at once."""
    part = part_named(story)
    return bool(part and up) and all(rise.part and rise.part != part and "pressure" in rise.draft.values for rise in up)


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
