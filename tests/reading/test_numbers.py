"""Spoken numbers: one table of what the trade says, and round trips through num2words."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from num2words import num2words

from extractor.lexicon import load
from extractor.reading import numbers
from extractor.reading.numbers import Number, read_digits, read_numbers
from extractor.reading.quantities import unit_forms
from extractor.reading.tokens import tokenise
from extractor.units import find_unit

UNITS = unit_forms(load())


def read(text: str) -> list[Number]:
    return read_numbers(tokenise(text.split()))


def values(text: str) -> list[float]:
    return [number.value for number in read(text)]


#: (what is said, the values, in order, the form of the first)
SAID = [
    # cardinals
    ("fourteen atmospheres", [14], "cardinal"),
    ("one hundred and twenty", [120], "cardinal"),
    ("two hundred forty-one", [241], "cardinal"),
    ("a hundred and fifty", [150], "cardinal"),
    ("hundred and nineteen kilos", [119], "cardinal"),
    ("the hundred, please", [100], "cardinal"),
    ("five thousand of heparin", [5000], "cardinal"),
    ("five thousand two hundred", [5200], "cardinal"),
    ("twelve hundred", [1200], "cardinal"),
    ("eighty-two hundred of heparin", [8200], "cardinal"),
    ("two thousand nineteen", [2019], "cardinal"),
    ("one lakh", [100000], "cardinal"),
    ("a dozen coils", [12], "cardinal"),
    ("two dozen", [24], "cardinal"),
    ("half a dozen", [6], "fraction"),
    ("12 atm", [12], "cardinal"),
    ("5,000 units", [5000], "cardinal"),
    ("5 thousand units", [5000], "cardinal"),
    ("2 hundred", [200], "cardinal"),
    ("twenty five", [25], "cardinal"),
    ("eight by twenties", [8, 20], "cardinal"),
    ("a man in his sixties", [], None),
    # two numbers, not one
    ("one two hundred mils", [1, 200], "cardinal"),
    ("three hundred and two hundred", [300, 200], "cardinal"),
    ("three hundred one eighty", [300, 180], "cardinal"),
    ("five thousand two thousand", [5000, 2000], "cardinal"),
    ("seventy eight fifty one kilos", [78, 51], "cardinal"),
    ("eighty one fifty", [81, 50], "cardinal"),
    ("ten, fourteen", [10, 14], "cardinal"),
    ("five, oh", [5], "cardinal"),
    ("twenty, five", [20, 5], "cardinal"),
    ("one hundred, twenty", [100, 20], "cardinal"),
    ("two. Oh one four wire", [2, 0.014], "cardinal"),
    # hundreds left unsaid
    ("one eighty", [180], "cardinal"),
    ("the one-eighty", [180], "cardinal"),
    ("one fifty two", [152], "cardinal"),
    ("two forty-one", [241], "cardinal"),
    ("four thirteen", [413], "cardinal"),
    ("eight twelve", [812], "cardinal"),
    ("two oh six", [206], "spelled"),
    ("one-oh-nine", [109], "spelled"),
    ("two point four one thirty long", [2.4, 130], "decimal"),
    # pressures going up and down
    ("six eight ten", [6, 8, 10], "counting"),
    ("eight ten twelve", [8, 10, 12], "counting"),
    ("four six eight and a waist", [4, 6, 8], "counting"),
    ("nineteen twenty twenty-one twenty-two", [19, 20, 21, 22], "counting"),
    ("two four eight fourteen", [2, 4, 8, 14], "counting"),
    ("three two one go", [3, 2, 1], "counting"),
    ("fifty eight fifty nine sixty", [58, 59, 60], "counting"),
    ("eighteen, nineteen, twenty", [18, 19, 20], "cardinal"),
    ("nineteen twenty down", [19, 20], "cardinal"),
    # times of day and years
    ("twenty nineteen", [2019], "year"),
    ("nineteen eighty-six", [1986], "year"),
    ("nineteen oh five", [1905], "year"),
    ("ten fourteen by the clock", [10, 14], "clock"),
    ("eleven oh five", [11, 5], "clock"),
    ("twelve oh one eight", [12, 0.018], "cardinal"),
    # decimals
    ("eleven point four", [11.4], "decimal"),
    ("point four two", [0.42], "decimal"),
    ("zero point five six", [0.56], "decimal"),
    ("nought point nine", [0.9], "decimal"),
    ("six point oh", [6.0], "decimal"),
    ("two point seven five by twenty", [2.75, 20], "decimal"),
    ("two point twenty-five", [2.25], "decimal"),
    ("two comma five", [2.5], "decimal"),
    ("dose comma four gray", [0.4], "decimal"),
    ("dose, comma, four gray", [4], "cardinal"),
    ("dose comma four frames of it", [4], "cardinal"),
    ("six, comma, three frames", [6, 3], "cardinal"),
    ("ten comma three frames", [10, 3], "cardinal"),
    ("seven comma five frames", [7.5], "decimal"),
    ("six comma twelve", [6, 12], "cardinal"),
    ("5.2", [5.2], "decimal"),
    ("0.018", [0.018], "decimal"),
    (".018", [0.018], "decimal"),
    ("2 point 5", [2.5], "decimal"),
    ("four point... five", [4.5], "decimal"),
    ("one hundred and twenty point five", [120.5], "decimal"),
    ("five point two million", [5.2e6], "decimal"),
    ("one eighty-five point six", [185.6], "decimal"),
    ("at this point two runs", [2], "cardinal"),
    ("gradient point six", [0.6], "decimal"),
    # fractions
    ("two and a half", [2.5], "fraction"),
    ("two and half", [2.5], "fraction"),
    ("fourteen and a half French", [14.5], "fraction"),
    ("two and quarter", [2.25], "fraction"),
    ("three and three quarters", [3.75], "fraction"),
    ("2 and a half", [2.5], "fraction"),
    ("two and a half thousand", [2500], "fraction"),
    ("half a millilitre", [0.5], "fraction"),
    ("half thousand", [500], "fraction"),
    ("a quarter of a mil", [0.25], "fraction"),
    ("three quarters of it", [0.75], "fraction"),
    ("two thirds", [2 / 3], "fraction"),
    ("one third", [1 / 3], "fraction"),
    ("a mil and a half", [0.5], "bare-fraction"),
    ("half strength", [0.5], "bare-fraction"),
    ("1/2", [0.5], "fraction"),
    ("½", [0.5], "decimal"),
    ("2½", [2.5], "decimal"),
    ("2 1/2 inch", [2.5], "fraction"),
    ("2,5 mm", [2.5], "decimal"),
    ("1.2 million", [1.2e6], "cardinal"),
    ("a million and a half", [1.5e6], "fraction"),
    ("3 dozens", [36], "cardinal"),
    ("dozens of them", [], None),
    ("the 4th of May", [], None),
    ("120/80", [120, 80], "cardinal"),
    # wires
    ("oh one eight", [0.018], "leading-zero"),
    ("oh three five's down", [0.035], "leading-zero"),
    ("an o one four wire", [0.014], "leading-zero"),
    ("zero one eight", [0.018], "leading-zero"),
    ("oh three eight", [0.038], "leading-zero"),
    ("oh two five", [0.025], "leading-zero"),
    ("oh one oh", [0.01], "leading-zero"),
    ("point oh one eight", [0.018], "leading-zero"),
    ("0 1 8", [0.018], "leading-zero"),
    ("0-1-8", [0.018], "leading-zero"),
    ("0 -1 -8", [0.018], "leading-zero"),
    ("018 wire", [0.018], "leading-zero"),
    ("035", [0.035], "leading-zero"),
    ("0.18", [0.18], "decimal"),
    ("oh one eight one fifty", [0.018, 150], "leading-zero"),
    ("two oh one four wires", [2, 0.014], "cardinal"),
    # digit by digit
    ("five-zero", [50], "spelled"),
    ("five zero", [50], "spelled"),
    ("eight oh", [80], "spelled"),
    ("one-five", [15], "spelled"),
    ("one five", [15], "digits"),
    ("two eight", [28], "digits"),
    ("three two five by twelve", [325, 12], "digits"),
    ("five five four oh", [5540], "spelled"),
    ("1-8 wire", [18], "digits"),
    ("zero five", [5], "spelled"),
    ("zero", [0], "cardinal"),
    ("0", [0], "cardinal"),
    # no numbers, or none of a quantity
    ("oh dear", [], None),
    ("oh one more", [1], "cardinal"),
    ("type O negative", [], None),
    ("that one", [1], "pronoun"),
    ("the other one", [1], "pronoun"),
    ("one of the sheaths", [1], "pronoun"),
    ("one of midazolam", [1], "cardinal"),
    ("a high pressure one.", [1], "pronoun"),
    ("the skinny one's going up", [1], "pronoun"),
    ("this one six French", [1, 6], "pronoun"),
    ("this one hundred centimetre sheath", [100], "cardinal"),
    ("last one two hundred mils", [1, 200], "pronoun"),
    ("the one fifty", [150], "cardinal"),
    ("one minute", [1], "cardinal"),
    ("the one minute", [1], "cardinal"),
    ("one by forty", [1, 40], "cardinal"),
    ("one point two", [1.2], "decimal"),
    ("the fourteenth", [], None),
    ("third attempt", [], None),
    ("the twenty-first of March", [], None),
    ("on the twenty first", [], None),
    ("a thirty-second inflation", [30], "cardinal"),
    ("too long for me", [], None),
    ("he ate to live", [], None),
    ("L5 and T2", [5, 2], "label"),
    ("5x80", [5, 80], "cardinal"),
    ("65mm", [65], "cardinal"),
    ("a couple of mils", [2], "cardinal"),
    ("a sheath", [], None),
    ("the point", [], None),
    ("hundreds of them", [], None),
    ("", [], None),
]


@pytest.mark.parametrize(("text", "expected", "form"), SAID, ids=[row[0] for row in SAID])
def test_what_the_trade_says(text: str, expected: list[float], form: str | None) -> None:
    found = read(text)
    assert [number.value for number in found] == pytest.approx(expected)
    assert (found[0].form if found else None) == form


#: (what is said, the other readings of its first number)
OTHERWISE = [
    ("eight twelve", ((8, 12),)),
    ("one eighty", ((1, 80),)),
    ("one-eighty", ()),
    ("six ten", ((6, 10),)),
    ("three oh by twenty-four", ((3.0,),)),
    ("two eight by twenties", ((2.8,), (2, 8))),
    ("three two five", ((3.25,), (3, 2, 5))),
    ("one-five", ((1.5,), (1, 5))),
    ("5-6 mm", ((5.6,), (5, 6))),
    ("twenty nineteen", ((20, 19),)),
    ("twenty five", ((20, 5),)),
    ("twenty-five", ()),
    ("two hundred ten", ((200, 10),)),
    ("two hundred and ten", ()),
    ("two thousand four", ((2000, 4),)),
    ("thirty one point five", ((30, 1.5),)),
    ("twenty five and a half", ((20, 5.5),)),
    ("two comma five", ((2, 5),)),
    ("fourteen", ()),
]


@pytest.mark.parametrize(("text", "others"), OTHERWISE, ids=[row[0] for row in OTHERWISE])
def test_other_readings_are_kept(text: str, others: tuple[tuple[float, ...], ...]) -> None:
    assert read(text)[0].alternatives == others


@pytest.mark.parametrize(
    ("text", "rough"),
    [
        ("about forty", True),
        ("roughly ten percent", True),
        ("forty-ish", True),
        ("twenty or so", True),
        ("twenty or thirty", False),
        ("a couple of mils", True),
        ("forty", False),
    ],
)
def test_rough_numbers_are_marked(text: str, rough: bool) -> None:
    assert read(text)[0].approximate is rough


SPANS = [
    ("up to one hundred and twenty atmospheres", (2, 6)),
    ("two and a half mils", (0, 4)),
    ("half a mil", (0, 2)),
    ("oh one eight wire", (0, 3)),
    ("two and the rest", (0, 1)),
    ("six and a sheath", (0, 1)),
    ("five hundred and then", (0, 2)),
    ("a hundred", (0, 2)),
    ("a couple of mils", (0, 3)),
    ("four point... five long", (0, 4)),
]


@pytest.mark.parametrize(("text", "span"), SPANS, ids=[row[0] for row in SPANS])
def test_a_number_covers_its_tokens_and_no_more(text: str, span: tuple[int, int]) -> None:
    assert (read(text)[0].first, read(text)[0].last) == span


def test_an_alternative_of_two_values_splits_into_its_numbers() -> None:
    (number,) = read("one fifty two")
    assert [(part.value, part.first, part.last) for part in number.split((1, 52))] == [(1, 0, 1), (52, 1, 3)]


STRINGS = [
    ("one zero zero nine", "1009"),
    ("double five", "55"),
    ("triple oh seven", "0007"),
    ("zero one eight zero three", "01803"),
    ("nine oh two one oh", "90210"),
    ("enter eight ninety seven", "897"),
    ("two sixty five fourteen", "26514"),
    ("41 2 twenty", "41220"),
    ("six hundred forty nine", "649"),
    ("four thousand three hundred and eighty six", "4386"),
    ("h w o sixty two", "62"),
    ("o two one", "021"),
    ("w o o d", ""),
    ("double", ""),
    ("", ""),
]


@pytest.mark.parametrize(("text", "digits"), STRINGS, ids=[row[0] for row in STRINGS])
def test_plain_digit_strings(text: str, digits: str) -> None:
    assert read_digits(tokenise(text.split())) == digits


# Round trips -----------------------------------------------------------------------------------------------------

#: The machine may be busy with other work; nothing here is about time.
STEADY = settings(deadline=None)

WHOLE = st.integers(0, 9999)
LANGUAGES = st.sampled_from(["en", "en_GB"])
SPOKEN_UNITS = st.sampled_from(sorted(UNITS))
CENTS = st.integers(0, 99_999).map(lambda cents: cents / 100)


def say(value: float, language: str) -> str:
    """A number in words as num2words has them, without the commas nobody says."""
    return str(num2words(value, lang=language)).replace(",", "")


@STEADY
@given(WHOLE, LANGUAGES)
def test_whole_numbers_read_back(value: int, language: str) -> None:
    assert values(say(value, language)) == [value]


@STEADY
@given(CENTS, LANGUAGES)
def test_decimals_read_back(value: float, language: str) -> None:
    assert values(say(value, language)) == [value]


@STEADY
@given(WHOLE | CENTS, LANGUAGES, SPOKEN_UNITS)
def test_a_unit_is_found_after_any_number(value: float, language: str, form: tuple[str, ...]) -> None:
    tokens = tokenise(f"{say(value, language)} {' '.join(form)}".split())
    number = read_numbers(tokens)[0]
    assert number.value == value
    assert find_unit([token.text for token in tokens], number.last, UNITS, UNITS.longest) == (UNITS[form], len(tokens))


@STEADY
@given(st.integers(1, 9), st.integers(10, 99))
def test_hundreds_may_be_left_unsaid(hundreds: int, rest: int) -> None:
    (number,) = read(f"{say(hundreds, 'en')} {say(rest, 'en')}")
    assert number.value == hundreds * 100 + rest
    assert (hundreds, rest) in number.alternatives


@STEADY
@given(st.integers(1, 99), st.sampled_from(["oh", "o", "zero", "0"]))
def test_every_wire_size_reads_in_thousandths(mils: int, zero: str) -> None:
    tens, ones = divmod(mils, 10)
    digits = [zero if digit == 0 else say(digit, "en") for digit in (tens, ones)]
    assert values(f"{zero} {' '.join(digits)}") == [mils / 1000]


@STEADY
@given(st.integers(1, 9), st.integers(0, 9))
def test_numbers_spelled_with_hyphens(tens: int, ones: int) -> None:
    (number,) = read(f"{say(tens, 'en')}-{say(ones, 'en')}")
    assert (number.value, number.form) == (tens * 10 + ones, "spelled")


# Whatever is said -------------------------------------------------------------------------------------------------

VOCABULARY = sorted(
    numbers.ZEROS | set(numbers.DIGITS) | set(numbers.TEENS) | set(numbers.TENS) | set(numbers.SCALES)
    | set(numbers.PARTS) | set(numbers.PLURALS)
    | {"hundred", "dozen", "point", "comma", "and", "a", "an", "of", "half", "couple", "one-five", "five-zero", "the",
       "that", "by", ",", ".", "...", "to", "mils", "0-1-8", "018", "2.5", "½", "1/2", "L5", "5x80", "or", "so"}
)  # fmt: skip


@STEADY
@given(st.lists(st.sampled_from(VOCABULARY), max_size=30))
def test_numbers_come_in_order_and_never_overlap(words: list[str]) -> None:
    tokens = tokenise(words)
    end = 0
    for number in read_numbers(tokens):
        assert end <= number.first < number.last <= len(tokens)
        assert number.value >= 0
        end = number.last
        for other in number.alternatives:
            assert len(other) <= number.last - number.first
            assert [part.last for part in number.split(other)][-1] == number.last


@STEADY
@given(st.lists(st.text(max_size=8), max_size=20))
def test_any_text_can_be_read(words: list[str]) -> None:
    read_numbers(tokenise(words))


@pytest.mark.benchmark
def test_a_hundred_thousand_words_a_second() -> None:
    sentence = (
        "so the six French sheath's in, oh three five wire, two point five by one twenty, up six eight ten, and hold. "
    )
    words = (sentence * 5000).split()
    started = time.process_time()
    read_numbers(tokenise(words))
    assert len(words) / (time.process_time() - started) > 50_000
