"""Sizes said beside a device but not in its name: "the exchange wire, three hundred, is in", "the wire is one eighty
and the catheter is sixty-five", "the sheath goes in, five French, eleven".

A figure is of the device named last before it, or else of the one right behind it, where nothing stands between but
words that change nothing, and where it can be a size that this device has and nobody said yet.
"""

from collections.abc import Sequence

from extractor.model import SIDES, Item, Quantity
from extractor.reading.quantities import FILLERS, Figure
from extractor.reading.terms import Term
from extractor.reading.tokens import PUNCTUATION, Token
from extractor.sizes import LENGTHS, SIZE_TALK, size_of

#: Between a device and its size these change nothing.
_PASSING = FILLERS | SIZE_TALK | {",", ":", "-", "..."}
#: Kinds of terms that change nothing there; what became of the device only where the size has its unit.
_LIGHT_TERMS = {"qualifier", "side", "part", "vessel"}
_TOLD = {"placed", "particle", "give", "detach", "deploy", "removed", "particle out", "raise", "go", "advance"}
#: After a bare number: it counts nothing that follows.
_ENDS = PUNCTUATION | set(
    """
    and is 's long length in out inside please goes comes went has was with now through over up down across thick so it
    which that this
    """.split()
)
_STOPS = {".", "!", "?"}
#: Right before a bare number these make it something else.
_NO_SIZE_AFTER = {"at", "to", "for", "over", "per", "about", "in", "than", "on", "from", "after"}
#: Right behind a figure and before its device.
_BEFORE_NOUN = FILLERS | set(", : the a an this that is it 's please of our my and".split())
#: What a figure before its device may follow.
_OPENS = PUNCTUATION | {"", "a", "an", "the", "of", "is", "length", "with", "one"}


def give_sizes(
    tokens: Sequence[Token], terms: Sequence[Term], figures: Sequence[Figure], devices: Sequence[Item]
) -> set[int]:
    """Gives devices of a sentence the sizes said beside them; the first tokens of the figures that were given. Linear
    but for what stands between a device and its figures.
    """
    inserted = [device for device in devices if device.role == "insert" and device.name and device.where != "off"]
    if not inserted or not figures:
        return set()
    if any(getattr(entry, "name", "") == "run" for term in terms for table, entry in term.found if table == "action"):
        figures = [figure for figure in figures if figure.parts[0].unit]  # "hand run through the micro, three"
    light = _light(terms)
    told = _light(terms, told=True)
    taken: set[int] = set()
    reach = {id(device): device.span[1] for device in inserted}
    for figure in figures:
        if figure.shape != "one":
            continue
        before = max((one for one in devices if one.span[0] < figure.first), key=lambda one: one.span[0], default=None)
        if (
            before is not None
            and before.role == "insert"
            and _is_said_of(tokens, before, figure, reach[id(before)], light, told)
        ):
            reach[id(before)] = figure.last
            taken.add(figure.first)
            continue
        after = min((one for one in devices if one.span[0] >= figure.last), key=lambda one: one.span[0], default=None)
        if after is not None and after.role == "insert" and _leads(tokens, after, figure):
            taken.add(figure.first)
    return taken


def _light(terms: Sequence[Term], *, told: bool = False) -> set[int]:
    """The tokens of terms that change nothing between a device and its size; with ``told`` of what became of it."""
    found: set[int] = set()
    for term in terms:
        tables = {table for table, _ in term.found}
        names = {entry.name for table, entry in term.found if table == "action"}  # type: ignore[attr-defined]
        if (told and names and names <= _TOLD) or (not told and tables <= _LIGHT_TERMS):
            found |= set(range(term.first, term.last))
    return found


def _is_said_of(
    tokens: Sequence[Token], device: Item, figure: Figure, start: int, light: set[int], told: set[int]
) -> bool:
    """Whether a figure is a size of the device named before it; it is given to it then."""
    quantity = figure.parts[0]
    if start > figure.first:
        return False
    placed = False
    for index in range(start, figure.first):
        text = tokens[index].text
        if text in _STOPS or not (text in _PASSING or index in light or index in told or text in SIDES):
            return False
        placed = placed or (index in told and text not in _PASSING)
    if quantity.unit is None and (not _stands_alone(tokens, figure) or (placed and not _is_long(device, quantity))):
        return False
    return _given(device, quantity)


def _is_long(device: Item, quantity: Quantity) -> bool:
    """Whether a bare number can be nothing but how long a wire is, wherever it is told."""
    return device.name == "wire" and quantity.value >= LENGTHS["microcatheter"][0]


def _stands_alone(tokens: Sequence[Token], figure: Figure) -> bool:
    """Whether a bare number counts nothing and belongs to no word beside it."""
    after = tokens[figure.last].text if figure.last < len(tokens) else "."
    before = tokens[figure.first - 1].text if figure.first else ""
    return after in _ENDS and before not in _NO_SIZE_AFTER


def _leads(tokens: Sequence[Token], device: Item, figure: Figure) -> bool:
    """ "One metre fifty, the wire": whether a figure is a size of what is right behind it; it is given to it then."""
    between = {token.text for token in tokens[figure.last : device.span[0]]}
    before = tokens[figure.first - 1].text if figure.first else ""
    if not between <= _BEFORE_NOUN or before not in _OPENS:
        return False
    quantity = figure.parts[0]
    return (quantity.unit is not None or quantity.value >= 50) and _given(device, quantity)


def _given(device: Item, quantity: Quantity) -> bool:
    found = size_of(device.name, quantity, device.figures)
    if found is None:
        return False
    device.figures[found[0]] = found[1]
    device.words = (min(device.words[0], quantity.words[0]), max(device.words[1], quantity.words[1]))
    return True
