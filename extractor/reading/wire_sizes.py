"""Figures of wires that are read with others: "three hundred fourteen wire" is of three hundred, fourteen; "support
catheter oh one eight" tells what wire a catheter takes, and is no wire.
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.lexicon import Device
from extractor.reading.quantities import Figure
from extractor.reading.terms import Term
from extractor.reading.tokens import Token
from extractor.sizes import LENGTHS, PLAIN_MILS, is_thickness

#: Whose lumen is told by the wire it takes; "the guide oh three five" is a wire to many.
_LUMENS = {"catheter", "microcatheter", "aspiration catheter", "re-entry catheter", "atherectomy catheter"}


def part_wire_sizes(tokens: Sequence[Token], figures: list[Figure], terms: Sequence[Term]) -> list[Figure]:
    """Figures of one sentence -> those said as one parted, what is the size of a lumen left out. Linear."""
    named = {index: entry for term in terms for index, entry in _ends(term)}
    parted: list[Figure] = []
    for figure in figures:
        if figure.shape == "one" and is_thickness(figure.parts[0]):
            if not _is_of_lumen(tokens, figure, named):
                parted.append(figure)
        else:
            parted += _parted(tokens, figure) or [figure]
    return parted


def _ends(term: Term) -> list[tuple[int, Device]]:
    """Where a device begins and ends."""
    devices = [entry for _, entry in term.found if isinstance(entry, Device)]
    return [(at, entry) for entry in devices for at in (-term.first - 1, term.last)]


def _is_of_lumen(tokens: Sequence[Token], figure: Figure, named: dict[int, Device]) -> bool:
    before, behind = named.get(figure.first), named.get(-figure.last - 1)
    if behind is not None:
        return behind.name in _LUMENS
    wire = any(token.text.endswith(("wire", "guide")) for token in tokens[figure.last : figure.last + 2])
    return before is not None and before.name in _LUMENS and not wire


def _parted(tokens: Sequence[Token], figure: Figure) -> list[Figure] | None:
    """ "three hundred fourteen wire": a length in whole hundreds and a thickness in thousandths."""
    size = figure.parts[0]
    wire = figure.last < len(tokens) and tokens[figure.last].text.endswith("wire")
    long, thick = size.value // 100 * 100, size.value % 100
    spoken = [token.text for token in tokens[figure.first : figure.last]]
    if figure.shape != "one" or size.unit is not None or not wire or "hundred" not in spoken or "and" in spoken:
        return None
    if thick not in PLAIN_MILS or not LENGTHS["wire"][0] <= long <= LENGTHS["wire"][1]:
        return None
    at = figure.first + spoken.index("hundred") + 1
    parts = []
    for first, last, value in ((figure.first, at, long), (at, figure.last, thick)):
        words = (tokens[first].word, tokens[last - 1].past)
        heard = " ".join(token.text for token in tokens[first:last])
        parts.append(
            replace(figure, first=first, last=last, parts=[replace(size, value=value, words=words, heard=heard)])
        )
    return parts
