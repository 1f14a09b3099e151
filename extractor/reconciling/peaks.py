"""How far a balloon was taken up: which of several pressures told is the peak, and what puts one right."""

from collections.abc import Sequence
from itertools import pairwise, takewhile

from extractor.model import Item, Quantity
from extractor.reconciling.bare_figures import told_by
from extractor.reconciling.hold_times import Rise
from extractor.reconciling.story import NO, Draft, Story
from extractor.reconciling.things import doubt_which

#: Before a lower pressure than one told: as far as it went, and the other was only meant.
_WENT_NO_FURTHER = frozenset(
    f"{verb} {at}"
    for verb in ("stop", "stops", "stopped", "stopping", "settle", "settles", "settled", "ends", "ended", "ended up")
    for at in ("at", "on", "for")
) | {"only got to", "only get to", "got only to", "got as far as", "only reached", "only went to", "only goes to"}


#: A figure with one of these in its clause was aimed at: how far it went is told next. "Like" only as a wish.
_AIMED_AT = frozenset(
    "want wants wanted love loved meant aim aims aimed aiming hoped hoping fancied intended planned target".split()
)
#: … and, told after another, was never reached.
_WAS_AIMED_AT = frozenset("wanted meant aimed hoped hoping fancied intended planned".split())
_WISHING, _AIMED_BY_TWO = frozenset({"would", "'d", "d"}), frozenset({("said", "to"), ("was", "for"), ("were", "for")})
#: So many words before a figure, and behind it, are looked at. Set by hand, no source.
_BEFORE, _BEHIND = 6, 5


def raise_to(story: Story, draft: Draft, quantity: Quantity, item: Item) -> None:
    """The peak stands; a lower figure replaces it only where it puts it right, or that was only carried over."""
    known = draft.values.get("pressure")
    before = story.before("mark", "phrase")
    no_further = before is not None and before.text in _WENT_NO_FURTHER
    put_right = _after_a_no(story, hold="hold" in told_by(story))
    if (
        known is not None
        and (item.after == "then" or put_right or no_further)
        and quantity.value < known.value
        and known.unit == quantity.unit
    ):
        quantity = quantity.flagged("corrected", "conflict", alternatives=(known.value,))  # "twenty then"
    aim = draft.aimed_at
    if known is not None and known.unit == quantity.unit and aim and 0.5 * aim <= quantity.value < aim:
        if known.value == aim or known.value <= quantity.value:  # "I want twelve. … Ten, it's stuck on ten."
            draft.values["pressure"] = quantity.flagged("conflict", alternatives=(aim,))
        return
    if known is not None and {"corrected", "conflict"} <= set(known.flags) and quantity.value in known.alternatives:
        return  # "twelve? Ten, I said nothing about twelve"
    if known is not None and known.unit == quantity.unit and quantity.value < known.value:
        open_to_change = "corrected" in quantity.flags or "carried-over" in known.flags
        if not open_to_change or quantity.value < 0.5 * known.value:
            return
    if known is not None and known.unit == quantity.unit and _is_aimed_at(story, item, _WAS_AIMED_AT):
        draft.values["pressure"] = known.flagged("conflict", alternatives=(*known.alternatives, quantity.value))
        return  # "Up to seven. Meant for nine."
    doubts = known is not None and "which-device" in known.flags
    draft.values["pressure"] = doubt_which(quantity) if doubts else quantity
    draft.aimed_at = quantity.value if _is_aimed_at(story, item) else None


def _is_aimed_at(story: Story, item: Item, words: frozenset[str] = _AIMED_AT) -> bool:
    """Whether a pressure was only wanted: "I'd love twenty-four", "I said to ten", "twelve it was meant to go"."""
    tokens = story.sentence.tokens
    first, past = item.span
    before = [*takewhile(_is_word, reversed(tokens[max(0, first - _BEFORE) : first]))][::-1]
    behind = [*takewhile(_is_word, tokens[past : past + _BEHIND])]
    pairs = {*pairwise(before)}
    wish = any(second == "like" and first in _WISHING for first, second in pairs) and words is _AIMED_AT
    return wish or not words.isdisjoint([*before, *behind]) or bool(pairs & _AIMED_BY_TWO)


def _is_word(text: str) -> bool:
    return text[:1].isalnum() or text[:1] == "'"


def puts_right(story: Story, up: Sequence[Rise]) -> bool:
    """ "Did I say twelve? Make it fourteen.", "Sorry, not twelve, ten.": right after a word that puts right, in a
    sentence that names nothing else, and more like the pressure told than like the time.
    """
    before, item = story.before("mark"), story.sentence.items[story.index]
    bare = {other.kind for other in story.sentence.items} <= {"mark", "phrase", "quantity", "pronoun"}
    if before is None or not before.corrects or not (bare or before.text.startswith(("make", "call"))):
        return False
    figure = item.figures["value"].value
    told = [rise.draft.values for rise in up if "pressure" in rise.draft.values]
    near = [values for values in told if 0.5 * values["pressure"].value <= figure <= 2 * values["pressure"].value]
    return bool(near) and all(
        "duration" not in values or abs(figure - values["pressure"].value) < abs(figure - values["duration"].value)
        for values in near
    )


def _after_a_no(story: Story, *, hold: bool) -> bool:
    """ "no, stay at sixteen", "ten, no, too much, nine": a no since the figure before; no word of a slip is needed."""
    for other in story.behind():
        if other.corrects:
            return True
        if other.kind == "quantity" and not hold:
            return False
    return not hold and story.sentence.first in NO


def is_at(draft: Draft, quantity: Quantity) -> bool:
    known = draft.values.get("pressure")
    return known is not None and known.unit == quantity.unit and known.value == quantity.value
