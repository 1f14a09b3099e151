"""Tokens -> the numbers said in them, with every other reading kept.

What the ear cannot settle is not settled here: "one five" after "fifteen" is 15, before "by forty" it is 1.5, and in
"four six eight" a pressure goes up. A ``Number`` covers the tokens of one spoken number, carries the likeliest value,
its ``form`` (how it was said) and ``alternatives``: other readings of exactly these tokens. Nothing is read across
punctuation. Rules are common practice, no source, unless a line says otherwise; wire sizes are thousandths of an inch.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from extractor.reading.tokens import PUNCTUATION, Token
from extractor.sizes import WIRE_MILS

Form = Literal[
    "cardinal",  # fourteen, one hundred and twenty, one eighty, 5000
    "decimal",  # two point five, two comma five, 2.5
    "fraction",  # two and a half, half a, three quarters, ½
    "bare-fraction",  # half, a half, a quarter with nothing said to be halved: a number only beside a unit
    "leading-zero",  # oh one eight, 0-1-8, 018: thousandths of an inch
    "spelled",  # five-zero, eight oh, one-five: digit by digit, plainly
    "digits",  # one five, three two five: digits in a row, no sign of what joins them
    "counting",  # six eight ten: numbers going up or down in even steps
    "year",  # twenty nineteen, nineteen forty
    "clock",  # ten fourteen, eleven oh five: two numbers, each marked
    "pronoun",  # that one, one of them: not a quantity
    "label",  # L5, T2: a digit glued to letters
]


@dataclass(frozen=True, slots=True)
class Number:
    """A number in ``tokens[first:last]``. Each alternative is another reading of exactly these tokens: one value, or
    several that follow one another ("eight twelve" is 812, or 8 and then 12). ``approximate``: "about", "a couple of".
    ``doubtful``: the alternative is about as likely.
    """

    value: float
    first: int
    last: int
    form: Form = "cardinal"
    approximate: bool = False
    alternatives: tuple[tuple[float, ...], ...] = ()
    doubtful: bool = False

    def split(self, values: tuple[float, ...]) -> list["Number"]:
        """An alternative of several values -> its numbers. All but the last were said in one token each."""
        edges = [*range(self.first, self.first + len(values)), self.last]
        spans = zip(values, edges, edges[1:], strict=False)
        return [replace(self, value=value, first=a, last=b, alternatives=()) for value, a, b in spans]


DIGITS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9}
ZEROS = {"zero", "oh", "o", "nought", "naught", "null"}
INTERJECTIONS = {"oh", "o"}  # zero only in the company of digits
TEENS = {
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
    "ninety": 90,
}  # fmt: skip
HUNDREDS = {"hundred": 100}
SCALES = {
    "thousand": 10**3, "lakh": 10**5, "lakhs": 10**5, "million": 10**6, "crore": 10**7, "crores": 10**7,
    "billion": 10**9, "trillion": 10**12,
}  # fmt: skip
DOZENS = {"dozen": 12, "dozens": 12}
#: Plural tens are numbers only after a cross: "eight by twenties".
PLURALS = {"twenties": 20, "thirties": 30, "forties": 40, "fifties": 50, "sixties": 60, "eighties": 80, "nineties": 90}
CROSSES = {"by", "x"}
#: Part of a whole -> (how many, of how many), alone and after "one", "two", "three", …
PARTS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4, "fourths": 4,
    "fifth": 5, "fifths": 5, "sixth": 6, "sixths": 6, "eighth": 8, "eighths": 8, "tenth": 10, "tenths": 10,
}  # fmt: skip
#: Parts that mean a fraction without a number before them; "a third" is as often the third one.
PLAIN_PARTS = {"half", "quarter"}
#: After tens these make a date or a rank; "second" is as often a unit.
ORDINALS = {"first", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"}
ABOUT = {
    "about", "around", "roughly", "approximately", "approx", "nearly", "almost", "circa", "some", "maybe",
    "say", "approaching",
}  # fmt: skip

#: Directly before "one": it stands for a thing, not a quantity.
STANDS_FOR = {
    "the", "old", "new", "long", "longer", "short", "shorter", "big", "bigger", "small", "smaller", "little", "larger",
    "stiff", "stiffer", "soft", "plain", "skinny", "fat", "fatter", "straight", "angled", "coated", "tight", "spare",
    "wide", "wider", "narrow", "narrower", "thick", "thin", "loose", "curved", "sharp", "blunt",
    "left", "right", "lower", "upper", "top", "bottom", "front", "back", "middle", "distal", "proximal", "last", "next",
    "first", "second", "third", "fourth", "fifth", "sixth", "same", "only", "final", "good", "bad", "nice", "lovely",
    "wrong", "different", "usual", "some", "any",
}  # fmt: skip
#: So it does directly after one of these when nothing counted follows: "we're not putting one in", "we don't need one".
HANDLED = {
    "put", "putting", "need", "needs", "want", "wanted", "use", "used", "using", "have", "had", "got", "get", "getting",
    "leave", "leaving", "left", "place", "placed", "placing", "deploy", "deployed", "deploying", "without", "like",
    "such",
}  # fmt: skip
#: So does "the venous one", with up to three words between.
ARTICLES = {"the", "a", "an", "his", "her", "my", "our", "your", "their"}
LINKS = {"in", "by", "of", "with", "to", "for", "at", "on", "from", "and", "or", "is", "was", "than", "over", "into"}
#: After "one" in that case.
GOES_ON = {
    "'s", "is", "was", "and", "at", "for", "in", "up", "down", "out", "there", "that", "on", "to", "then", "now", "too",
    "please", "gets", "stays", "goes", "first", "off", "here", "with", "but", "which", "so", "has", "had", "will",
}  # fmt: skip
#: "one of these"; "one of midazolam" is a dose.
OF_MANY = {"the", "these", "those", "them", "us", "our", "my", "his", "her", "your", "their", "whom", "which"}
#: First word of what can be measured: before it "one" is always a quantity.
MEASURES = {
    "percent", "per", "%", "mil", "mils", "ml", "mls", "cc", "millilitre", "milliliter", "litre", "liter", "milligram",
    "milligramme", "mg", "gram", "gramme", "microgram", "mcg", "minute", "min", "second", "sec", "hour", "millimetre",
    "millimeter", "mm", "centimetre", "centimeter", "cm", "atmosphere", "atm", "bar", "french", "inch", "unit", "frame",
    "gray", "milligray", "more", "full",
}  # fmt: skip
#: These leave no doubt, even when a digit follows: "that one five French" is that one, and 5.
_SECONDS = frozenset({"seconds", "secs"})
#: Behind a figure: how far up a balloon is, or for how long.
_OF_BALLOONS = frozenset("bar bars atm atmosphere atmospheres second seconds minute minutes".split())
#: Parts of a millimetre that balloons and stents come in.
_QUARTERS = {"25", "50", "75"}
ONE_OF_SEVERAL = {"second", "third", "fourth", "next", "last", "bigger", "larger", "longer", "smaller", "shorter"}
POINTS_AT = {"that", "this", "which", "other", "another", "each", "every", "no"}

#: Before "point": a place or a moment, not a decimal mark ("at this point two of them").
POINTED = {
    "this", "that", "the", "which", "what", "some", "any", "every", "each", "a", "starting", "entry", "puncture",
    "access", "exit", "turning", "high", "low", "bleeding", "same", "no", "to", "trigger",
}  # fmt: skip

#: Between "point" and its digits these are a breath.
HESITATIONS = {"...", "em", "erm", "er", "um", "uh"}

#: Before an hour of the day, and what is measured in hundreds.
_OF_HOURS = {
    "at",
    "since",
    "until",
    "till",
    "by",
    "from",
    "before",
    "after",
    "around",
    "about",
    "is",
    "'s",
    "time",
    "for",
}
_IN_HUNDREDS = {"milligray", "unit", "milligram", "microgram"}

#: What has a size in thousandths of an inch, and how many tokens before the size it is said.
WIRES = {"wire", "guidewire", "guide", "microwire", "hydrophilic", "stiff", "wires", "guides", "guidewires"}
_NEAR_WIRE = 6
#: Before the size, also what only wires are called by: "a soft one, oh fourteen".
_LIKE_WIRES = WIRES | {"soft", "floppy", "slippery", "slick", "polymer"}

#: The words of numbers.
NUMBER_WORDS = ZEROS | DIGITS.keys() | TEENS.keys() | TENS.keys() | HUNDREDS.keys() | SCALES.keys() | DOZENS.keys()
#: Before "comma" and frames: as many or more are no frames in whole and a part. Common practice, no source.
_FEWEST_WHOLE, _PICTURES = 8, frozenset("frame frames image images picture pictures".split())
#: Every token a number may begin with, written numbers apart.
_STARTS = NUMBER_WORDS | PLAIN_PARTS | {"a", "an", "point", "couple", "comma"} | PLURALS.keys()


@dataclass(frozen=True, slots=True)
class _Group:
    """A small number said in one breath: ``kind`` D digit, Z zero, T ten to nineteen, Y tens, C with hundred or more,
    W written."""

    kind: str
    value: float
    first: int
    last: int
    joined: bool
    loose: tuple[float, ...] = ()  # other reading: "twenty five" not hyphenated may be 20 and 5
    written: bool = False


def read_numbers(tokens: Sequence[Token]) -> list[Number]:
    """Tokens -> numbers in order, none overlapping. Linear."""
    numbers: list[Number] = []
    i, count = 0, len(tokens)
    while i < count:
        text = tokens[i].text
        if text in _STARTS or _is_written(text):
            found, i = _read_at(tokens, i)
            numbers += found
        else:
            i += 1
    return numbers


def read_digits(tokens: Sequence[Token]) -> str:
    """A plain string of digits -> its digits: "one zero zero nine" is 1009, "double five" is 55.

    Tens and teens in between are written out ("eight ninety seven" is 897), as people say house and phone numbers;
    other words are skipped.
    """
    digits, times, i = "", 1, 0
    while i < len(tokens):
        text = tokens[i].text
        piece, last = "", i + 1
        if text in ZEROS and not (text == "o" and _is_letter(tokens, i)):
            piece = "0"
        elif text.isdecimal():
            piece = text
        elif group := _cardinal(tokens, i):
            piece, last = f"{group.value:.0f}", group.last
        digits += piece * times
        times = {"double": 2, "triple": 3}.get(text, 1)
        i = last
    return digits


def _is_letter(tokens: Sequence[Token], i: int) -> bool:
    """Whether an "o" is a letter: after a spelled letter ("h w o sixty"), or with no digit beside it."""
    first = i
    while _text(tokens, first - 1) == "o":
        first -= 1
    before, after = _text(tokens, first - 1), _text(tokens, i + 1)
    if len(before) == 1 and before.isalpha():
        return True
    return not any(text in NUMBER_WORDS or text.isdecimal() for text in (before, after))


# One stretch of number words -------------------------------------------------------------------------------------


def _read_at(tokens: Sequence[Token], i: int) -> tuple[list[Number], int]:
    """The numbers of the stretch that begins at token i, and where reading goes on (past i at least)."""
    if fraction := _part(tokens, i):
        return [_about(tokens, fraction)], fraction.last
    if tokens[i].text in {"point", "comma"}:
        decimal = _leading_point(tokens, i) if tokens[i].text == "point" else _leading_comma(tokens, i)
        return ([_about(tokens, decimal)], decimal.last) if decimal else ([], i + 1)
    if tokens[i].text == "couple":
        return _couple(tokens, i)
    groups = _groups(tokens, i)
    if not groups:
        return [], i + 1
    numbers = _assemble(tokens, groups)
    past = groups[-1].last
    if numbers and numbers[-1].last == past:
        numbers[-1] = _with_tail(tokens, numbers[-1])
        past = numbers[-1].last
        if len(numbers) > 1 and tokens[numbers[-1].last - 2].text == "/":
            _mix(tokens, numbers)
    return [_about(tokens, number) for number in numbers], past


def _groups(tokens: Sequence[Token], i: int) -> list[_Group]:
    """Every group from token i on that follows the one before directly."""
    groups: list[_Group] = []
    while i < len(tokens) and (group := _group(tokens, i)):
        groups.append(group)
        i = group.last
    return groups


def _group(tokens: Sequence[Token], i: int) -> _Group | None:
    token = tokens[i]
    text = token.text
    if _is_written(text):
        return _written(tokens, i)
    if text in ZEROS:
        return _Group("Z", 0, i, i + 1, token.joined)
    if text in PLURALS:
        crossed = i and tokens[i - 1].text in CROSSES
        return _Group("Y", float(PLURALS[text]), i, i + 1, token.joined) if crossed else None
    return _cardinal(tokens, i)


def _written(tokens: Sequence[Token], i: int) -> _Group:
    """A written number, with the hundreds or thousands spoken after it; one digit counts as a digit."""
    text, joined = tokens[i].text, tokens[i].joined
    following = _text(tokens, i + 1)
    if text.isdecimal() and not joined:
        scaled = _scaled(tokens, i, int(text), i + 1)
        if scaled.last > i + 1:
            return scaled
    elif following in SCALES:
        return _Group("C", round(float(text) * SCALES[following], 9), i, i + 2, joined)
    kind = "W" if len(text) > 1 else "Z" if text == "0" else "D"
    return _Group(kind, float(text), i, i + 1, joined, written=True)


# Cardinals -------------------------------------------------------------------------------------------------------


def _cardinal(tokens: Sequence[Token], i: int) -> _Group | None:
    """ "fourteen", "twenty-five", "a hundred and fifty", "five thousand two hundred" -> one group."""
    text = tokens[i].text
    if text in {"a", "an"}:
        scale = _text(tokens, i + 1)
        if scale in HUNDREDS or scale in SCALES or scale in DOZENS:
            return _scaled(tokens, i, 1, i + 1)
        return None
    if text in HUNDREDS or text in SCALES or text == "dozen":
        return _scaled(tokens, i, 1, i)
    small = _below_hundred(tokens, i)
    return _scaled(tokens, i, int(small.value), small.last, small) if small else None


def _below_hundred(tokens: Sequence[Token], i: int) -> _Group | None:
    if i >= len(tokens):
        return None
    text, joined = tokens[i].text, tokens[i].joined
    if text in DIGITS:
        return _Group("D", float(DIGITS[text]), i, i + 1, joined)
    if text in TEENS:
        return _Group("T", float(TEENS[text]), i, i + 1, joined)
    if text not in TENS:
        return None
    tens = float(TENS[text])
    following = _text(tokens, i + 1)
    if following in ORDINALS and (tokens[i + 1].joined or _text(tokens, i - 1) in {"the", "on"}):
        return None  # "the twenty-first"; "thirty second" is half a minute
    if following not in DIGITS:
        return _Group("Y", tens, i, i + 1, joined)
    digit = float(DIGITS[following])
    tied = tokens[i + 1].joined
    loose = () if tied else (tens, digit)
    return _Group("Y", tens + digit, i, i + 2, joined, loose)


def _scaled(tokens: Sequence[Token], first: int, value: int, i: int, small: _Group | None = None) -> _Group:
    """What follows a small number: hundreds, scales, dozens and the smaller rest."""
    joined = tokens[first].joined
    total, current, limit = 0, value, 10**15
    loose: tuple[float, ...] = small.loose if small else ()
    scaled = False
    while True:
        text = _text(tokens, i)
        if (text in HUNDREDS or (text == "hundreds" and small)) and current < 100:  # "put the nine hundreds back"
            current, i, scaled, loose = current * 100, i + 1, True, ()
            rest = _rest(tokens, i)
            if rest:
                before = float(total + current)
                loose = () if _text(tokens, i) == "and" else (before, rest.value)
                current, i = current + int(rest.value), rest.last
        elif text in SCALES and current < 1000 <= SCALES[text] < limit:
            limit = SCALES[text]
            total, current, i, scaled, loose = total + current * limit, 0, i + 1, True, ()
            rest = _rest(tokens, i)
            if not rest:
                break
            after = _text(tokens, rest.last)
            if after in SCALES and SCALES[after] >= limit:
                break
            if after not in HUNDREDS and after not in SCALES and _text(tokens, i) != "and":
                loose = (float(total), rest.value)
            current, i = int(rest.value), rest.last
        elif text in DOZENS and not scaled:
            current, i, scaled, loose = current * 12, i + 1, True, ()
        else:
            break
    if not scaled and small:
        return small
    return _Group("C", float(total + current), first, i, joined, loose)


def _rest(tokens: Sequence[Token], i: int) -> _Group | None:
    """The smaller number after hundred or thousand, where it belongs to it and not to what comes next."""
    spoken_and = _text(tokens, i) == "and"
    small = _below_hundred(tokens, i + spoken_and)
    if not small:
        return None
    after = _text(tokens, small.last)
    if after in HUNDREDS and _text(tokens, i - 1) in HUNDREDS:
        return None  # "three hundred and two hundred"
    if spoken_and and after == "point" and small.kind != "D":
        return small
    if small.kind == "D" and not spoken_and and (after in TEENS or after in TENS or after in DIGITS or after in ZEROS):
        return None  # "three hundred, one eighty"
    if spoken_and and after == "and" and _text(tokens, small.last + 1) in {"a", "half", "quarter"}:
        return small
    if small.kind == "D" and after in PARTS:
        return None  # "one hundred and three quarters"
    return small


# From groups to numbers ------------------------------------------------------------------------------------------


def _assemble(tokens: Sequence[Token], groups: list[_Group]) -> list[Number]:
    """Groups that follow one another directly -> the numbers they make together."""
    numbers: list[Number] = []
    g, count = 0, len(groups)
    while g < count:
        group = groups[g]
        kind = group.kind
        if kind == "Z":
            g = _from_zero(tokens, groups, g, numbers)
        elif steps := _counting(groups, g):
            numbers += [_plain(each, "counting") for each in groups[g : g + steps]]
            g += steps
        elif kind == "D":
            g = _from_digit(tokens, groups, g, numbers)
        elif kind in "TY" and (number := _said_in_hundreds(tokens, groups, g)):
            numbers.append(number)
            g += 2
        elif kind in "TY" and not _then_seconds(tokens, groups, g) and (pair := _year_or_clock(groups, g)):
            numbers += pair[0]
            g += pair[1]
        elif kind == "W":
            numbers.append(_from_written(tokens, group))
            g += 1
        else:
            numbers.append(_plain(group, "cardinal"))
            g += 1
    return numbers


def _plain(group: _Group, form: Form) -> Number:
    return Number(group.value, group.first, group.last, form, False, (group.loose,) if group.loose else ())


def _from_written(tokens: Sequence[Token], group: _Group) -> Number:
    text = tokens[group.first].text
    if _is_label(tokens, group.first):
        if tokens[group.first - 1].text in INTERJECTIONS and group.value in WIRE_MILS:  # "O35", as recognisers write it
            return Number(group.value / 1000, group.first, group.last, "leading-zero")
        return Number(group.value, group.first, group.last, "label")
    if len(text) == 3 and text[0] == "0" and text.isdecimal():
        return Number(int(text) / 1000, group.first, group.last, "leading-zero")
    return Number(group.value, group.first, group.last, "decimal" if "." in text else "cardinal")


def _is_label(tokens: Sequence[Token], i: int) -> bool:
    """L5, T2: glued to letters that are not a multiplication sign; segment six: the liver's parts have numbers."""
    before = tokens[i - 1].text if i else ""
    return before == "segment" or (tokens[i].glued and before.isalpha() and before != "x")


def _from_zero(tokens: Sequence[Token], groups: list[_Group], g: int, numbers: list[Number]) -> int:
    """ "oh one eight", "0-1-8", "oh one oh": a wire. A lone "oh" is a sigh, a lone "zero" is 0."""
    group = groups[g]
    following = groups[g + 1 : g + 3]
    if (
        len(following) == 2
        and following[0].kind == "Z"
        and following[1].kind == "D"
        and g + 3 < len(groups)
        and groups[g + 3].kind == "D"
    ):
        mils = int(following[1].value * 10 + groups[g + 3].value)  # "zero zero three five"
        numbers.append(Number(mils / 1000, group.first, groups[g + 3].last, "leading-zero"))
        return g + 4
    if (
        following
        and following[0].kind in "TY"
        and following[0].value in WIRE_MILS
        and _names_wire(tokens, group, following[0])
    ):
        size = following[0]
        numbers.append(Number(size.value / 1000, group.first, size.last, "leading-zero", alternatives=((size.value,),)))
        return g + 2
    if len(following) == 2 and all(each.kind in "DZ" for each in following):
        mils = int(following[0].value * 10 + following[1].value)
        if mils:
            numbers.append(Number(mils / 1000, group.first, following[1].last, "leading-zero"))
            return g + 3
    if _text(tokens, group.first) in INTERJECTIONS and not group.joined:
        return g + 1
    if following and following[0].kind == "D" and not group.written:
        digit = following[0].value
        numbers.append(
            Number(digit, group.first, following[0].last, "spelled", alternatives=((digit / 10,), (0.0, digit)))
        )
        return g + 2
    numbers.append(Number(0.0, group.first, group.last))
    return g + 1


def _names_wire(tokens: Sequence[Token], zero: _Group, size: _Group) -> bool:
    """ "zero thirty-five", "oh fourteen wire", "an oh fourteen", "stiff wire, oh thirty-five": a bare "oh" counts
    only after an article, or with the word for what has the size near and nothing measured after it.
    """
    if _text(tokens, zero.first) not in INTERJECTIONS or zero.joined:
        return True
    if _text(tokens, zero.first - 1) in {"an", "the", "another"}:
        return True
    after = _text(tokens, size.last)
    if after in MEASURES or after.removesuffix("s") in MEASURES:
        return after == "inch"
    return after in WIRES or any(
        _text(tokens, i) in _LIKE_WIRES for i in range(max(0, zero.first - _NEAR_WIRE), zero.first)
    )


def _counting(groups: list[_Group], g: int) -> int:
    """How many groups from g on go up or down as a pressure does: three at least, in even steps or never doubling."""
    end = g
    while end < len(groups) and groups[end].kind in "DTY" and (end == g or not groups[end].joined):
        if end - g >= 2 and not _goes_on(groups[end - 2].value, groups[end - 1].value, groups[end].value):
            break
        end += 1
    return end - g if end - g >= 3 else 0


def _goes_on(before: float, middle: float, after: float) -> bool:
    if middle - before == after - middle != 0:
        return True
    return before < middle <= 2 * before and middle < after <= 2 * middle


def _from_digit(tokens: Sequence[Token], groups: list[_Group], g: int, numbers: list[Number]) -> int:
    """A digit and what it forms with its followers: 180, 50, 0.018 after a count, or just itself."""
    group = groups[g]
    if _is_label(tokens, group.first):
        numbers.append(Number(group.value, group.first, group.last, "label"))
        return g + 1
    end = g + 1
    while end < len(groups) and groups[end].kind in "DZ" and _continues(tokens, groups, g, end):
        end += 1
    tens = groups[end] if end < len(groups) and groups[end].kind in "TY" else None
    if group.value == 1 and not group.written and _is_pronoun(tokens, groups, g):
        numbers.append(Number(1.0, group.first, group.last, "pronoun"))
        return g + 1
    if tens and groups[end - 1].kind == "D":
        if end == g + 1:
            numbers.append(_hundreds(group, tens))
            return end + 1
        end -= 1
    elif tens and end - g >= 2:
        pass  # "eight oh twelve": 80 and 12
    run = groups[g:end]
    if len(run) == 1:
        numbers.append(_plain(group, "cardinal"))
        return end
    if len(run) == 4 and run[1].kind == "Z":  # "two oh one four wires"
        mils = int(run[2].value * 10 + run[3].value)
        if mils in WIRE_MILS:
            numbers.append(_plain(group, "cardinal"))
            numbers.append(Number(mils / 1000, run[1].first, run[3].last, "leading-zero"))
            return end
    numbers.append(_spelled(run))
    return end


def _continues(tokens: Sequence[Token], groups: list[_Group], g: int, end: int) -> bool:
    """Whether the digit at ``end`` belongs to the run from g: written digits only where a hyphen ties them."""
    digit = groups[end]
    if digit.written or groups[end - 1].written:
        return digit.joined
    if digit.kind == "Z" and _text(tokens, digit.first) in INTERJECTIONS and end + 2 < len(groups):
        # "five French" is said in between, but "a six, oh one eight" may lose its comma: leave the wire whole
        pair = groups[end + 1 : end + 3]
        mils = int(pair[0].value * 10 + pair[1].value) if all(each.kind in "DZ" for each in pair) else 0
        return not (mils in WIRE_MILS and end - g >= 2)
    return True


def _hundreds(digit: _Group, tens: _Group) -> Number:
    """ "one eighty", "four thirteen", "eight twelve": hundreds, or two numbers."""
    apart = ((digit.value, tens.value),) if not tens.joined else ()
    return Number(digit.value * 100 + tens.value, digit.first, tens.last, "cardinal", False, apart)


def _spelled(run: list[_Group]) -> Number:
    """Digits in a row -> one number, and its other readings: a decimal after the first digit, or each on its own."""
    text = "".join(f"{each.value:.0f}" for each in run)
    plainly = any(each.joined for each in run[1:]) or any(each.kind == "Z" for each in run)
    if any(each.written for each in run) and not any(each.kind == "Z" for each in run):
        plainly = False  # "6-8" in writing is as often a range
    others = [(float(f"{text[0]}.{text[1:]}"),)]
    if len(run) == 3 and run[1].kind == "Z":  # "two oh six" is 206, hardly 2.06
        others = []
    if not any(each.kind == "Z" for each in run):
        others.append(tuple(each.value for each in run))  # type: ignore[arg-type]
    form: Form = "spelled" if plainly else "digits"
    return Number(float(text), run[0].first, run[-1].last, form, False, tuple(others))


def _is_pronoun(tokens: Sequence[Token], groups: list[_Group], g: int) -> bool:
    """Whether this "one" stands for a thing: "that one", "one of them", "a high pressure one"."""
    one, follower = groups[g], groups[g + 1].kind if g + 1 < len(groups) else ""
    before, after = _text(tokens, one.first - 1), _text(tokens, one.last)
    if follower in {"T", "Y"} or after == "point" or after in CROSSES or after in MEASURES:
        return False
    if before in POINTS_AT | ONE_OF_SEVERAL:
        return True
    if follower in {"D", "Z"}:
        return False
    if follower:
        return before in STANDS_FOR
    if before in STANDS_FOR or (after == "of" and _text(tokens, one.last + 1) in OF_MANY):
        return True
    if after and after not in PUNCTUATION and after not in GOES_ON:
        return False
    if before in HANDLED:
        return True
    for i in range(one.first - 1, max(one.first - 5, -1), -1):
        text = tokens[i].text
        if text in ARTICLES:
            return i < one.first - 1
        if text in PUNCTUATION or text in LINKS or text in NUMBER_WORDS or text[0].isdecimal():
            return False
    return False


def _said_in_hundreds(tokens: Sequence[Token], groups: list[_Group], g: int) -> Number | None:
    """ "eleven-forty" in one word, "twelve fifty units": hundreds, where no hour of the day is told."""
    first, second = groups[g], groups[g + 1] if g + 1 < len(groups) else None
    if second is None or second.kind not in "TY" or first.value >= 19:
        return None
    if _text(tokens, first.first - 1) in _OF_HOURS or not (
        second.joined or _text(tokens, second.last).removesuffix("s") in _IN_HUNDREDS
    ):
        return None
    value, apart = first.value * 100 + second.value, (first.value, second.value)
    return Number(value, first.first, second.last, "cardinal", alternatives=(apart,), doubtful=not second.joined)


def _then_seconds(tokens: Sequence[Token], groups: list[_Group], g: int) -> bool:
    """ "up to twelve thirty seconds": a pressure and a time, and none of the day."""
    following = groups[g + 1] if g + 1 < len(groups) else None
    return following is not None and following.kind in "TY" and _text(tokens, following.last) in _SECONDS


def _year_or_clock(groups: list[_Group], g: int) -> tuple[list[Number], int] | None:
    """ "twenty nineteen" is a year, "ten fourteen" a time of day: one number, or two."""
    first = groups[g]
    if g + 1 >= len(groups):
        return None
    second, used = groups[g + 1], 2
    minutes = second.value
    if second.kind == "Z" and g + 2 < len(groups) and groups[g + 2].kind == "D":
        minutes, used = groups[g + 2].value, 3
        if g + 3 < len(groups) and groups[g + 3].kind in "DZ":
            return None  # "twelve oh one eight"
    elif second.kind not in "TY":
        return None
    last = groups[g + used - 1].last
    if (first.value == 19 and (minutes >= 30 or used == 3)) or (first.value == 20 and 10 <= minutes < 40):
        year = first.value * 100 + minutes
        return [Number(year, first.first, last, "year", False, ((first.value, minutes),))], used
    if 10 <= first.value < 24 and minutes < 60 and second.value != first.value + 1:
        return [
            Number(first.value, first.first, first.last, "clock", False, (first.loose,) if first.loose else ()),
            Number(minutes, second.first, last, "clock", False, (second.loose,) if second.loose else ()),
        ], used
    return None


# What may follow a number ----------------------------------------------------------------------------------------


def _with_tail(tokens: Sequence[Token], number: Number) -> Number:
    """ "… point four", "… comma five", "… and a half", "… million", "… quarters" joined to the number before."""
    if number.form in {"pronoun", "label", "leading-zero", "year"}:
        return number
    text = _text(tokens, number.last)
    if text == "point":
        digits, last = _digits_after_point(tokens, number.last + 1)
        if digits and number.value == int(number.value):
            number = _decimal(number, digits, last)
    elif text == "comma":
        if number.value == 0 and _text(tokens, number.last + 1) in ZEROS:
            digits, last = _digits_after_point(tokens, number.last + 1)  # "zero comma zero three five"
            return replace(_decimal(number, digits, last), alternatives=())
        digit = _text(tokens, number.last + 1)
        after = _text(tokens, number.last + 2)
        if _text(tokens, number.first - 1) == "by" and after in _OF_BALLOONS:
            return number  # "two by fifteen, eight bar" in a dictation: no length has a part
        if number.value >= _FEWEST_WHOLE and after in _PICTURES:
            return number  # "thirty at ten, three frames a second" in a dictation
        if digit in TENS and number.value < 10 and number.value % 1 == 0:
            part, last = _digits_after_point(tokens, number.last + 1)
            if part in _QUARTERS and _text(tokens, last) == "by":  # "two comma seventy-five by twelve"
                return _decimal(number, part, last)
        if (digit in DIGITS or digit in ZEROS) and not (after in TEENS or after in TENS or after in HUNDREDS):
            apart = (number.value, float(DIGITS.get(digit, 0)))
            number = replace(_decimal(number, str(DIGITS.get(digit, 0)), number.last + 2), alternatives=(apart,))
    elif text in PARTS and number.value == int(number.value) and number.form != "counting":
        number = _parts_of(tokens, number)
    if _text(tokens, number.last) == "and":
        number = _and_a_part(tokens, number)
    elif number.form == "cardinal" and _text(tokens, number.last) in {"½", "/"}:
        number = _slash(tokens, number)
    scale = _text(tokens, number.last)
    if scale in SCALES or scale in DOZENS or (scale in HUNDREDS and number.form == "decimal"):
        times = SCALES.get(scale) or DOZENS.get(scale) or 100
        number = replace(number, value=round(number.value * times, 9), last=number.last + 1, alternatives=())
    return number


def _decimal(number: Number, digits: str, last: int) -> Number:
    """A whole number and the digits after its point; the last value of each alternative gets them too."""
    others = tuple(
        (*other[:-1], _with_digits(other[-1], digits)) for other in number.alternatives if other[-1] % 1 == 0
    )
    return replace(number, value=_with_digits(number.value, digits), last=last, form="decimal", alternatives=others)


def _with_digits(whole: float, digits: str) -> float:
    return float(f"{whole:.0f}.{digits}")


def _digits_after_point(tokens: Sequence[Token], i: int) -> tuple[str, int]:
    """Digits after "point", and where they end; the last is left to a following ten or hundred ("four | one thirty").

    A breath between the point and its digits is not the end of the number: "four point... five".
    """
    while _text(tokens, i) in HESITATIONS:
        i += 1
    start = i
    text = _text(tokens, i)
    if text.isdecimal():
        return text, i + 1
    if text in TEENS or text in TENS:
        group = _below_hundred(tokens, i)
        return (f"{group.value:.0f}", group.last) if group else ("", i)
    digits = ""
    while (text := _text(tokens, i)) in DIGITS or text in ZEROS:
        digits += str(DIGITS.get(text, 0))
        i += 1
    if digits and not digits.strip("0") and (text in TEENS or text in TENS):  # "zero point zero thirty-five"
        group = _below_hundred(tokens, i)
        return (digits + f"{group.value:.0f}", group.last) if group else (digits, i)
    if i - start >= 2 and (text in TEENS or text in TENS or text in HUNDREDS or text in SCALES):
        given_back = digits[-1] != "0" and text not in SCALES
        return (digits[:-1], i - 1) if given_back else (digits, i)
    return digits, i


def _leading_point(tokens: Sequence[Token], i: int) -> Number | None:
    """ "point four two" is 0.42, "point oh one eight" a wire, "this point two" a place and 2."""
    digits, last = _digits_after_point(tokens, i + 1)
    if not digits or (digits[0] != "0" and i and tokens[i - 1].text in POINTED):
        return None
    form: Form = "leading-zero" if len(digits) == 3 and digits[0] == "0" else "decimal"
    return Number(float(f"0.{digits}"), i, last, form)


def _leading_comma(tokens: Sequence[Token], i: int) -> Number | None:
    """ "dose comma four gray" is 0.4, as continental speakers say it, or 4 after a comma that was dictated: only
    between a word and a unit, and only where no punctuation is written for what is said.
    """
    digit, after, before = _text(tokens, i + 1), _text(tokens, i + 2), _text(tokens, i - 1)
    if digit not in DIGITS or after not in MEASURES or not before or before in PUNCTUATION | NUMBER_WORDS:
        return None
    value = DIGITS[digit]
    return Number(value / 10, i, i + 2, "decimal", alternatives=((float(value),),))


def _and_a_part(tokens: Sequence[Token], number: Number) -> Number:
    """ "two and a half", "two and half", "two and three quarters"."""
    if number.value != int(number.value) or number.form in {"counting", "clock"}:
        return number
    i = number.last + 1
    text = _text(tokens, i)
    if text in {"a", "an"} and (of := PARTS.get(_text(tokens, i + 1))):
        share, last = 1 / of, i + 2
    elif text in PLAIN_PARTS:
        share, last = 1 / PARTS[text], i + 1
    elif text in DIGITS and PARTS.get(_text(tokens, i + 1), 0) > DIGITS[text]:
        share, last = DIGITS[text] / PARTS[tokens[i + 1].text], i + 2
    else:
        return number
    if last < len(tokens) and tokens[last].text in {"a", "an"} and tokens[last - 1].text == "half" and text == "half":
        return number  # "two and half a mil": two things
    scale = max((scale for scale in SCALES.values() if number.value and number.value % scale == 0), default=1)
    share *= scale  # "a million and a half"
    others = tuple((*other[:-1], other[-1] + share) for other in number.alternatives)
    return replace(number, value=number.value + share, last=last, form="fraction", alternatives=others)


def _parts_of(tokens: Sequence[Token], number: Number) -> Number:
    """ "three quarters", "two thirds"; "one third" too, but "first half" and "one half-brother" stay."""
    part = tokens[number.last].text
    of = PARTS[part]
    many = number.value > 1
    if number.last - number.first != 1 or (many and not part.endswith("s")) or number.value >= of:
        return number
    return Number(number.value / of, number.first, number.last + 1, "fraction", number.approximate)


def _slash(tokens: Sequence[Token], number: Number) -> Number:
    """Written 1/2 and 3/4; 120/80 is a blood pressure and stays two numbers."""
    below = _text(tokens, number.last + 1)
    if below in {"2", "3", "4", "8"} and number.value < int(below) and number.last - number.first == 1:
        return replace(number, value=number.value / int(below), last=number.last + 2, form="fraction", alternatives=())
    return number


def _mix(tokens: Sequence[Token], numbers: list[Number]) -> None:
    """Written "2 1/2": the whole number and the fraction after it become one."""
    whole, part = numbers[-2:]
    if (
        whole.last == part.first
        and part.value < 1
        and tokens[whole.first].text.isdecimal()
        and whole.form == "cardinal"
    ):
        apart = (whole.value, part.value)
        numbers[-2:] = [replace(part, value=whole.value + part.value, first=whole.first, alternatives=(apart,))]


def _part(tokens: Sequence[Token], i: int) -> Number | None:
    """ "half a", "a quarter of a", "half a dozen", "half a million"; bare "half" and "a half" are marked as such."""
    first = i
    i += tokens[i].text in {"a", "an"}
    part = _text(tokens, i)
    if part not in PLAIN_PARTS:
        return None
    value, last = 1 / PARTS[part], i + 1
    if _text(tokens, last) == "of" and _text(tokens, last + 1) in {"a", "an"}:
        last += 2
    elif _text(tokens, last) in {"a", "an"} and part == "half":
        last += 1
    form: Form = "fraction" if last > i + 1 else "bare-fraction"
    scale = _text(tokens, last)
    if scale in DOZENS or scale in SCALES:
        return Number(value * (DOZENS.get(scale) or SCALES[scale]), first, last + 1, "fraction")
    return Number(value, first, last, form)


def _couple(tokens: Sequence[Token], i: int) -> tuple[list[Number], int]:
    if not (i and tokens[i - 1].text == "a"):
        return [], i + 1
    last = i + 1 + (_text(tokens, i + 1) == "of")
    return [Number(2.0, i - 1, last, "cardinal", True)], last


def _about(tokens: Sequence[Token], number: Number) -> Number:
    """Marks what was said to be rough: "about", "…-ish", "… or so"."""
    before = tokens[number.first - 1].text if number.first else ""
    after = _text(tokens, number.last)
    rough = before in ABOUT or after in {"ish", "odd"} or (after == "or" and _text(tokens, number.last + 1) == "so")
    return replace(number, approximate=True) if rough and not number.approximate else number


def _is_written(text: str) -> bool:
    """Whether a token is a number in figures; "4th" is not."""
    return text[0].isdecimal() and text[-1].isdecimal()


def _text(tokens: Sequence[Token], i: int) -> str:
    return tokens[i].text if 0 <= i < len(tokens) else ""
