"""Tokens -> figures with units and the shapes the trade says them in: "five by eighty", "eight at four", "six French".

Also puts right what the speaker puts right at once: "twelve, sorry, fourteen" is 14, "fifteen, not fifty" is 15.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from extractor.lexicon import Lexicon, Unit
from extractor.model import Quantity
from extractor.reading.numbers import NUMBER_WORDS, PARTS, Number, read_numbers
from extractor.reading.singly import UnitForms, join_digits
from extractor.reading.tokens import PUNCTUATION, Token, form_tokens
from extractor.units import BALLOON_PRESSURES, TIMES, convert, find_unit
from extractor.vitals import is_vital

#: Behind so small a width hardly any balloon or stent is so long, mm (from memory, no source). And so near its own
#: length may be told.
_NO_LENGTH, _SMALL_MM, _LENGTH_NEAR = 75, 4, 7
#: At most so much "a minute" tells how fast a pressure rises: no balloon is left there. Set by hand, no source.
_SLOW = 2
#: Said between the parts of a thought; they separate nothing.
FILLERS = frozenset("em um uh er erm hmm eh ah oh mm hm och ach aw ooh ehm uhm euh".split())
#: Forms of numbers that are no figure by themselves.
_NO_FIGURE = {"pronoun", "label", "clock"}
_ARTICLES = {"a", "an", "one"}
#: Said in the middle of a size by who asks or thinks how long; so many words at most: set by hand, no source.
_WONDERS, _ASIDE = frozenset("what have got see which let say do is er um hmm think there we've".split()), 9
CROSS = {"by", "x", "times", "into", "per", "cross", "mal", "slash"}
#: So many tokens on, the second of two sizes begins: "per kilo" crosses nothing. Set by hand, no source.
_CROSS_NEAR = 4
#: What may be as narrow as a few millimetres, and said to the tenth: "a two oh balloon"; words that join it to another.
_SMALL_NOUNS = {"balloon", "balloons", "stent", "stents"}
_GAUGED = {"sheaths", "introducers", "catheters", "drains", "guides", "microcatheters", "pigtails"}
_GAUGE_WORDS = {"french", "fr", "f", "thou", "thousandths", "inch", "millimetre", "mm"}
_FRENCH = {("french",), ("fr",), ("f",)}
_JOINS = set("and or in with for the a of to at from".split())
#: A length of a sheath, wire or catheter, cm, and how many times less is no slip of it: set by hand, no source.
_LONG_CM, _MUCH_LESS = 20, 5
_EXACTLY = {"even", "flat", "exactly", "exact", "precisely", "dead", "sharp"}
#: How many times nearer to the one than to the other of two sizes, as a logarithm, a figure must be to be taken for it:
#: set by hand, no source.
_EITHER = 0.5
#: "Eight on forty": a size in other tongues. Less long for its width is a score or a count.
_SHORTEST_MM, _LEAST_LONG = 12, 1.6
#: No sheath is wider, Fr: common practice, no source.
_WIDEST_FR = 34
#: No balloon or stent is thicker: common practice, no source.
_LARGEST_MM = 60
#: After a size: of more than one thing.
_PLURALS = {"balloons", "stents", "grafts", "limbs", "coils", "ones"}
#: "How tight is it?" asks for a share.
_HOW_NARROW = {"tight", "narrow", "bad", "severe", "stenosed"}
_NARROWED = {"stenosis", "narrowing", "residual", "of", "what", "the"}
#: After a number: it is a time of day.
_CLOCK = {"past", "o'clock", "am", "pm"}
#: A question of no more tokens asks for the unit that ends it: "Percent?"
_SHORT_QUESTION = 4
_COILS = {"coil", "coils"}
_CM = {"centimetre", "centimetres", "centimeter", "centimeters", "cm"}
_MM = {"millimetre", "millimetres", "millimeter", "millimeters", "mm", "mil", "mils"}
#: Balloons and stents narrower than two, mm: common practice, no source.
_NARROW = {1.2, 1.25, 1.5, 1.75}
#: No balloon is taken higher, bar: common practice, no source.
_MOST_BAR = 40
#: No size of a device is told in these.
_NOT_OF_SIZES = frozenset(
    "atmosphere atmospheres atm bar bars second seconds minute minutes days weeks months years psi".split()
)
#: Coils in centimetres; "two of three" counts them. Common practice, no source.
_LEAST_LONG_CM, _LONGEST_CM = 4, 60
_WHOLE = {"full", "whole", "good", "solid", "more", "further", "extra", "additional", "entire"}
_WHOLLY = {("full",), ("whole",), ("good",), ("solid",), ("entire",)}
#: Words that put right only when they stand right beside the new figure.
_WEAK = {"no", "nah", "nope", "well", "actually", "rather"}
_ENDINGS = {".", "!", "?"}
#: A no and how the reason begins that may stand between a figure and the one that likely puts it right.
_NOS, _LONGEST_WHY = {"no", "nope", "wait"}, 9
_WHYS = set("that it this wait i wrong we she he they sorry forgive pardon".split())
#: How a few words of excuse begin that may stand between a no and the right figure: "no, what do I say, twenty".
_EXCUSES = set("i my me what silly stupid forgive listen why how where".split())
_LONGEST_EXCUSE = 6
#: Units in which people say the same thing; a correction may change from one to the other.
_SAID_EITHER_WAY = (TIMES, BALLOON_PRESSURES, frozenset({"mm", "cm"}), frozenset({"g", "mg", "ug"}))
#: Said of what shows the right figure: "sorry, the gauge says thirteen".
_DIALS = {"gauge", "dial", "needle", "manometer", "meter", "says", "shows", "reads", "showing", "reading"}
#: A size or a share may be told a little more exactly at once.
_REFINED, _LITTLE = {"mm", "cm", "%"}, {"little", "bit", "touch", "shade", "slightly", "tad", "hair"}
#: Words that may stand between a figure and the one that puts it right.
_BETWEEN = FILLERS | set("the a an it was 's is at to by that this time please and use only with for of".split())
#: Words that may stand between a denied figure and the right one: "it was not ten, it was nine".
_COPULA = {"it", "was", "is", "'s", "but", "only", "rather", "that"}
#: What may stand before a unit that has no number: "a minute", "half a gram", "mil and a half".
_BEFORE_UNIT = _ARTICLES | {"mil", "mill", "half"}
#: After "a second" that is a time, and no ordinal.
_AFTER_SECOND = PUNCTUATION | set("or and then only please more longer at for each while now".split())
#: Before "second" in a rate, where it may be an ordinal too; behind it only these keep it a rate.
_JOINS_SECOND = {"by", "each", "every", "in", "to"}
_BEHIND_RATE = frozenset("for at and from with then please total over now up or".split())
#: Units too short to follow a mere article.
_LETTERS = {"f", "ch", "a", '"', "u", "g", "m", "s"}


@dataclass(slots=True)
class Figure:
    """One figure, or a shape of two: ``shape`` is one, size (a by b) or pair (a at b, a for b). Token range
    first:last.
    """

    first: int
    last: int
    shape: str
    parts: list[Quantity]
    joint: str = ""
    count: float | None = None
    denied: tuple[Quantity, ...] = ()  # said not to be meant: "four French and not five"
    times: float = 1.0  # what its unit multiplies by: microns are thousandths of a millimetre


def unit_forms(lexicon: Lexicon) -> UnitForms:
    """Lexicon -> every spoken form of a unit, as tokens."""
    return UnitForms((form_tokens(form), unit) for unit in lexicon.unit for form in unit.forms)


def read_figures(
    tokens: Sequence[Token], units: UnitForms, *, singly: bool = False, long_first: bool = False
) -> list[Figure]:
    """Tokens -> figures in order, none overlapping. Linear. ``singly``: the speaker says them digit by digit;
    ``long_first``: and the length of a coil before its width, "fifteen of six".
    """
    singles: list[Figure] = []
    numbers = [number for number in read_numbers(tokens) if number.form not in _NO_FIGURE]
    numbers = _counted(tokens, join_digits(tokens, numbers, units, singly))
    taken = 0
    for number in numbers:
        if number.first < taken:
            continue
        figure = _with_unit(tokens, number, units)
        if figure is None and (pair := next((other for other in number.alternatives if len(other) == 2), None)):
            for part in number.split(pair):
                if split := _with_unit(tokens, part, units):
                    singles.append(split)
                    taken = split.last
        if figure:
            singles.append(figure)
            taken = figure.last
    singles += _units_alone(tokens, singles, units)
    singles.sort(key=lambda figure: figure.first)
    coils = long_first or any(token.text in _COILS for token in tokens)
    return _shapes(tokens, _minutes_and_seconds(tokens, singles), coils=coils)


def says_long_first(tokens: Sequence[Token]) -> bool:
    """Whether a speaker plainly says a length of a width somewhere: "twenty centimetres of nine millimetre". Linear."""
    return any(
        tokens[index].text == "of"
        and tokens[index - 1].text in _CM
        and any(token.text in _MM for token in tokens[index + 2 : index + 5])
        for index in range(1, len(tokens) - 2)
    )


def _minutes_and_seconds(tokens: Sequence[Token], singles: list[Figure]) -> list[Figure]:
    """ "one minute and thirty seconds", "twenty-two minutes thirty seconds": one time, in minutes."""
    figures: list[Figure] = []
    for figure in singles:
        part = figure.parts[0]
        if figures and part.unit == "s" and part.value < 60 and figures[-1].parts[0].unit == "min":
            before = figures[-1]
            whole = before.parts[0]
            if [token.text for token in tokens[before.last : figure.first]] in ([], ["and"]) and whole.value % 1 == 0:
                words, heard = (whole.words[0], part.words[1]), f"{whole.heard} {part.heard}"
                both = replace(whole, value=round(whole.value + part.value / 60, 6), words=words, heard=heard)
                figures[-1] = replace(before, last=figure.last, parts=[both])
                continue
        figures.append(figure)
    return figures


def _counted(tokens: Sequence[Token], numbers: list[Number]) -> list[Number]:
    """ "two eight by twenties" is two of them: split where a plural size follows. "two two five by eighteen", "three oh
    by twelve" and "two twenty-five by eighteen" are small sizes to the hundredth.
    """
    out: list[Number] = []
    for number, following in pairwise([*numbers, None]):
        assert number is not None
        if _runs_on(tokens, number):
            out += number.split((number.value - number.value % 10, number.value % 10))
            continue
        if _names_one(tokens, number):
            number = replace(number, value=number.value - 1, last=number.last - 1, alternatives=())
        crossed = (
            _crosses(tokens, number.last) and following is not None and following.first - number.last <= _CROSS_NEAR
        )
        pair = next((other for other in number.alternatives if len(other) == 2), None)
        apart = number.form in {"digits", "spelled"} and not _crosses(tokens, number.first - 1)
        sized = crossed or (apart and is_beside_noun(tokens, number.last))
        if number.form == "cardinal" and pair and not _crosses(tokens, number.first - 1):
            unlike = pair[0] <= _SMALL_MM and pair[1] == _NO_LENGTH and is_beside_noun(tokens, number.last)
            if unlike:  # rather two and three quarters wide than two by seventy-five
                out.append(
                    replace(number, value=pair[0] + 0.75, form="digits", alternatives=((pair[0],),), doubtful=True)
                )
                continue
            sized = sized or _length_follows(tokens, number.last)
        small = _hundredths(number, pair) if sized else None
        if small is not None and 1 < small < 2 and small not in _NARROW:
            small = None  # "one six by eighty" is one of six
        too_wide = small is None and number.value > _LARGEST_MM
        if pair and number.form == "digits" and pair[0] == 1 and pair[1] > 2 and _of_one(tokens, number.last):
            out.append(replace(number, value=pair[1], alternatives=((number.value,),), doubtful=True))
            continue
        sheaths = number.form == "digits" and _of_several(tokens, number.last)
        one = bool(pair and pair[0] == 1 and crossed and 10 < number.value < 20)
        if pair and (sheaths or (crossed and (too_wide or one or _several(tokens, number.last, pair)))):
            count, each = number.split(pair)
            # "one five by twenty" may be one of five, or one and a half wide
            out += [count, replace(each, alternatives=((small,),)) if one and small is not None else each]
        elif small is not None:
            long = following.value if following is not None and crossed else math.inf
            # a thirty is never said "three oh", and no small balloon is wider than it is long
            sure = number.form == "spelled" or number.value > _LARGEST_MM or long < number.value
            form = "digits" if number.form == "cardinal" else number.form  # two numbers, read as the digits of one
            out.append(replace(number, value=small, form=form, alternatives=() if sure else ((number.value,),)))
        else:
            out.append(number)
    return out


def _length_follows(tokens: Sequence[Token], last: int) -> bool:
    """ "three fifty stent by eighteen", "two twenty-five, length twelve", "… fifteen long": whether the length of what
    a figure ending at a token is of is told of its own, behind it.
    """
    behind = _texts(tokens, last, _LENGTH_NEAR)
    pairs = set(pairwise(behind))
    crossed = any(noun in _SMALL_NOUNS and cross in CROSS for noun, cross in pairs)
    return crossed or any(
        (one == "length" and two in NUMBER_WORDS) or (one in NUMBER_WORDS and two == "long") for one, two in pairs
    )


def _of_one(tokens: Sequence[Token], last: int) -> bool:
    """ "one six French sheath": rather one of six French than one of sixteen, which nobody says digit by digit."""
    behind = _texts(tokens, last, 4)
    return behind[:1] in _FRENCH and any(f"{text}s" in _GAUGED for text in behind[1:])


def _of_several(tokens: Sequence[Token], last: int) -> bool:
    """ "two six French sheaths": whether what follows a figure is a gauge, and of more than one."""
    behind = _texts(tokens, last, 4)
    noun = next((text for text in behind[1:] if text in _GAUGED), "")
    return behind[:1] in _FRENCH and bool(noun)


def _crosses(tokens: Sequence[Token], index: int) -> bool:
    return 0 <= index < len(tokens) and tokens[index].text in CROSS


def is_beside_noun(tokens: Sequence[Token], last: int) -> bool:
    """ "two oh balloon", "three five drug eluting stent": whether a balloon or stent is named right behind a figure
    that ends at a token.
    """
    behind = [token.text for token in tokens[last : last + 4]]
    noun = next((at for at, text in enumerate(behind) if text in _SMALL_NOUNS), None)
    return noun is not None and all(text.isalpha() and text not in _JOINS for text in behind[:noun])


def _runs_on(tokens: Sequence[Token], number: Number) -> bool:
    """ "six by forty eight atmospheres", "five by eighty three minutes": a length, and then another thing's figure."""
    spoken = number.form == "cardinal" and number.last - number.first == 2 and number.value < 100
    after = tokens[number.last].text if number.last < len(tokens) else ""
    return spoken and number.value % 10 > 0 and _crosses(tokens, number.first - 1) and after in _NOT_OF_SIZES


def _names_one(tokens: Sequence[Token], number: Number) -> bool:
    """ "a seven by forty one": no balloon or stent is so long, it is one of forty. Common practice, no source."""
    tied = number.last - number.first != 2 or tokens[number.last - 1].text != "one" or tokens[number.last - 1].joined
    return not tied and number.value > 20 and number.first > 0 and tokens[number.first - 1].text in {"by", "x"}


def _several(tokens: Sequence[Token], cross: int, pair: tuple[float, ...]) -> bool:
    """Whether a size tells how many there are: "two eight by twenties", "two eight by thirty balloons". Beside a noun
    "three five by twelve stents" are rather of three and a half.
    """
    after = [token.text for token in tokens[cross + 1 : cross + 5]]
    return after[0].endswith("ies") or (pair[1] != 5 and 1 < pair[0] and bool(_PLURALS & {*after}))


def _hundredths(number: Number, pair: tuple[float, ...] | None) -> float | None:
    """The millimetres that digits in a row mean before "by": "three oh" is 3.0, "two two five" 2.25. None: as read."""
    if number.form in {"digits", "spelled"}:
        single = (other[0] for other in number.alternatives if len(other) == 1)
        return next((value for value in single if value and number.value / value in {10, 100}), None)
    if number.form == "cardinal" and pair and number.value > _LARGEST_MM and pair[0] < 10 and pair[1] % 25 == 0:
        return pair[0] + pair[1] / 100
    return None


def _with_unit(tokens: Sequence[Token], number: Number, units: UnitForms) -> Figure | None:
    unit, last = _unit_at(tokens, number.last, units)
    if unit is None and number.last < len(tokens) and tokens[number.last].text in _WHOLE:
        unit, last = _unit_at(tokens, number.last + 1, units)  # "one full minute"
    if unit is None and number.value < 1 and _texts(tokens, number.last, 2) in {("of", "a"), ("of", "an")}:
        unit, last = _unit_at(tokens, number.last + 2, units)  # "point six of a milligram"
    if unit is not None and unit.quantity == "gauge" and number.value < 1:
        unit = units.get(("inch",), unit)  # "0.035 French": a wire's, and an inch misheard
    pair = next((other for other in number.alternatives if len(other) == 2), None)
    if (
        unit
        and pair
        and unit.quantity in {"time", "frame-rate", "per-second"}
        and (number.value >= 100 or number.form == "digits")
        and not any(token.text in {"hundred", "thousand"} for token in tokens[number.first : number.last])
    ):
        return None  # "hold on eight thirty seconds": two numbers, told apart below
    if unit is None and number.last < len(tokens) and tokens[number.last].text in {",", "..."}:
        unit, last = _unit_at(tokens, number.last + 1, units)  # "eight-fifty, milligray"
        short = last - number.last == 2 and tokens[number.last + 1].text in {"a", "f", "in", "m"}
        rank = _texts(tokens, last - 1, 1) == ("second",) and not {*_texts(tokens, last, 1)} <= _AFTER_SECOND
        told_first = last < len(tokens) and tokens[last].text in NUMBER_WORDS  # "contrast ninety, minutes fifteen"
        if unit is not None and (short or rank or told_first or unit.quantity == "frame-rate"):
            unit, last = None, number.last  # "four by twenty, second balloon"
    first = number.first
    if unit is None and (before := _gauge_before(tokens, number, units) or _said_first(tokens, number, units)):
        unit, first, last = before, first - 1, number.last
    if unit is None:
        last = number.last
        if number.form == "bare-fraction":
            return None
    value = number.value
    if unit and last + 2 < len(tokens) + 1 and _texts(tokens, last, 3) == ("and", "a", "half"):
        value, last = value + 0.5, last + 3
    elif unit and _texts(tokens, last, 2) == ("and", "half"):
        value, last = value + 0.5, last + 2
    elif unit and last < len(tokens):
        value, last = _rest_of(tokens, unit, value, last)
    part = _quantity(tokens, first, last, value, unit, number)
    tenths = round((value - number.value) * 6, 6)  # of "eleven minutes six", as if six seconds were six tenths
    if unit and unit.code == "min" and number.value % 1 == 0 and 0 < tenths < 1 and _ends_in_a_digit(tokens, last):
        part = part.flagged("two-readings", alternatives=(*part.alternatives, number.value + tenths))
    return Figure(first, last, "one", [part], times=unit.times if unit else 1.0)


def _ends_in_a_digit(tokens: Sequence[Token], last: int) -> bool:
    """ "six": seconds or tenths; "oh six" and "point six" are one of them."""
    before, said = (tokens[index].text for index in (last - 2, last - 1))
    return before not in {"oh", "o", "zero", "point", "comma", "and"} and said in NUMBER_WORDS


def _gauge_before(tokens: Sequence[Token], number: Number, units: UnitForms) -> Unit | None:
    """ "French six", "Charrière seven": the unit of a gauge, which some speakers say first, unless a number owns it."""
    before, owner = (tokens[index].text if index >= 0 else "" for index in (number.first - 1, number.first - 2))
    unit = units.get((before,))
    if (
        unit is None
        or unit.quantity != "gauge"
        or (len(before) < 2 and before != "f")
        or not 1 < number.value <= _WIDEST_FR
    ):
        return None
    return None if owner in NUMBER_WORDS | PARTS.keys() or owner[-1:].isdigit() else unit


def _said_first(tokens: Sequence[Token], number: Number, units: UnitForms) -> Unit | None:
    """ "bar twelve", "minutes fifteen": a unit said first, at the beginning of a sentence or behind a mark."""
    said = tokens[number.first - 1].text if number.first else ""
    unit = units.get((said,))
    if unit is None or not (said == "minutes" or (unit.code in BALLOON_PRESSURES and number.value <= _MOST_BAR)):
        return None
    return unit if number.first == 1 or tokens[number.first - 2].text in PUNCTUATION else None


def _rest_of(tokens: Sequence[Token], unit: Unit, value: float, last: int) -> tuple[float, int]:
    """ "two metres sixty" is 260 cm, "eleven minutes point six" is 11.6: what is said behind the unit."""
    if unit.code == "cm" and unit.times == 100:
        joint = int(_texts(tokens, last, 1) == ("and",))  # "one metre and eighty"
        rest = next(iter(read_numbers(tokens[last + joint : last + joint + 3])), None)
        long = rest is not None and rest.first == 0 and rest.form == "cardinal" and 10 <= rest.value < 100
        ends = _texts(tokens, last + joint + (rest.last if rest else 0), 1)[:1]
        if rest is not None and long and not (joint and ends and ends[0] in _GAUGE_WORDS):
            return value + rest.value / 100, last + joint + rest.last
        return value, last
    joint = int(unit.code == "min" and _texts(tokens, last, 1) == ("and",))  # "one minute and twenty."
    rest = next(iter(read_numbers(tokens[last + joint : last + joint + 4])), None)
    if rest is None or rest.first != 0:
        return value, last
    if unit.quantity == "time" and tokens[last].text in {"point", "comma"} and rest.value < 1:
        return value + rest.value, last + rest.last
    if joint and rest.value < 1 and tokens[last + rest.last].text in {"tenth", "tenths"}:
        return value + rest.value, last + 1 + rest.last  # "nine minutes and four tenths"
    past = last + joint + rest.last
    after = tokens[past].text if past < len(tokens) else "."
    seconds = unit.code == "min" and value % 1 == 0 and rest.form == "cardinal" and 5 <= rest.value < 60
    if seconds and rest.value % (5 if joint else 1) == 0 and after in PUNCTUATION | {"of"}:  # "two minutes thirty."
        return round(value + rest.value / 60, 6), past
    return value, last


def _units_alone(tokens: Sequence[Token], singles: list[Figure], units: UnitForms) -> list[Figure]:
    """ "a minute", "mil and a half", "a gram": a unit whose number is only an article."""
    covered = {index for figure in singles for index in range(figure.first, figure.last)}
    found: list[Figure] = []
    for index, token in enumerate(tokens):
        if token.text == "minute" and index not in covered and _stands_alone(tokens, index):
            unit, last = _unit_at(tokens, index, units)
            if unit is not None and last == index + 1:
                part = _quantity(tokens, index, last, 1.0, unit, Number(1.0, index, last, "cardinal"))
                found.append(Figure(index, last, "one", [part.flagged("one-taken")]))
            continue
        if index in covered or token.text not in _BEFORE_UNIT:
            continue
        start = index + 1 if token.text in _ARTICLES | {"half"} else index
        start += token.text in _ARTICLES and _texts(tokens, start, 1)[:1] in _WHOLLY  # "a whole minute"
        if start in covered:
            continue
        unit, last = _unit_at(tokens, start, units)
        if unit is None or tokens[last - 1].text.endswith("s") or unit.quantity in {"frame-rate", "rate", "gauge"}:
            continue
        if token.text in _ARTICLES and last - start == 1 and tokens[start].text in _LETTERS:
            continue
        if unit.code in BALLOON_PRESSURES and _texts(tokens, last, 1) == ("of",):
            continue  # "like a bar of soap"
        if tokens[start].text == "second" and last < len(tokens) and tokens[last].text not in _AFTER_SECOND:
            continue  # "a second inflation"
        if token.text in _ARTICLES and unit.times == 100 and _rest_of(tokens, unit, 1.0, last)[1] > last:
            value, last = _rest_of(tokens, unit, 1.0, last)  # "a metre eighty"
            singles[:] = [figure for figure in singles if not start < figure.first < last]
            number = Number(value, index, last, "cardinal")
            found.append(Figure(index, last, "one", [_quantity(tokens, index, last, value, unit, number)]))
            continue
        value = 0.5 if token.text == "half" else 1.0
        if _texts(tokens, last, 3) == ("and", "a", "half"):
            value, last = value + 0.5, last + 3
        elif token.text == "mil":
            continue
        number = Number(value, index, last, "fraction" if value != 1.0 else "article")  # type: ignore[arg-type]
        found.append(Figure(index, last, "one", [_quantity(tokens, index, last, value, unit, number)]))
    return found


def _stands_alone(tokens: Sequence[Token], index: int) -> bool:
    """ "Up to eight. Minute. Off.": a word between two marks, or all of its sentence."""
    before, after = _texts(tokens, max(0, index - 1), 1), _texts(tokens, index + 1, 1)
    return (not index or {*before} <= PUNCTUATION) and bool(after) and {*after} <= PUNCTUATION


def _unit_at(tokens: Sequence[Token], index: int, units: UnitForms) -> tuple[Unit | None, int]:
    found = find_unit(_texts(tokens, index, units.longest), 0, units, units.longest)
    if found and _is_in_order(tokens, index, index + found[1]):
        found = find_unit(_texts(tokens, index, 1), 0, units, 1)
    return (found[0], index + found[1]) if found else (None, index)


def _is_in_order(tokens: Sequence[Token], first: int, last: int) -> bool:
    """ "ten mils in the second artery", "every second day": which of several, and no rate."""
    joined = last - first > 2 and tokens[first + 1].text in _JOINS_SECOND and tokens[last - 1].text == "second"
    return joined and last < len(tokens) and tokens[last].text not in PUNCTUATION | _BEHIND_RATE


def asked_unit(tokens: Sequence[Token], units: UnitForms) -> Unit | None:
    """The unit a question asks for, which a bare figure that answers is in: "how many minutes?", "how tight?",
    "percent?".
    """
    for index in range(len(tokens) - 2, 0, -1):
        graded = tokens[index].text in {"grade", "degree", "percentage"}
        if graded and tokens[index - 1].text in _NARROWED | ({"you", "we"} if "how" in _all(tokens) else set()):
            return units.get(("percent",))
        if tokens[index - 1].text != "how":
            continue
        if tokens[index].text in {"many", "much"}:
            return _unit_at(tokens, index + 1, units)[0]
        if tokens[index].text in _HOW_NARROW:
            return units.get(("percent",))
    return units.get(_texts(tokens, len(tokens) - 2, 1)) if 1 < len(tokens) <= _SHORT_QUESTION else None


def _all(tokens: Sequence[Token]) -> set[str]:
    return {token.text for token in tokens}


def _texts(tokens: Sequence[Token], index: int, length: int) -> tuple[str, ...]:
    return tuple(token.text for token in tokens[index : index + length])


def _quantity(
    tokens: Sequence[Token], first: int, last: int, value: float, unit: Unit | None, number: Number
) -> Quantity:
    flags = ("approximate",) if number.approximate else ()
    others = tuple(other[0] for other in number.alternatives if len(other) == 1)
    if number.form == "digits" and unit is not None and unit.quantity == "gauge":
        others += tuple(other[1] for other in number.alternatives if len(other) == 2 and other[0] == 1)
    if number.doubtful or number.form == "digits" or (number.alternatives and number.form in {"decimal", "spelled"}):
        flags = (*flags, "two-readings")
    times = unit.times if unit else 1.0
    return Quantity(
        round(value * times, 6),
        unit.code if unit else None,
        (tokens[first].word, tokens[last - 1].past),
        " ".join(token.text for token in tokens[first:last]),
        number.form,
        flags,
        others,
    )


def _shapes(tokens: Sequence[Token], singles: list[Figure], *, coils: bool = False) -> list[Figure]:
    figures: list[Figure] = []
    for figure in singles:
        before = figures[-1] if figures else None
        between = [t.text for t in tokens[before.last : figure.first] if t.text not in FILLERS] if before else []
        between = between[1:] if len(between) > 1 and between[0] in _EXACTLY else between  # "eight even at ten"
        if before and before.shape == figure.shape == "one" and _broken_off(between, before.parts[0], figure.parts[0]):
            figures[-1] = Figure(
                before.first, figure.last, "size", [before.parts[0], figure.parts[0]], "by", before.count
            )
            continue
        if before and figure.shape == "one" and between == ["by"] and _so_many_times(tokens, before):
            a, b = _mils(before.parts[1]), _mils(figure.parts[0])
            figures[-1] = Figure(before.first, figure.last, "size", [a, b], "by", before.parts[0].value)
            continue
        if before and before.shape == "one" and figure.shape == "one" and len(between) in {1, 2}:
            joint = between[0]
            a, b = before.parts[0], figure.parts[0]
            plain = len(between) == 1 or between[1] in {"a", "...", ",", "the"}
            if between in (["to"], ["-"]) and (grains := _grains(a, b)):
                figures[-1] = Figure(before.first, figure.last, "one", [grains])
                continue
            so_many = len(between) > 1 or _texts(tokens, figure.last, 1)[:1] in {(sign,) for sign in CROSS}
            if plain and (long := _long_of_wide(joint, a, b, coils and not so_many)):
                figures[-1] = Figure(before.first, figure.last, "size", long, "by", before.count)
                continue
            if plain and joint in CROSS:
                a, b = _mils(a), _mils(b)
            if plain and joint in CROSS and (wide := _and_a_half(figures, before)) is not None:
                figures.pop()
                figures[-1] = Figure(wide.first, figure.last, "size", [wide.parts[0], b], "by", wide.count)
                continue
            if plain and joint in CROSS and a.unit in {None, "mm", "cm"} and b.unit in {None, "mm", "cm"}:
                figures[-1] = Figure(before.first, figure.last, "size", [a, b], "by", before.count)
                continue
            if plain and joint == "by" and a.unit == "mm" and b.unit in BALLOON_PRESSURES:
                figures[-1] = Figure(
                    before.first, figure.last, "pair", [a, b], "at"
                )  # "8.3 millimetres by fourteen bar"
                continue
            if plain and joint == "on" and _on_length(a, b):
                figures[-1] = Figure(before.first, figure.last, "size", [a, b], "by", before.count)  # "five on forty"
                continue
            timed = figure.last < len(tokens) and tokens[figure.last].text in _CLOCK  # "four thousand at ten past"
            traded = between == ["for", "a"]  # "a six for a seven"
            if plain and joint in {"at", "for", "with"} and not (timed or traded) and _may_pair(joint, a, b):
                kept = joint == "for" and b.unit not in BALLOON_PRESSURES  # "in the table stands five for eight bar"
                figures[-1] = Figure(before.first, figure.last, "pair", [a, b], "for" if kept else "at")
                continue
        figures.append(figure)
    return figures


def _so_many_times(tokens: Sequence[Token], before: Figure) -> bool:
    """ "two times six by forty": how many, and then how wide."""
    few = before.parts[0].unit is None and before.parts[0].value in range(2, 7)
    return before.shape == "size" and few and any(token.text == "times" for token in tokens[before.first : before.last])


def _and_a_half(figures: Sequence[Figure], half: Figure) -> Figure | None:
    """ "thirteen five by fifty": a whole number and, right behind it, the tenths: of a width that is written 13.5."""
    whole = figures[-2] if len(figures) > 1 else None
    if whole is None or whole.shape != "one" or whole.last != half.first or whole.parts[0].unit is not None:
        return None
    wide, tenths = whole.parts[0], half.parts[0]
    fits = tenths.value == 5 and tenths.unit in {None, "mm"} and not wide.value % 1 and 10 <= wide.value < 40
    if not fits:
        return None
    words, heard = (wide.words[0], tenths.words[1]), f"{wide.heard} {tenths.heard}"
    read = wide.flagged("two-readings", value=wide.value + 0.5, words=words, heard=heard, alternatives=(tenths.value,))
    return replace(whole, last=half.last, parts=[read])


def _mils(quantity: Quantity) -> Quantity:
    """ "six mil by forty mil": of a size, no volume."""
    said = quantity.unit == "mL" and quantity.heard.split()[-1] in _MM
    return quantity.flagged(unit="mm") if said else quantity


def _broken_off(between: Sequence[str], a: Quantity, b: Quantity) -> bool:
    """ "five by, what have you got, forty": a width, and a length the speaker has to think or ask of first."""
    aside = set(between[2:])
    if between[:1] != ["by"] or between[1:2] not in (["..."], [","], ["-"]) or not 2 < len(between) <= _ASIDE:
        return False
    sizes = a.unit in {None, "mm"} and b.unit in {None, "mm"} and 0 < a.value <= _LARGEST_MM and _SHORTEST_MM <= b.value
    return sizes and bool(aside & _WONDERS) and not b.value % 1


def _long_of_wide(joint: str, a: Quantity, b: Quantity, coils: bool) -> list[Quantity]:
    """ "twenty centimetres of nine millimetre", "fifteen centimetres by six millimetres", of coils "fifteen of six": a
    length, then a width -> the width and the length; empty where it is none.
    """
    if a.unit == "cm" and b.unit == "mm" and joint in {"of", *CROSS} and 10 * a.value > b.value:
        return [b, a]
    bare = a.unit is b.unit is None and joint == "of" and coils
    if bare and a.value >= max(b.value, _LEAST_LONG_CM) and a.value <= _LONGEST_CM and not a.value % 1:
        return [b.flagged("unit-assumed", unit="mm"), a.flagged("unit-assumed", unit="cm")]
    return []


def _on_length(a: Quantity, b: Quantity) -> bool:
    """ "five on forty", "eight on twenty-seven": a width on a length."""
    if b.unit == "cm" and a.unit == "mm":
        return (
            a.value <= _LARGEST_MM and 10 * b.value >= _LEAST_LONG * a.value
        )  # "eight millimetres on four centimetres"
    units = a.unit in {None, "mm"} and b.unit in {None, "mm"}
    return units and a.value <= _LARGEST_MM and b.value >= max(_SHORTEST_MM, _LEAST_LONG * a.value) and not b.value % 1


def _grains(a: Quantity, b: Quantity) -> Quantity | None:
    """ "three hundred to five hundred micron", "five to seven hundred": a range of grains -> its lower end, with the
    upper one beside it; None for any other range.
    """
    micron = b.unit == "mm" and "micr" in b.heard
    value = a.value * 100 if a.value < 10 else a.value
    upper = b.value * 1000 if micron else b.value
    if a.unit is not None or not value < upper or (not micron and (b.unit or a.value >= 10 or upper % 100)):
        return None
    words, heard = (a.words[0], b.words[1]), f"{a.heard} to {b.heard}"
    if micron:
        return Quantity(round(value / 1000, 6), "mm", words, heard, b.form, ("approximate",), (b.value,))
    return Quantity(value, None, words, heard, b.form, ("approximate",), (upper,))


def _may_pair(joint: str, a: Quantity, b: Quantity) -> bool:
    """Volume at rate, rate for volume, or (charts) diameter at pressure."""
    if "/s" in {a.unit, b.unit} and (a.of_pictures or b.of_pictures):
        return False
    if joint == "with":
        return a.unit == "mL" and b.unit in {None, "mL/s", "/s"} and b.value <= a.value
    flow = a.unit in {None, "mL"} and b.unit in {None, "mL/s", "/s"}
    flow = flow or (joint == "at" and a.unit is None and b.unit == "mL" and b.value <= a.value)  # "five at two ml"
    chart = a.unit in {None, "mm"} and b.unit in ({None, *BALLOON_PRESSURES} if joint == "at" else BALLOON_PRESSURES)
    total = joint == "for" and a.unit in {None, "mL/s", "/s"} and b.unit in {None, "mL"}
    return flow or chart or total


def corrected(tokens: Sequence[Token], figures: list[Figure], spans: Mapping[int, tuple[str, int]]) -> list[Figure]:
    """Figures with slips put right. ``spans``: token index -> (name of a steering phrase, its end)."""
    starts, texts = {figure.first for figure in figures}, [token.text for token in tokens]
    struck = {end for name, end in spans.values() if name == "denial"}
    kept: list[Figure] = []
    for figure in figures:
        if not kept:
            kept.append(figure)
            continue
        before = kept[-1]
        how = _steered(tokens, before.last, figure, spans, before.shape == figure.shape != "one")
        how = how or ("correction" if _refined(tokens, before, figure) else "")
        if how == "correction" and not _comparable(before, figure):
            between = {token.text for token in tokens[before.last : figure.first]}
            how = "" if "not" in between else how  # "a hundred seconds. Well, that's not three minutes"
        if how and is_vital(texts, (figure.first, figure.last)):
            how = ""
        if how == "correction" and (fixed := _replaced(before, figure)):
            kept[-1] = replace(fixed, first=before.first, last=before.last) if _named(tokens, before, figure) else fixed
        elif not how and _doubted(tokens, before, figure) and (fixed := _replaced(before, figure)):
            old = before.parts[0].value
            fixed.parts = [fixed.parts[0].flagged("two-readings", alternatives=(old,))]
            kept[-1] = fixed
        elif how == "denial" and _comparable(before, figure):
            before.denied += (figure.parts[-1],)
        elif how == "echo" and _echoes(before, figure):
            continue
        elif (
            before.first in struck
            and before.shape == figure.shape
            and _comparable(before, figure)
            and all(token.text in PUNCTUATION or token.text in _COPULA for token in tokens[before.last : figure.first])
        ):
            kept[-1] = replace(figure, denied=(before.parts[-1],))  # "not ten, nine"
        elif (
            how == "echo"
            and _alike(before, figure)
            and _put_right_after(tokens, figure.last, spans, starts)
            and (fixed := _replaced(before, figure))
        ):
            kept[-1] = fixed
        else:
            kept.append(figure)
    return kept


def _named(tokens: Sequence[Token], before: Figure, after: Figure) -> bool:
    """ "six French sheath is in, sorry, seven": whether the old figure stands with what it is of, the new one not."""
    measured = before.parts[-1].unit is not None or before.shape == "size"
    return measured and before.shape == after.shape and not _ends(tokens, before) and _ends(tokens, after)


def _refined(tokens: Sequence[Token], before: Figure, after: Figure) -> bool:
    """ "two centimetres... a little more, two and a half", "ten, or a touch less, nine centimetres": a size or a share
    told more exactly at once.
    """
    if before.shape != "one" or after.shape != "one" or not _comparable(before, after) or not _alike(before, after):
        return False
    old, new = before.parts[0], after.parts[0]
    between = [token.text for token in tokens[before.last : after.first] if token.text not in PUNCTUATION]
    if (old.unit or new.unit) not in _REFINED or not 1 < len(between) <= 5 or not _LITTLE & {*between}:
        return False
    return between[-1] in ("more" if new.value > old.value else "less", "over" if new.value > old.value else "under")


def _doubted(tokens: Sequence[Token], before: Figure, after: Figure) -> bool:
    """ "nineteen centimetres... no, that was the other one, twenty-three": a no right after a figure, why, and another
    figure of its kind that counts nothing. Likely put right, but for sure it is not.
    """
    between = [token.text for token in tokens[before.last : after.first]]
    words = [text for text in between if text not in PUNCTUATION]
    if before.shape != "one" or after.shape != "one" or not 2 < len(words) <= _LONGEST_WHY or words[0] not in _NOS:
        return False
    between = between[:-1] if between[-1] in {"the", "a"} else between
    marked = between[0] in PUNCTUATION and between[-1] in PUNCTUATION and not _ENDINGS & set(between)
    return (
        _ends(tokens, after)
        and marked
        and words[1] in _WHYS
        and _comparable(before, after)
        and (before.parts[0].unit is not None or after.parts[0].unit in {"[Ch]", "cm"} or _wires(before, after))
    )


def _wires(before: Figure, after: Figure) -> bool:
    """Whether both are the sizes of wires: "oh one four, no, that's for the heart, oh one eight"."""
    return before.parts[0].form == after.parts[0].form == "leading-zero"


def _ends(tokens: Sequence[Token], figure: Figure) -> bool:
    """Whether a figure counts nothing that follows it."""
    return figure.last >= len(tokens) or tokens[figure.last].text in PUNCTUATION | {"only", "it", "then"}


def _steered(
    tokens: Sequence[Token], first: int, figure: Figure, spans: Mapping[int, tuple[str, int]], shaped: bool
) -> str:
    """What stands between two figures: correction, denial, echo (a comma), pause, or nothing that joins them."""
    last, part = figure.first, figure.parts[0]
    counts = part.unit is None and figure.shape == "one" and not _ends(tokens, figure)
    how, index, seen_mark = "", first, False
    strong = next(
        (
            at
            for at in range(first, last)
            if at in spans and spans[at][0] == "correction" and tokens[at].text not in _WEAK
        ),
        None,
    )
    if strong is not None and last - first <= 14:
        index = strong
        if any(tokens[at].text in _ENDINGS for at in range(first, strong) if at > first or tokens[at].text != "?"):
            return ""
    elif all(token.text in PUNCTUATION for token in tokens[first:last]) and any(
        token.text == "-" for token in tokens[first:last]
    ):
        return "correction"  # two speakers: the later one puts it right
    elif last - first > 10:
        return ""
    loose = (
        2 if shaped else 0
    )  # "thirty at ten… no, reduce, twenty-four at eight", "four by six coil, no, four by eight"
    while index < last:
        text = tokens[index].text
        if index in spans and spans[index][0] in {"correction", "denial"}:
            name, index = spans[index]
            how = "correction" if "correction" in (name, how) else name
            index = index if counts else _past_excuse(tokens, index, last)
            continue
        if text in PUNCTUATION:
            seen_mark = True
            if text in {".", "?", "!"} and not how and index + 1 < last:
                return ""
        elif how and (text in _DIALS or (index + 1 < last and tokens[index + 1].text in _DIALS)):
            pass  # "sorry, the gauge says", "sorry, Olga says"
        elif text not in _BETWEEN:
            loose -= 1
            if loose < 0 or not (how or index == first):
                return ""
        index += 1
    if how:
        return how
    return "echo" if seen_mark and all(t.text in PUNCTUATION for t in tokens[first:last]) else ""


def _past_excuse(tokens: Sequence[Token], index: int, last: int) -> int:
    """ "no, I speak badly, nine", "sorry, my eyes, thirteen": where the few words of excuse between marks end."""
    marked = tokens[index - 1].text in PUNCTUATION  # "no," may be the word that puts right, mark and all
    if index + 1 >= last or not (marked or tokens[index].text in PUNCTUATION | {"no"}):
        return index
    begin = index + (not marked)
    for end in range(begin, min(begin + _LONGEST_EXCUSE + 1, last)):
        if tokens[end].text in PUNCTUATION - _ENDINGS:
            return end if end > begin and tokens[begin].text in _EXCUSES else index
        if tokens[end].text in PUNCTUATION:
            break
    return index


def _put_right_after(
    tokens: Sequence[Token], index: int, spans: Mapping[int, tuple[str, int]], starts: set[int]
) -> bool:
    """ "ten by forty… ten by sixty, sorry": the word that puts right comes after, and no other figure follows it."""
    for skip in (0, 1):
        name, end = spans.get(index + skip, ("", 0))
        if name == "correction":
            past = _past_excuse(tokens, end, len(tokens))
            return not any(start in starts for start in range(past, past + (4 if past == end else 6)))
    return False


def _comparable(before: Figure, after: Figure) -> bool:
    a, b = before.parts[-1], after.parts[-1]
    return a.unit is None or b.unit is None or a.unit == b.unit


def _like_in_other_units(before: Figure, after: Figure) -> bool:
    """ "one minute, no, ninety seconds": as much or little of the same, in the other unit people say it in."""
    a, b = before.parts[-1], after.parts[-1]
    if a.unit is None or b.unit is None or not any({a.unit, b.unit} <= alike for alike in _SAID_EITHER_WAY):
        return False
    return _of_like_size(a.value, convert(b.value, b.unit, a.unit))


def _alike(before: Figure, after: Figure) -> bool:
    """Whether the later figure is of like size: "five French, forty-five, no" puts no gauge right."""
    return _of_like_size(before.parts[-1].value, after.parts[-1].value)


def _of_like_size(a: float, b: float) -> bool:
    return a / 3 <= b <= 3 * a


def _agree(before: Figure, after: Figure) -> bool:
    return before.shape == after.shape and all(
        (a.value, a.unit) == (b.value, b.unit) for a, b in zip(before.parts, after.parts, strict=True)
    )


def _echoes(before: Figure, after: Figure) -> bool:
    """ "fifteen, one five": the same figure again, digit by digit."""
    a, b = before.parts[-1], after.parts[0]
    if after.shape != "one" or b.form not in {"digits", "spelled"}:
        return False
    return b.value == a.value or a.value in b.alternatives


def _in_its_place(old: Quantity, new: Quantity, times: float) -> Quantity:
    """The later figure, in the unit of the earlier where it names none: "five hundred micron, no, four hundred"."""
    words = (min(old.words[0], new.words[0]), new.words[1])
    if new.unit is None and old.unit is not None and times < 1:
        others = tuple(round(other * times, 6) for other in new.alternatives)
        new = replace(new, value=round(new.value * times, 6), alternatives=others)
    heard = f"{old.heard} {new.heard}" if old.of_pictures else new.heard  # "two frames, sorry, three a second"
    return new.flagged("corrected", unit=new.unit or old.unit, words=words, heard=heard)


def _replaced(before: Figure, after: Figure) -> Figure | None:
    """The figure that stands after a correction: the later value, in the earlier shape and unit where it names none.
    None where nothing is put right: of another unit, or the same figure ("a nine French… well, a nine French it is").
    """
    comparable = _comparable(before, after) or _like_in_other_units(before, after)
    if not comparable or _agree(before, after):
        return None
    words = (before.parts[0].words[0], after.parts[-1].words[1])
    if before.shape == after.shape == "one" and _other_size(before.parts[0], after.parts[0]):
        return None
    if before.shape == after.shape:
        parts = [_in_its_place(old, new, before.times) for old, new in zip(before.parts, after.parts, strict=True)]
        joint, times = after.joint or before.joint, after.times if after.parts[0].unit else before.times
        return Figure(after.first, after.last, after.shape, parts, joint, before.count, times=times)
    if before.shape == "pair" and after.shape == "one" and after.parts[0].unit in {"mL", "mL/s"}:
        return _in_pair(before, after.parts[0])
    if after.shape == "one" and before.shape == "size":
        return _in_size(before, after.parts[0])
    if after.shape == "one" and before.shape == "pair" and not after.parts[0].of_pictures:
        old, new = before.parts[-1], after.parts[0]
        last = new.flagged("corrected", unit=new.unit or old.unit, words=(old.words[0], new.words[1]))
        return Figure(before.first, before.last, before.shape, [before.parts[0], last], before.joint, before.count)
    if before.shape == "one" and after.shape in {"size", "pair"} and not before.parts[0].of_pictures:
        return Figure(
            after.first,
            after.last,
            after.shape,
            [part.flagged("corrected", words=words) for part in after.parts],
            after.joint,
        )
    return None


def _other_size(old: Quantity, new: Quantity) -> bool:
    """ "ninety centimetre sheath, and make it a six": no length is put right by a number so much less."""
    return old.unit == "cm" and new.unit is None and old.value >= _LONG_CM and new.value <= old.value / _MUCH_LESS


def _in_size(before: Figure, new: Quantity) -> Figure:
    """ "six by forty, make it eighty", "… make it seven": the width or the length, whichever it is more like; where it
    is like both, it can be read either way.
    """
    apart = [abs(math.log(new.value / part.value)) if new.value and part.value else 0.0 for part in before.parts]
    at = min((1, 0), key=lambda at: apart[at])
    old, doubt = before.parts[at], ("two-readings",) if abs(apart[0] - apart[1]) < _EITHER else ()
    parts = list(before.parts)
    words = (min(part.words[0] for part in before.parts), new.words[1])
    words = (old.words[0], new.words[1]) if at else words
    parts[at] = new.flagged("corrected", *doubt, unit=new.unit or old.unit, words=words)
    return Figure(before.first, before.last, before.shape, parts, before.joint, before.count)


def _in_pair(before: Figure, new: Quantity) -> Figure | None:
    """ "fifteen at eight, sorry, twelve mils": the volume or the rate of a pair put right, told by its unit; None where
    it only says again what one of the two is.
    """
    large = max(range(2), key=lambda at: before.parts[at].value) if before.joint == "for" else 0
    at = large if new.unit == "mL" else 1 - large
    old = before.parts[at]
    if old.value == new.value or old.unit not in {None, new.unit}:
        return None
    parts = list(before.parts)
    parts[at] = new.flagged("corrected", words=(min(old.words[0], new.words[0]), new.words[1]))
    return replace(before, parts=parts)


def without_paces(tokens: Sequence[Token], figures: Sequence[Figure]) -> list[Figure]:
    """Figures in order -> those that do not tell how fast a balloon goes up: "one atmosphere every five seconds"."""
    told: set[int] = set()
    for one, other in pairwise(figures):
        pressure, time = one.parts[0], other.parts[0]
        if one.shape != "one" or pressure.unit not in BALLOON_PRESSURES or time.unit not in {"s", "min"}:
            continue
        between = _texts(tokens, one.last, other.first - one.last)
        # "six atmospheres a minute" may be for a minute.
        slow = not between and tokens[other.first].text in {"a", "an"} and pressure.value <= _SLOW
        if slow or between in {("every",), ("per",), ("each",)}:
            told |= {one.first, other.first}
    return [figure for figure in figures if figure.first not in told]
