"""Whether a mention of what is in only tells again what was told, or means another one of its kind."""

from extractor.model import SIDES, Item
from extractor.reconciling.story import Story, Thing

#: For so many sentences "the six is in" tells again what was told, but for one of these; set by hand, no source.
JUST_TOLD = 4
_TOO = {"also", "too", "another", "other", "second", "likewise"}
#: For so many sentences its sizes alone say it again; set by hand, no source.
_SAID_AGAIN = 2
#: What was asked for more sentences ago, and another went in since, no longer waits; set by hand, no source.
_WAITED = 5
#: These tell one device from another of its kind.
_ORDINALS = {"first", "second", "third"}


def only_said_again(story: Story, item: Item, thing: Thing) -> bool:
    """ "Five French, so.": the sizes of what was just told to be in, and nothing else; "locked, yes, ten French"."""
    alone = not any(other is not item and other.kind not in {"mark", "pronoun"} for other in story.sentence.items)
    alone = alone or thing.moved == story.number
    lately = story.number - thing.seen <= _SAID_AGAIN and not story.sentence.texts & _TOO
    return alone and lately and item.figures.keys() <= thing.values.keys()


def told_again(story: Story, item: Item, thing: Thing) -> bool:
    """Whether a mention with a size or a name of its own may be of what is in: not "second wire" while none is called
    so, nor what is on the other side.
    """
    if item.qualifiers & (_ORDINALS | {"new"}):
        return bool(thing.qualifiers & item.qualifiers & _ORDINALS)
    elsewhere = bool(story.mentions("side")) or other_side(story, thing)
    if story.number - thing.moved > JUST_TOLD or elsewhere or story.sentence.texts & _TOO:
        return False
    return (
        (item.headless or item.definite or (bool(item.qualifiers) and story.number - thing.moved <= _SAID_AGAIN))
        and item.qualifiers <= thing.qualifiers
        and item.figures.keys() <= thing.values.keys()
    )


def overtaken(story: Story, item: Item, asked: Thing, here: Thing) -> bool:
    """Whether a bare name ("wire passes at once", "the wire's in the cava") is of the one that is in, though another
    was asked for: that was long before, and this one went in since. Of 14 such by ten speakers 11 were.
    """
    plain = not (item.figures or item.nickname or item.qualifiers or item.headless)
    stale = asked.seen < here.moved and story.number - asked.seen > _WAITED
    return plain and stale and not story.says("exchange") and not other_side(story, here)


def other_side(story: Story, thing: Thing) -> bool:
    """Whether this sentence is about the other side than the one a device is on."""
    side = story.side if story.side in SIDES else ""
    return bool(side and thing.spots & SIDES and side not in thing.spots)


def may_be_again(item: Item, thing: Thing) -> bool:
    """Whether a mention of something already taken out means that very thing: it shares a name or a size, and has no
    size nobody knew.
    """
    return set(item.figures) <= set(thing.values) and bool(
        (item.nickname and item.nickname == thing.nickname)
        or (set(item.figures) & set(thing.values))
        or item.qualifiers & thing.qualifiers
        or (not item.figures and not item.nickname)
    )
