"""Two sizes said as one number, and sizes that are of no wire: "three hundred fourteen wire" is of three hundred,
fourteen; "sheath, six forty-five" is of six French, forty-five; "support catheter oh one eight" tells what a catheter
takes.
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.lexicon import Device
from extractor.reading.numbers import read_numbers
from extractor.reading.quantities import Figure
from extractor.reading.terms import Term
from extractor.reading.tokens import Token
from extractor.sizes import LENGTHS, PLAIN_MILS, is_thickness, lengths

#: Whose lumen is told by the wire it takes; "the guide oh three five" is a wire to many.
_LUMENS = {"catheter", "microcatheter", "aspiration catheter", "re-entry catheter", "atherectomy catheter"}
#: Gauges, Fr, and the shortest length, cm, that are said so; common practice, no source.
_GAUGES, _SHORTEST = range(3, 27), 10
#: Behind the length of a sheath, said with no unit, the clause ends; or it is one of a row.
_ENDS, _ROW = {",", ".", "!", "..."}, {",", "and", "or", "then", "..."}
#: No pressure is as high, and no balloon or stent longer, mm: common practice, no source.
_LEAST_LONG, _LONGEST = 40, 300


def part_sizes(tokens: Sequence[Token], figures: list[Figure], terms: Sequence[Term]) -> list[Figure]:
    """Figures of one sentence -> those said as one parted, what is the size of a lumen left out. Linear."""
    named = {index: entry for term in terms for index, entry in _ends(term)}
    parted: list[Figure] = []
    for figure in figures:
        if figure.shape == "one" and is_thickness(figure.parts[0]):
            if not _is_of_lumen(tokens, figure, named):
                parted.append(figure)
        else:
            parted += _of_wire(tokens, figure) or _of_tube(tokens, figure, named) or [figure]
    return _with_lengths(tokens, _joined(tokens, parted, named))


def _joined(tokens: Sequence[Token], figures: list[Figure], named: dict[int, Device]) -> list[Figure]:
    """ "Balloon, two millimetres, one fifty": the bare number right behind how wide a balloon or stent is, larger than
    any pressure, is how long it is.
    """
    joined: list[Figure] = []
    for figure in figures:
        wide, size = joined[-1] if joined else None, figure.parts[0]
        if wide is not None and wide.shape == figure.shape == "one" and wide.parts[0].unit == "mm":
            before = named.get(wide.first) or (
                named.get(wide.first - 1) if tokens[wide.first - 1].text == "," else None
            )
            long = size.unit is None and size.form == "cardinal" and _LEAST_LONG <= size.value <= _LONGEST
            behind = tokens[figure.last].text if figure.last < len(tokens) else "."
            beside = [token.text for token in tokens[wide.last : figure.first]] == [","] and behind in _ENDS
            if before is not None and before.kind in {"inflation", "stent"} and long and beside and not size.value % 5:
                joined[-1] = replace(figure, first=wide.first, shape="size", parts=[wide.parts[0], size])
                continue
        joined.append(figure)
    return joined


def _with_lengths(tokens: Sequence[Token], figures: list[Figure]) -> list[Figure]:
    """ "A six French, eleven, for the left", "six French sheath on the right, just the eleven": a bare number right
    behind a gauge, and no other one behind it, is how long a sheath is.
    """
    for at, (gauge, length, following) in enumerate(zip(figures, figures[1:], [*figures[2:], None], strict=False), 1):
        size = length.parts[0]
        long = length.shape == "one" and size.unit is None and size.form == "cardinal" and not size.value % 1
        if gauge.parts[0].unit != "[Ch]" or not long or not _SHORTEST <= size.value <= LENGTHS["sheath"][1]:
            continue
        between = [token.text for token in tokens[gauge.last : length.first]]
        behind = tokens[length.last].text if length.last < len(tokens) else "."
        more = following is not None and {token.text for token in tokens[length.last : following.first]} <= _ROW
        if between == [","] and behind in _ENDS and not more and not any("dilat" in token.text for token in tokens):
            figures[at] = replace(length, parts=[size.flagged("unit-assumed", unit="cm", alternatives=())])
    return figures


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


def _of_wire(tokens: Sequence[Token], figure: Figure) -> list[Figure] | None:
    """ "three hundred fourteen wire": a length in whole hundreds and a thickness in thousandths."""
    wire = figure.last < len(tokens) and tokens[figure.last].text.endswith("wire")
    spoken = [token.text for token in tokens[figure.first : figure.last]]
    if not wire or not _is_number(figure) or "hundred" not in spoken or "and" in spoken:
        return None
    long, thick = figure.parts[0].value // 100 * 100, figure.parts[0].value % 100
    if thick not in PLAIN_MILS or not LENGTHS["wire"][0] <= long <= LENGTHS["wire"][1]:
        return None
    return _two(tokens, figure, figure.first + spoken.index("hundred") + 1, long, thick)


def _of_tube(tokens: Sequence[Token], figure: Figure, named: dict[int, Device]) -> list[Figure] | None:
    """ "sheath, six forty-five", "six forty-five sheath": a gauge and a length, beside what has both."""
    comma = figure.first > 0 and tokens[figure.first - 1].text == ","
    noun = named.get(figure.first - comma) or named.get(-figure.last - 1)
    spoken = {token.text for token in tokens[figure.first : figure.last]}
    if noun is None or noun.kind != "insert" or not _is_number(figure) or spoken & {"hundred", "thousand", "and"}:
        return None
    first, rest = (
        read_numbers(tokens[a:b]) for a, b in ((figure.first, figure.first + 1), (figure.first + 1, figure.last))
    )
    if len(first) != 1 or len(rest) != 1 or rest[0].last - rest[0].first != figure.last - figure.first - 1:
        return None
    wide, long = first[0].value, rest[0].value
    low, high = lengths(noun.name, True)
    if wide not in _GAUGES or not max(low, _SHORTEST) <= long <= high or long % 1:
        return None
    wide_one, long_one = _two(tokens, figure, figure.first + 1, wide, long)
    return [
        replace(wide_one, parts=[wide_one.parts[0].in_unit("[Ch]")]),
        replace(long_one, parts=[long_one.parts[0].in_unit("cm")]),
    ]


def _is_number(figure: Figure) -> bool:
    size = figure.parts[0]
    return figure.shape == "one" and size.unit is None and size.value >= 100 and not size.value % 1


def _two(tokens: Sequence[Token], figure: Figure, at: int, one: float, other: float) -> list[Figure]:
    """A figure as two, parted at a token."""
    parts = []
    for first, last, value in ((figure.first, at, one), (at, figure.last, other)):
        words = (tokens[first].word, tokens[last - 1].past)
        heard = " ".join(token.text for token in tokens[first:last])
        size = replace(figure.parts[0], value=value, words=words, heard=heard)
        parts.append(replace(figure, first=first, last=last, parts=[size]))
    return parts
