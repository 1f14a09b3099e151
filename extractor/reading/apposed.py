"""What a device is called besides, or again: "the catheter, a multipurpose of five French", "drain, ten, pigtail",
"sheath size eight, sheath length eleven", "the probe five French, pardon, the catheter, five French".
"""

from collections.abc import Sequence

from extractor.model import Item
from extractor.reading.quantities import FILLERS
from extractor.reading.tokens import Token

#: Names of catheters that tell how the end of other devices is bent, too.
_SHAPES = {"pigtail", "angled"}
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
    if before.role != "insert" or item.role != "insert" or before.figures.keys() & item.figures.keys():
        return False
    if item.name == before.name and item.headless and not item.where and between <= {","}:
        return True  # "wire thirty-five stiff"
    if item.name == before.name and not item.nickname and not before.nickname:
        measured = {token.text for token in tokens[item.span[1] : item.span[1] + 1]} & _MEASURES
        return bool(measured) and bool(item.figures) and not item.definite and not between & _PARTING
    shaped = item.nickname in _SHAPES and not item.figures and "," in between and before.name != "catheter"
    plain = (
        before.name == item.name
        and item.name in {"catheter", "wire"}
        and before.nickname is None
        and item.nickname is not None
    )
    apposed = plain and not before.where and (not between or "," in between or between <= {"of", "type"})
    return (shaped or apposed) and between - {tokens[before.span[1] - 1].text} <= _APPOSED | _told_words(tokens, before)


def _told_words(tokens: Sequence[Token], item: Item) -> set[str]:
    """The words of the sizes of a device that stand behind its name."""
    spans = [figure.words for figure in item.figures.values()]
    return {token.text for token in tokens[item.span[1] :] if any(a <= token.word < b for a, b in spans)}


def call_more(before: Item, item: Item) -> None:
    """Adds to a device what it is called besides."""
    before.figures |= item.figures
    if item.nickname not in _SHAPES or before.name == item.name:
        before.nickname = before.nickname or item.nickname
    before.qualifiers |= item.qualifiers
    wire = before.name == item.name == "wire"  # its length may be told behind
    before.span = (before.span[0], item.span[1]) if wire or not before.figures else before.span


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
