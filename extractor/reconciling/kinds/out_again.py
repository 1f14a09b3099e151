"""What comes out though, by all that was said, it was out: "pigtail out" told twice, an hour apart. It had gone in
again, with nobody saying so, and is as wide and as long as it was.
"""

from extractor.model import Item
from extractor.reconciling.story import KEPT_SIZES, Story, Thing
from extractor.reconciling.things import carried_past, find

#: Where one of these is out, another was put in its place, as a rule, and that one comes out: common practice, no
#: source.
_EXCHANGED = {"", "sheath"}


def take_sizes_of_gone(story: Story, item: Item, thing: Thing) -> None:
    """Gives something nobody knew, that comes out, the sizes of the one of its name that came out before; marked where
    others of the name that are out have others.
    """
    gone = find(story, item, _is_out)
    if gone is None or gone.name != thing.name or thing.name in _EXCHANGED:
        return
    others = [
        other
        for other in story.things
        if other is not gone and _is_out(other) and other.name == gone.name and not _told_apart(item, other)
    ]
    for key in KEPT_SIZES & (gone.values.keys() - thing.values.keys()):
        thing.values[key] = carried_past(key, gone.values[key], others)


def _told_apart(item: Item, thing: Thing) -> bool:
    """Whether the words call something by another name than this thing has, or by a look that it does not have."""
    named = item.nickname is not None and item.nickname != thing.nickname
    return named or bool(item.qualifiers - thing.qualifiers)


def _is_out(thing: Thing) -> bool:
    return thing.where == "out" and thing.role == "insert"
