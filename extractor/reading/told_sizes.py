"""Sizes of balloons, stents and coils told otherwise than "six by forty": each figure by name ("five wide and sixty
long", "a length of sixty, the diameter is six", "a six millimetre balloon of eighty length"), or as a row beside the
noun ("balloon eight, forty", "the seven forty balloon", "coil, four, ten"). Two figures -> one size.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from extractor.lexicon import Device, Qualifier
from extractor.model import Quantity
from extractor.reading.numbers import NUMBER_WORDS, Number, read_numbers
from extractor.reading.quantities import FILLERS, Figure
from extractor.reading.terms import Term
from extractor.reading.tokens import Token

_SIZED, _STANDS_FOR = {"inflation", "stent"}, {"balloon", "stent"}
#: What tells which of the two a figure is: right after it, or before it.
_NAMES = {"wide": "wide", "diameter": "wide", "width": "wide", "long": "long", "length": "long"}
_ADJECTIVES = {"wide", "long"}
_OTHER = {"wide": "long", "long": "wide", "": ""}
#: Between such a word and its figure.
_IS = FILLERS | set("is of are being has with : about , in 's was a".split())
#: Between the two figures of a size; anything else parts them.
_LIGHT = (
    FILLERS
    | _IS
    | _NAMES.keys()
    | set("and an the it by at for to that this which one ones also then - ... please".split())
    | set("measuring measures measured size sized catheter millimetre millimetres millimeter millimeters mm".split())
    | set("centimetre centimetres centimeter centimeters cm".split())
)
#: Between the figures of a row, between the noun and the row, and after it.
_IN_ROW = {",", "to", "for", "and", "-", "of"}
_BEFORE_ROW = set(", : of now it's please number size the a".split())
_AFTER_ROW = set(", . ! ? ... - please kindly long prepare ready and now is 's open next".split()) | {""}
#: Between the noun and the length behind it.
_BEFORE_LENGTH = {",", "of", "by", "with", "and"}
#: Between a coil and a row.
_BEFORE_COILS = set(", : of the a first second third fourth also is now number one two three".split())
#: Behind a row: what became of the coil.
_TOLD = set("was were has have detachable in into detached released deployed placed".split())
#: No coil is wider, mm, or longer, cm: common practice, no source.
_WIDEST_COIL, _LONGEST_COIL = 30, 60
#: What else is told by width and length.
_MEASURED = frozenset("vessel lesion artery vein neck segment narrowing landing lumen tract fistula sac".split())
#: How many words may stand between the two figures, between a figure and its name, between the noun and a row: set by
#: hand, no source.
_NEAR, _NAME_NEAR, _ROW_NEAR = 8, 4, 3
#: No balloon or stent is wider, longer or shorter, mm, or less long for its width: common practice, no source.
_WIDEST, _LONGEST, _SHORTEST, _LEAST_LONG = 60, 400, 8, 0.9
#: Where nothing is said of what they are, the second figure is so long that it is no pressure and no time.
_ROW_NARROWEST, _ROW_SHORTEST, _ROW_LEAST_LONG, _LEAST_LONG_OF_TWO = 1.2, 15, 2.2, 1.5


@dataclass(slots=True)
class _Named:
    """What a sentence names: where balloons and stents begin and end, where whatever else has sizes begins, and the
    tokens of names that may stand within a size.
    """

    starts: list[int] = field(default_factory=list)
    coils: dict[int, int] = field(default_factory=dict)  # where a coil's name begins -> where it ends
    ends: set[int] = field(default_factory=set)
    others: list[int] = field(default_factory=list)
    held: dict[int, int] = field(default_factory=dict)  # token of a name -> where the name begins

    def is_nearest(self, figure: Figure) -> bool:
        """Whether a balloon or stent is named nearer to a size than anything else that has one."""
        return _apart(self.starts, figure) < _apart(self.others, figure)


def join_sizes(tokens: Sequence[Token], figures: list[Figure], terms: Sequence[Term]) -> list[Figure]:
    """Figures and terms of one sentence -> the figures, those of one size joined. Linear."""
    if not figures:
        return figures
    named = _names(tokens, terms)
    if named.coils:
        figures = _coil_rows(tokens, figures, named.coils)
    if not named.starts:
        return figures
    out: list[Figure] = []
    for figure in _rows(tokens, figures, named):
        before = out[:-1][-1:] if len(out) > 1 and _stands_for_noun(tokens, out[-1]) else out[-1:]
        size = _size(tokens, before[0], figure, named) if before else None
        if size is not None and named.is_nearest(size):
            while out and out[-1].last > size.first:
                out.pop()
            out.append(size)
        else:
            out.append(figure)
    return out


def _names(tokens: Sequence[Token], terms: Sequence[Term]) -> _Named:
    named = _Named(others=[index for index, token in enumerate(tokens) if token.text in _MEASURED])
    for term in terms:
        for table, entry in term.found:
            sized = isinstance(entry, Device) and entry.kind in _SIZED
            called = isinstance(entry, Qualifier) and entry.stands_for in _STANDS_FOR
            if isinstance(entry, Device) and entry.name == "coil":
                named.coils[term.first] = term.last
            if sized or called:
                named.starts.append(term.first)
                named.ends.add(term.last)
            elif table in {"device", "finding", "drug"}:
                named.others.append(term.first)
            if sized or table == "qualifier":
                named.held |= dict.fromkeys(range(term.first, term.last), term.first)
    named.others.sort()
    return named


def _apart(starts: Sequence[int], figure: Figure) -> int:
    """How far the nearest of these is from a figure."""
    at = bisect_left(starts, figure.first)
    after = max(starts[at] - figure.last, 0) if at < len(starts) else 1000
    return min(after, figure.first - starts[at - 1] if at else 1000)


def _stands_for_noun(tokens: Sequence[Token], figure: Figure) -> bool:
    """ "the six millimetre one, two hundred in length": no figure."""
    return figure.last - figure.first == 1 and tokens[figure.first].text == "one"


# Each by its name -------------------------------------------------------------------------------------------------


def _size(tokens: Sequence[Token], a: Figure, b: Figure, named: _Named) -> Figure | None:
    """Two figures next to each other -> the size they tell, where at least one is called wide or long."""
    if not (_may_be_size(a) and _may_be_size(b)) or b.first - a.last > _NEAR:
        return None
    one, other = _called(tokens, a), _called(tokens, b)
    if not (one or other) and _around_noun(tokens, a, b, named):
        one = "wide"
    between = range(a.last, b.first)
    if one == other or not all(tokens[index].text in _LIGHT or index in named.held for index in between):
        return None
    wide, long = (a, b) if "wide" in (one, _OTHER[other]) else (b, a)
    if not _plausible(wide.parts[0], long.parts[0]):
        return None
    noun = any(index in named.held for index in between)
    last = a.last if noun else max(b.last, _past_name(tokens, b))
    return Figure(a.first, last, "size", [_in_mm(wide.parts[0]), _in_mm(long.parts[0])], "by", a.count)


def _may_be_size(figure: Figure) -> bool:
    part = figure.parts[0]
    return figure.shape == "one" and part.unit in {None, "mm", "cm"} and part.form not in {"year", "leading-zero"}


def _called(tokens: Sequence[Token], figure: Figure) -> str:
    """ "sixty long", "six in diameter", "of eighty length", "the length is sixty": wide, long, or empty."""
    past = _past_name(tokens, figure)
    name = tokens[past - 1].text if past > figure.last else ""
    following = tokens[past].text if past < len(tokens) else ""
    if name in _ADJECTIVES or (name and following not in NUMBER_WORDS):
        return _NAMES[name]
    for index in range(figure.first - 1, max(-1, figure.first - 1 - _NAME_NEAR), -1):
        text = tokens[index].text
        if text in _NAMES and text not in _ADJECTIVES:
            return _NAMES[text]
        if text not in _IS:
            return ""
    return ""


def _past_name(tokens: Sequence[Token], figure: Figure) -> int:
    """The end of a figure with the word that names it: "forty millimetres in length"."""
    behind = [token.text for token in tokens[figure.last : figure.last + 2]] + ["", ""]
    if behind[0] in {"in", "of"} and behind[1] in _NAMES:
        return figure.last + 2
    return figure.last + (behind[0] in _NAMES)


def _around_noun(tokens: Sequence[Token], a: Figure, b: Figure, named: _Named) -> bool:
    """ "a six balloon, forty millimetres": one right before the noun, and one right behind it; no two balloons."""
    held = [index for index in range(a.last, b.first) if index in named.held]
    if not held or held[0] != a.last or tokens[held[-1]].text.endswith("s"):
        return False
    between = {token.text for token in tokens[held[-1] + 1 : b.first]}
    told = bool(b.parts[0].unit) or "by" in between
    return told and between <= _BEFORE_LENGTH and _mm(b.parts[0]) >= _LEAST_LONG_OF_TWO * _mm(a.parts[0])


def _plausible(wide: Quantity, long: Quantity) -> bool:
    width, length = _mm(wide), _mm(long)
    return 0 < width <= _WIDEST and _SHORTEST <= length <= _LONGEST and length >= _LEAST_LONG * width


def _mm(quantity: Quantity) -> float:
    return quantity.value * (10 if quantity.unit == "cm" else 1)


def _in_mm(quantity: Quantity) -> Quantity:
    return quantity if quantity.unit else replace(quantity, unit="mm")


# As a row ---------------------------------------------------------------------------------------------------------


def _rows(tokens: Sequence[Token], figures: list[Figure], named: _Named) -> list[Figure]:
    """Two bare figures, or one said in two ("eight forty"), right beside the noun -> a size."""
    out: list[Figure] = []
    for at, figure in enumerate(figures):
        if out and out[-1].last > figure.first:
            continue  # the second of a row
        if _is_wide_for_long(tokens, figure, named):
            out.append(replace(figure, shape="size", parts=[_in_mm(part) for part in figure.parts], joint="by"))
            continue
        following = [*figures[at + 1 : at + 3], None, None]
        pair, then = _split(tokens, figure), following[0]
        if pair is None:
            pair, then = _together(tokens, figure, following[0]), following[1]
        if pair and _beside(tokens, pair, named) and not _goes_on(tokens, pair, then):
            out.append(Figure(pair[0].first, pair[1].last, "size", [_part(tokens, number) for number in pair], "by"))
        else:
            out.append(figure)
    return out


def _coil_rows(tokens: Sequence[Token], figures: list[Figure], coils: dict[int, int]) -> list[Figure]:
    """ "coil, four, ten", "a four ten coil", "coil four on ten": the width and the length of a coil in a row."""
    out: list[Figure] = []
    for at, figure in enumerate(figures):
        if out and out[-1].last > figure.first:
            continue  # the second of a row
        following = figures[at + 1] if at + 1 < len(figures) else None
        pair = _coil_pair(tokens, figure, following)
        if pair and _beside_coil(tokens, pair, coils):
            parts = [replace(_part(tokens, number), unit=None) for number in pair]
            out.append(Figure(pair[0].first, pair[1].last, "size", parts, "by"))
        else:
            out.append(figure)
    return out


def _coil_pair(tokens: Sequence[Token], a: Figure, b: Figure | None) -> tuple[Number, Number] | None:
    said = [token.text for token in tokens[a.first : a.last]]
    if _is_bare(a) and len(said) == 2 and a.parts[0].value >= 100 and not {"hundred", "thousand"} & {*said}:
        wide, long = _number(tokens, a.first, a.first + 1), _number(tokens, a.first + 1, a.last)
    elif b is not None and _is_bare(a) and _is_bare(b):
        between = [token.text for token in tokens[a.last : b.first]]
        if len(between) > 1 or not {*between} <= {",", "to", "on", "-"}:
            return None
        wide, long = _number(tokens, a.first, a.last), _number(tokens, b.first, b.last)
    else:
        return None
    if wide is None or long is None or long.value % 1 or not 1 <= wide.value <= _WIDEST_COIL:
        return None
    return (wide, long) if wide.value <= long.value <= _LONGEST_COIL else None


def _beside_coil(tokens: Sequence[Token], pair: tuple[Number, Number], coils: dict[int, int]) -> bool:
    """Whether a coil is named right before a row that ends there, or right behind it; "coil one, two" counts."""
    first, last = pair[0].first, pair[1].last
    after = tokens[last].text if last < len(tokens) else ""
    if last in coils:
        return not tokens[coils[last] - 1].text.endswith("s")
    near = any(
        first - _ROW_NEAR <= end <= first and {token.text for token in tokens[end:first]} <= _BEFORE_COILS
        for end in coils.values()
    )
    return near and after in _AFTER_ROW | _TOLD and pair[1].value > 2


def _is_wide_for_long(tokens: Sequence[Token], figure: Figure, named: _Named) -> bool:
    """ "a balloon of three point five for thirty"; "balloon, six for thirty" is rather a pressure and a time."""
    if figure.shape != "pair" or figure.joint != "for" or figure.first - 1 not in named.ends:
        return False
    wide, long = figure.parts
    fits = long.value >= max(_ROW_SHORTEST, _ROW_LEAST_LONG * wide.value) and wide.value <= _WIDEST
    return tokens[figure.first - 1].text == "of" and wide.unit is long.unit is None and fits


def _split(tokens: Sequence[Token], figure: Figure) -> tuple[Number, Number] | None:
    """ "eight forty", said of eight by forty."""
    part = figure.parts[0]
    spoken = [token.text for token in tokens[figure.first : figure.last]]
    if not _is_bare(figure) or part.form != "cardinal" or len(spoken) < 2 or part.value < 100:
        return None
    if {"hundred", "thousand", "and"} & {*spoken}:
        return None
    return _fitting(_number(tokens, figure.first, figure.first + 1), _number(tokens, figure.first + 1, figure.last))


def _together(tokens: Sequence[Token], a: Figure, b: Figure | None) -> tuple[Number, Number] | None:
    """ "seven, forty", "six to eighteen", "five two hundred", "three five thirty"."""
    if b is None or not _is_bare(a) or not _is_bare(b):
        return None
    between = [token.text for token in tokens[a.last : b.first]]
    if len(between) > 1 or not {*between} <= _IN_ROW:
        return None
    if not between and (rest := _split(tokens, b)) and a.parts[0].value in range(1, 10) and rest[0].value == 5:
        return _fitting(Number(a.parts[0].value + 0.5, a.first, rest[0].last, "decimal"), rest[1])
    return _fitting(_number(tokens, a.first, a.last), _number(tokens, b.first, b.last))


def _is_bare(figure: Figure) -> bool:
    part = figure.parts[0]
    plain = part.form in {"cardinal", "decimal", "fraction", "digits", "spelled"}
    return figure.shape == "one" and part.unit is None and plain and not part.flags


def _number(tokens: Sequence[Token], first: int, last: int) -> Number | None:
    found = read_numbers(tokens[first:last])
    if len(found) != 1 or found[0].last - found[0].first != last - first:
        return None
    return replace(found[0], first=first, last=last)


def _fitting(wide: Number | None, long: Number | None) -> tuple[Number, Number] | None:
    """Both, where they can be a width and a length, and are no pressures that go up."""
    if wide is None or long is None or long.value % 1 or not _ROW_NARROWEST <= wide.value <= _WIDEST:
        return None
    fits = _ROW_SHORTEST <= long.value <= _LONGEST and long.value >= _ROW_LEAST_LONG * wide.value
    return (wide, long) if fits else None


def _beside(tokens: Sequence[Token], pair: tuple[Number, Number], named: _Named) -> bool:
    """Whether the noun stands right before a row, and nothing the row counts behind it; or right behind the row."""
    first, last = pair[0].first, pair[1].last
    after = tokens[last].text if last < len(tokens) else ""
    before = any(
        end in named.ends and {token.text for token in tokens[end:first]} <= _BEFORE_ROW
        for end in range(first, first - _ROW_NEAR - 1, -1)
    )
    return (before and after in _AFTER_ROW) or named.held.get(last) == last


def _goes_on(tokens: Sequence[Token], pair: tuple[Number, Number], following: Figure | None) -> bool:
    """ "balloon, four, nine, twenty-two": counted up."""
    if following is None or not _is_bare(following):
        return False
    between = {token.text for token in tokens[pair[1].last : following.first]}
    return between <= {",", "...", "-"} and following.parts[0].value > pair[0].value


def _part(tokens: Sequence[Token], number: Number) -> Quantity:
    words = (tokens[number.first].word, tokens[number.last - 1].past)
    heard = " ".join(token.text for token in tokens[number.first : number.last])
    return Quantity(number.value, "mm", words, heard, number.form)
