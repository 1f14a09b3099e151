"""Two balloons or stents of one size in one sentence: kissing, on both sides, one right and one left."""

from itertools import pairwise

from extractor.model import SIDES, Item
from extractor.reconciling.story import Story, Thing

#: Of two at once; said with a plural, or with "each" or "both", it tells of a pair.
_KISSING = frozenset("kissing kiss simultaneous simultaneously parallel pair double bilateral bilaterally".split())
_APIECE = frozenset("each both either apiece".split())
_PLURALS = frozenset("balloons stents grafts limbs".split())
#: "On both sides", "one each side", "a pair of".
_BOTH_SIDES = {
    ("both", "sides"), ("each", "side"), ("either", "side"), ("both", "iliacs"), ("every", "side"), ("pair", "of"),
}  # fmt: skip


def on_both_sides(story: Story, item: Item) -> bool:
    """Whether a size said once is of two."""
    if not {"diameter", "length"} <= item.figures.keys() or "count" in item.figures:
        return False
    texts, tokens = story.sentence.texts, story.sentence.tokens
    if any(pair in _BOTH_SIDES for pair in pairwise(tokens)):
        return True
    kissing = "kissing" in item.qualifiers or bool(texts & _KISSING)
    return kissing and bool(texts & (_PLURALS | _APIECE))


def another_here(story: Story, item: Item, known: Thing) -> bool:
    """ "six by forty right and six by forty left": the size that the same sentence has asked for, said once more for
    the other side or after an "and".
    """
    asked = known.asked
    if asked is None or asked.number != story.number or not {"diameter", "length"} <= item.figures.keys():
        return False
    here, there = story.spots() & SIDES, known.spots & SIDES
    joined = item.before == "and" or story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]][-1:] == ("and",)
    return bool(here and there and not here & there) or joined
