"""Spoken units and conversions, checked against pint with ucumvert and against NIST SP 811."""

from pathlib import Path
from typing import Any

import pytest

from extractor.errors import LexiconError
from extractor.lexicon import Unit, folder, load
from extractor.model import UNITS
from extractor.reading.numbers import read_numbers
from extractor.reading.quantities import read_figures, unit_forms
from extractor.reading.tokens import tokenise
from extractor.units import FACTORS, convert, find_unit

ENTRIES = load().unit
SPOKEN = unit_forms(load())


def test_every_code_of_the_contract_has_a_factor() -> None:
    assert set(FACTORS) == set(UNITS)


#: NIST SP 811 (2008), appendix B.8: (from, to, factor as printed there).
NIST = [
    ("atm", "kPa", "1.01325E+02"),
    ("bar", "kPa", "1.0E+02"),
    ("[psi]", "kPa", "6.894757E+00"),
    ("mm[Hg]", "kPa", "1.333224E-01"),
    ("[in_i]", "cm", "2.54E+00"),
    ("[in_i]", "mm", "2.54E+01"),
    ("min", "s", "6.0E+01"),
]


@pytest.mark.parametrize(("from_code", "to_code", "printed"), NIST, ids=[f"{row[0]}->{row[1]}" for row in NIST])
def test_factors_agree_with_nist_to_its_last_digit(from_code: str, to_code: str, printed: str) -> None:
    digits = len(printed.split("E")[0].replace(".", "")) - 1
    if digits == 1:  # exact there, printed short
        digits = 12
    assert f"{convert(1.0, from_code, to_code):.{digits}E}" == f"{float(printed):.{digits}E}"


@pytest.fixture(scope="module")
def ucum() -> Any:
    return pytest.importorskip("ucumvert").PintUcumRegistry()


CONVERTIBLE = [
    (a, b) for a in FACTORS for b in FACTORS if a < b and FACTORS[a][0] == FACTORS[b][0] and "{count}" not in (a, b)
]


@pytest.mark.parametrize(("from_code", "to_code"), CONVERTIBLE, ids=[f"{a}->{b}" for a, b in CONVERTIBLE])
def test_factors_agree_with_pint_read_through_ucum(ucum: Any, from_code: str, to_code: str) -> None:
    # Codes go through ucumvert: plain pint reads "Fr" as franklin. UCUM prints m[Hg] as 133.3220 kPa: 3e-6 below NIST.
    expected = (1.0 * ucum.from_ucum(from_code)).to(ucum.from_ucum(to_code)).magnitude
    assert convert(1.0, from_code, to_code) == pytest.approx(expected, rel=5e-6)


EXACT = [
    (6.0, "[Ch]", "mm", 2.0),
    (0.035, "[in_i]", "mm", 0.889),
    (14.0, "atm", "atm", 14.0),
    (45.0, "cm", "mm", 450.0),
    (2000.0, "ug", "mg", 2.0),
    (1.0, "g", "mg", 1000.0),
    (2.5, "min", "s", 150.0),
]


@pytest.mark.parametrize(("value", "from_code", "to_code", "expected"), EXACT)
def test_exact_conversions(value: float, from_code: str, to_code: str, expected: float) -> None:
    assert convert(value, from_code, to_code) == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize(
    ("from_code", "to_code", "message"),
    [
        ("atm", "mm", "atm is pressure and mm is length"),
        ("[iU]", "mg", r"\[iU\] is activity and mg is mass"),
        ("Fr", "mm", "unit code 'Fr' is not known"),
        ("mm", "furlong", "unit code 'furlong' is not known"),
    ],
)
def test_impossible_conversions_say_why(from_code: str, to_code: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        convert(1.0, from_code, to_code)


EXAMPLES = [(entry, example) for entry in ENTRIES for example in entry.examples]


@pytest.mark.parametrize(("entry", "example"), EXAMPLES, ids=[example for _, example in EXAMPLES])
def test_each_entry_is_found_in_its_examples(entry: Unit, example: str) -> None:
    tokens = tokenise(example.split())
    texts = [token.text for token in tokens]
    found = [find_unit(texts, number.last, SPOKEN, SPOKEN.longest) for number in read_numbers(tokens)]
    assert (entry.code, entry.times) in [(unit.code, unit.times) for unit, _ in filter(None, found)]


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.spoken[0])
def test_each_entry_has_an_example(entry: Unit) -> None:
    assert entry.examples


@pytest.mark.parametrize("form", SPOKEN, ids=" ".join)
def test_spoken_forms_are_tokens(form: tuple[str, ...]) -> None:
    assert tuple(token.text for token in tokenise(form)) == form


LONGEST = [
    ("pounds per square inch", "[psi]", 4),
    ("frames a second", "/s", 3),
    ("mils a second", "mL/s", 3),
    ("mils of contrast", "mL", 1),
    ("millimetres of mercury", "mm[Hg]", 3),
    ("millimetres long", "mm", 1),
    ("gray centimetres squared", "Gy.cm2", 3),
    ("gray please", "mGy", 1),
]


@pytest.mark.parametrize(("text", "code", "length"), LONGEST, ids=[row[0] for row in LONGEST])
def test_the_longest_form_wins(text: str, code: str, length: int) -> None:
    found = find_unit(text.split(), 0, SPOKEN, SPOKEN.longest)
    assert found is not None
    assert (found[0].code, found[1]) == (code, length)


@pytest.mark.parametrize(("texts", "first"), [([], 0), (["balloon"], 0), (["six"], 1)])
def test_no_unit_there(texts: list[str], first: int) -> None:
    assert find_unit(texts, first, SPOKEN, SPOKEN.longest) is None


STORED = [
    ("microns", 700.0, 0.7),
    ("microns", 355.0, 0.355),
    ("metres", 2.6, 260.0),
    ("hours", 1.5, 90.0),
    ("gray", 1.1, 1100.0),
    ("mils", 2.5, 2.5),
]


@pytest.mark.parametrize(("form", "spoken", "stored"), STORED, ids=[f"{value} {form}" for form, value, _ in STORED])
def test_stored_values_are_exact_decimals(form: str, spoken: float, stored: float) -> None:
    (figure,) = read_figures(tokenise([f"{spoken:g}", form]), SPOKEN)
    assert figure.parts[0].value == stored


def test_one_form_cannot_mean_two_units(tmp_path: Path) -> None:
    (tmp_path / "units.toml").write_text('[[unit]]\ncode = "mm"\nquantity = "length"\nspoken = ["mill", "mil"]\n')
    with pytest.raises(LexiconError, match=r"units\.toml: \[\[unit\]\] number 1, .*'mil' already means mL"):
        load(tmp_path)


def test_a_broken_file_names_file_table_number_and_key(tmp_path: Path) -> None:
    good = '[[unit]]\ncode = "mL"\nquantity = "volume"\nspoken = ["ml"]\n'
    (tmp_path / "units.toml").write_text(good + good.replace("mL", "pint"))
    with pytest.raises(LexiconError, match=r"units\.toml: \[\[unit\]\] number 2, key 'code'"):
        load(tmp_path)


def test_the_file_opens_with_its_grammar() -> None:
    assert (folder() / "units.toml").read_text(encoding="utf-8").startswith("# Units:")
