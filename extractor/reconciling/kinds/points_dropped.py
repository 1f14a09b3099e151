"""Widths told without their point: "the vessel's seven three" is 7.3 mm, "the aorta measures fifteen five" 15.5 mm."""

from dataclasses import replace
from itertools import pairwise

from extractor.model import Item, Quantity, Sentence
from extractor.reconciling.kinds.vessel_size import BRANCHES

#: What is measured across, where no lexicon knows the name.
_VESSELS = frozenset(
    "vessel artery vein lumen reference duct neck diameter segment trunk branch normal bit one".split()
) | (BRANCHES - {"pelvis"})
#: These are wider than others, so that their digits can be tens too.
_WIDE = frozenset("aorta aortic neck necks cava sac aneurysm zone landing oesophagus esophagus caecum trachea".split())
#: Words for where in a vessel that are words for a pressure as well.
_WHERE = {"aorta", "distal", "distally"}
_TELLS = {"is", "'s", "was", "are", "measures", "measured", "measuring", "at", "of", ",", ":"}
#: With one of these the figures are of something else.
_OTHERWISE = frozenset(
    "pressure pressures gradient mean over act clotting time minutes seconds frames number segment room bay".split()
)
#: What is asked or told in such digits and is no width.
_OTHER_ACTIONS = {"pressure", "gradient", "act", "inflate", "run", "go", "settings", "screening", "kerma", "dap"}
_WIDTH_ENDS = frozenset(
    """
    , . ... ; ! ? and so then now here there left right above below on at in millimetres millimeters mm mil doctor sir
    """.split()
) | {""}
#: A vessel can be as wide as the figure without its point up to this, mm: set by hand, no source.
_WIDEST = 40
#: … and most vessels up to this, mm: set by hand, no source.
_WIDEST_OF_MOST = 20
_PLACES = {"place", "side", "part"}


def points_dropped(sentence: Sentence, sizing: bool) -> None:
    """Puts the point into digits told of how wide a vessel is, where nothing in the sentence is of something else."""
    figures = [item for item in sentence.items if item.kind == "quantity"]
    if not figures or any(item.kind in {"drug", "pair", "finding"} for item in sentence.items):
        return
    others = {
        meaning
        for item in sentence.items
        if item.kind == "action" and item.text not in _WHERE
        for meaning in item.meanings
    }
    if others & _OTHER_ACTIONS or sentence.texts & _OTHERWISE:
        return
    sizing = sizing or "measure" in others
    for one, other in pairwise(figures):
        if one.span[1] == other.span[0] and _told_across(sentence, one, sizing) and _tenths(one, other):
            whole, tenth = one.figures["value"], other.figures["value"]
            one.figures["value"] = replace(
                whole.flagged("two-readings", alternatives=(whole.value,)),
                value=round(whole.value + tenth.value / 10, 1),
                form="decimal",
                heard=f"{whole.heard} {tenth.heard}",
                words=(whole.words[0], tenth.words[1]),
            )
            one.words, one.span = (one.words[0], other.words[1]), (one.span[0], other.span[1])
            one.text, one.after = f"{one.text} {other.text}", other.after
            sentence.items.remove(other)
    for item in figures:
        point = _with_point(item.figures["value"], bool(sentence.texts & _WIDE))
        if point is not None and item.after in _WIDTH_ENDS and _told_across(sentence, item, sizing):
            item.figures["value"] = point


def _with_point(value: Quantity, wide: bool) -> Quantity | None:
    """ "seven three" as 7.3: marked where a vessel can be seventy-three of what is meant too; ``wide``: where one is
    spoken of that is wider than most.
    """
    small = next((other for other in value.alternatives if other % 1 and other < 10), None)
    if value.form != "digits" or value.unit not in {None, "mm"} or small is None or not 11 <= value.value <= 99:
        return None
    if value.value <= (_WIDEST if wide else _WIDEST_OF_MOST):
        return replace(value, value=small, form="decimal", alternatives=(value.value,))
    return replace(
        value, value=small, form="decimal", flags=tuple(f for f in value.flags if f != "two-readings"), alternatives=()
    )


def _tenths(one: Item, other: Item) -> bool:
    """Whether two figures side by side are one with its tenth: "fifteen five"."""
    whole, tenth = one.figures["value"], other.figures["value"]
    plain = whole.form == tenth.form == "cardinal" and whole.unit is tenth.unit is None
    return (
        plain
        and 10 <= whole.value <= _WIDEST
        and not whole.value % 1
        and 1 <= tenth.value <= 9
        and other.after in _WIDTH_ENDS
    )


def _told_across(sentence: Sentence, item: Item, sizing: bool) -> bool:
    """Whether a vessel stands before a figure with nothing but a verb between; at the head of a sentence only where
    sizes are taken.
    """
    at = item.span[0]
    while at and sentence.tokens[at - 1] in _TELLS:
        at -= 1
    if not at:
        return sizing
    named = any(other.kind in _PLACES and other.span[1] == at for other in sentence.items)
    return named or sentence.tokens[at - 1] in _VESSELS or (sizing and sentence.tokens[at - 1] in {".", "..."})
