"""What a device is called besides, or again: "the catheter, a multipurpose of five French", "drain, ten, pigtail",
"sheath size eight, sheath length eleven", "the probe five French, pardon, the catheter, five French".
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.model import Item, Quantity
from extractor.reading.quantities import FILLERS
from extractor.reading.tokens import Token
from extractor.sizes import lengths

#: Names of catheters that tell how the end of other devices is bent, too.
_SHAPES = {"pigtail", "angled"}
#: And of guides.
_GUIDE_SHAPES = {"multipurpose", "renal", "mammary", "hook", "straight", "radial"}
#: Between a size and the noun it is of.
_JUST = frozenset(", a an wee little small nice plain simple tiny big".split())
#: A bare number behind a gauge that is no less is a length, cm: common practice, no source.
_SHORTEST = 10
#: Between what a catheter is called and its noun.
_KINDS = {"shape", "shaped", "style", "type", "-", "tip", "tipped"}
#: Between a device and what else it is called.
_APPOSED = FILLERS | {",", "a", "an", "the", "of", "type", "with", "is", "'s", "it", "shape", "tip"}
#: "A drain, it's one of ten French".
_IT_IS = {",", "it", "it's", "'s", "is", "this", "that", "so"}
#: Right behind a name that is said again, with another size.
_MEASURES = {"diameter", "width", "length", "size", "gauge"}
#: Between a device and another one of its name.
_PARTING = frozenset("and but then with or not out off plus through over for against".split())
_ARTICLES = {"the", "this", "that", "my", "our", "her", "his", "old", "short", "first"}
_EXCHANGED = frozenset(
    """
    exchange exchanged exchanging swap swapped change changed replace replaced switch switched convert converted upsize
    upsized downsize downsized
    """.split()
)
_FOR = {"with", "to", "for", "against", "by"}
#: Between a size and the same size with another noun.
_SLIPS = {"no", "nope", "wait", "sorry", "correction", "pardon"}


def is_renamed(tokens: Sequence[Token], before: Item, item: Item) -> bool:
    """ "the probe five French, pardon, the catheter, five French": the same size with its noun put right."""
    between = {token.text for token in tokens[before.span[1] : item.span[0]]}
    sizes = {key: (figure.value, figure.unit) for key, figure in before.figures.items()}
    again = {key: (figure.value, figure.unit) for key, figure in item.figures.items()} == sizes
    return before.headless and bool(item.name and sizes) and again and bool(between & (_SLIPS))


def is_more_of(tokens: Sequence[Token], before: Item, item: Item) -> bool:
    """ "The catheter, a multipurpose of five French", "drain, ten French, pigtail", "sheath size eight, sheath length
    eleven": what a device is called besides, or its name once more with another size.
    """
    between = {token.text for token in tokens[before.span[1] : item.span[0]]}
    tip = tokens[item.span[1]].text if item.span[1] < len(tokens) else ""
    if before.role == "insert" and before.name and item.headless and item.text.startswith("one of"):
        return not before.figures.keys() & item.figures.keys() and "," in between and between <= _IT_IS
    if before.role == "insert" and item.nickname in _SHAPES and tip in {"tip", "shape", "end"}:
        return not before.figures.keys() & item.figures.keys() and not between & (_PARTING - {"with"})
    figures = _figures_of(before, item)
    if item.role == "insert" and not before.figures.keys() & figures.keys() and _names_again(before, item, between):
        return True
    if before.role != "insert" or item.role != "insert" or before.figures.keys() & figures.keys():
        return False
    if item.name == before.name and item.headless and not item.where and between <= {","}:
        return True  # "wire thirty-five stiff"
    if item.name == before.name and not item.nickname and not before.nickname:
        measured = {token.text for token in tokens[item.span[1] : item.span[1] + 1]} & _MEASURES
        return bool(measured) and bool(item.figures) and not item.definite and not between & _PARTING
    bent = item.nickname in _SHAPES or (item.nickname in _GUIDE_SHAPES and before.name == "guide catheter")
    told = figures.keys() <= {"length"} and before.name not in {"catheter", "sheath"}
    shaped = bent and told and "," in between
    plain = (
        before.name == item.name
        and item.name in {"catheter", "wire"}
        and before.nickname is None
        and item.nickname is not None
    )
    apposed = plain and not before.where and (not between or "," in between or between <= {"of", "type"})
    return (shaped or apposed) and between - {tokens[before.span[1] - 1].text} <= _APPOSED | _told_words(tokens, before)


def _figures_of(before: Item, item: Item) -> dict[str, Quantity]:
    """The sizes of what a device is called besides: a bare number behind a gauge is how long it is."""
    bare = item.figures.get("gauge")
    if bare is None or "unit-assumed" not in bare.flags or "gauge" not in before.figures or len(item.figures) > 1:
        return item.figures
    low, high = lengths(before.name or item.name, True)
    long = max(low, _SHORTEST) <= bare.value <= high and not bare.value % 1
    return {"length": replace(bare, unit="cm")} if long else item.figures


def _names_again(before: Item, item: Item, between: set[str]) -> bool:
    """ "A four French vertebral-shape catheter", "six French, short sheath": the plain noun behind the kind or size."""
    if item.nickname or item.definite or not item.name or item.where:
        return False
    kind = before.nickname is not None and before.name == item.name and between <= _KINDS
    sized = (
        before.headless
        and not before.name
        and before.figures.keys() == {"gauge"}
        and between <= _JUST
        and "," in between
    )
    return (kind and not item.qualifiers) or (
        sized and not before.where and item.name in {"sheath", "catheter", "drain"}
    )


def _told_words(tokens: Sequence[Token], item: Item) -> set[str]:
    """The words of the sizes of a device that stand behind its name."""
    spans = [figure.words for figure in item.figures.values()]
    return {token.text for token in tokens[item.span[1] :] if any(a <= token.word < b for a, b in spans)}


def call_more(before: Item, item: Item) -> None:
    """Adds to a device what it is called besides."""
    before.figures |= _figures_of(before, item)
    named = not before.name or item.nickname is None or item.name != before.name
    if not before.name:
        before.name, before.role, before.headless = item.name, item.role, False
    if item.nickname not in _SHAPES or before.name == item.name:
        before.nickname = before.nickname or item.nickname
    before.qualifiers |= item.qualifiers
    wire = before.name == item.name == "wire"  # its length may be told behind
    before.span = (before.span[0], item.span[1]) if wire or named or not before.figures else before.span


def parts_exchange(tokens: Sequence[Token], before: Item, past: int) -> bool:
    """ "I change the sheath to eight French", "the sheath was upsized to eight": whether a size that ends the way is of
    what goes in.
    """
    between = {token.text for token in tokens[before.span[1] : past]}
    return bool(between & _EXCHANGED) or (bool(between & _FOR) and is_exchanged(tokens, before.span[0]))


def is_exchanged(tokens: Sequence[Token], first: int) -> bool:
    """ "I exchange the catheter with a five French": whether what begins at a token is what goes out."""
    while first and tokens[first - 1].text in _ARTICLES:
        first -= 1
    return first > 0 and tokens[first - 1].text in _EXCHANGED
