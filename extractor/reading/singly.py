"""Figures said one digit at a time, with a breath between: "two, zero bar", "one, three comma seven minutes".

The same words also count up or list: "eight, nine", "one, two, three". A zero after a digit counts nothing and makes
one figure of them; so does the habit of a speaker who elsewhere says zeros that way. What stays undecided is doubtful,
with the other reading beside it. Common practice, no source.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from extractor.lexicon import Unit
from extractor.reading.numbers import DIGITS, ZEROS, Number
from extractor.reading.tokens import Token
from extractor.sizes import WIRE_MILS
from extractor.units import find_unit

#: No figure of the trade has more digits.
_MOST = 4
#: Quantities of which nobody lists two that fall, "eight, five percent": of sheaths and balloons people do.
_ONE_OF = {"pressure", "volume", "mass", "time", "fraction", "air-kerma", "dose-area", "activity"}
#: Right before a bare figure: it is said of something, and counts nothing.
_SAID_OF = {"is", "was", "'s", "to", "at", "by", "of", "says", "reads", "makes", "be", "not"}


#: No balloon is taken higher: common practice, no source.
_HIGHEST = {"atm": 40, "bar": 40}


class UnitForms(dict[tuple[str, ...], Unit]):
    """Every spoken form of a unit, as tokens. The longest has so many."""

    def __init__(self, forms: Iterable[tuple[tuple[str, ...], Unit]]) -> None:
        super().__init__(forms)
        self.longest = max(map(len, self), default=0)


def says_singly(tokens: Sequence[Token], units: UnitForms) -> bool:
    """Whether a speaker plainly says figures digit by digit somewhere: "six, zero percent", "six, two, five
    milligray". Linear.
    """
    return any(
        tokens[index + 1].text == ","
        and _digit(tokens[index].text)
        and not (index > 1 and tokens[index - 1].text == "," and _digit(tokens[index - 2].text))
        and _plainly(tokens, index, units)
        for index in range(len(tokens) - 3)
    )


def _plainly(tokens: Sequence[Token], index: int, units: UnitForms) -> bool:
    """Whether the digit here begins what can be no list: a zero follows, or digits that rise and fall, and a unit."""
    second = tokens[index + 2].text
    if second in ZEROS | {"0"}:
        return _unit(tokens, index + 3, units) is not None
    third = tokens[index + 4].text if index + 5 < len(tokens) and tokens[index + 3].text == "," else ""
    if not (_digit(second) and _digit(third)):
        return False
    a, b, c = (DIGITS.get(text) or int(text) for text in (tokens[index].text, second, third))
    return (b - a) * (c - b) < 0 and _unit(tokens, index + 5, units) is not None


def join_digits(tokens: Sequence[Token], numbers: Sequence[Number], units: UnitForms, habit: bool) -> list[Number]:
    """Numbers of a sentence -> the same, with digits said singly made one number. ``habit``: what ``says_singly``
    told of the speaker.
    """
    out: list[Number] = []
    at = 0
    while at < len(numbers):
        run = _run(tokens, numbers, at)
        unit = _unit(tokens, run[-1].last, units) if len(run) > 1 else None
        echoed = out[-1].value if out and len(run) > 1 and out[-1].last + 1 == run[0].first else None
        out += _read(tokens, run, unit, habit, echoed) if len(run) > 1 else run
        at += len(run)
    return out


def _digit(text: str) -> bool:
    return text in DIGITS or (len(text) == 1 and text.isdecimal())


def _unit(tokens: Sequence[Token], index: int, units: UnitForms) -> Unit | None:
    texts = tuple(token.text for token in tokens[index : index + units.longest])
    found = find_unit(texts, 0, units, units.longest)
    return found[0] if found else None


def _run(tokens: Sequence[Token], numbers: Sequence[Number], at: int) -> list[Number]:
    """The numbers from ``at`` on that are single digits with a comma between; the last may have decimals."""
    run = [numbers[at]]
    while len(run) <= _MOST and at + len(run) < len(numbers) and _is_single(tokens, run[-1]):
        following = numbers[at + len(run)]
        if following.first != run[-1].last + 1 or tokens[run[-1].last].text != ",":
            break
        if not _is_single(tokens, following) and not _has_decimals(tokens, following):
            break
        run.append(following)
    return run if _is_single(tokens, run[0]) else run[:1]


def _is_single(tokens: Sequence[Token], number: Number) -> bool:
    text = tokens[number.first].text
    return number.last == number.first + 1 and (_digit(text) or text in ZEROS) and not number.approximate


def _has_decimals(tokens: Sequence[Token], number: Number) -> bool:
    return number.form == "decimal" and 1 <= number.value < 10 and _digit(tokens[number.first].text)


def _read(
    tokens: Sequence[Token], run: Sequence[Number], unit: Unit | None, habit: bool, echoed: float | None
) -> list[Number]:
    """Digits in a row -> the number they make, or themselves."""
    whole = [int(number.value) for number in run]
    first, last = run[0].first, run[-1].last
    if whole[0] == 0:
        mils = 10 * whole[1] + whole[2] if len(run) == 3 else 0
        return [Number(mils / 1000, first, last, "leading-zero")] if mils in WIRE_MILS else list(run)
    value = float("".join(str(digit) for digit in whole)) + round(run[-1].value - whole[-1], 6)
    sure = Number(value, first, last, "spelled")
    doubtful = replace(sure, alternatives=((run[-1].value,),), doubtful=True)
    apart = [*run[:-1], replace(run[-1], alternatives=((value,),), doubtful=True)]
    steps = [high - low for low, high in pairwise(whole)]
    if unit and steps in ([-1], [-2], [-3]) and _HIGHEST.get(unit.code, value) < value:
        return list(run)  # "with the nine, eight atmospheres"
    if value == echoed:
        return [sure]
    if len(run) > 2 and set(steps) == {-1} and (unit is None or unit.quantity == "time"):
        return list(run)  # counted down
    if 0 in whole and unit:
        return [sure]
    if 0 in whole:
        return [sure if habit else doubtful]
    if _has_decimals(tokens, run[-1]):
        return [sure if habit else doubtful] if unit else list(run)
    if unit and unit.quantity == "time" and whole[-1] == 1 and not tokens[last].text.endswith("s"):
        return list(run)  # "nine, one minute": ninety-one are minutes
    rising = min(steps) > 0
    if not unit:
        if len(run) > 2 and min(steps) < 0 < max(steps) and not habit:
            return apart  # "six, two, five": counts nothing
        before = tokens[first - 1].text if first else ""
        return [doubtful] if habit and (not rising or (before in _SAID_OF and len(run) == 2)) else list(run)
    if habit:
        if not rising:
            return [sure]
        return apart if len(run) > 2 and unit.quantity == "pressure" else [doubtful]
    if unit.quantity not in _ONE_OF or max(steps) > 0:
        mixed = len(run) > 2 and min(steps) < 0 and unit.quantity in _ONE_OF
        return [doubtful] if mixed else list(run)
    timed = unit.quantity == "time" and not habit and len(run) == 2  # "up to eight, five seconds"
    return apart if 0 in steps or timed else [doubtful]
