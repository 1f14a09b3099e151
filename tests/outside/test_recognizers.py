"""Numbers and units in sentences, against the Microsoft Recognizers-Text specifications.

Source: github.com/microsoft/Recognizers-Text, Specs/Number/English and Specs/NumberWithUnit/English (JSON with a byte
order mark). Licence: MIT. Rows the source marks NotSupported for Python are theirs to doubt; they are run all the same
and told apart by their reason where they fail.
"""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from extractor.lexicon import load
from extractor.reading.numbers import Number, read_numbers
from extractor.reading.quantities import read_figures, unit_forms
from extractor.reading.tokens import tokenise

UNITS = unit_forms(load())

#: Their unit -> (UCUM code, how many of it). Results in other units are none of ours.
THEIR_UNITS = {
    "Millimeter": ("mm", 1), "Centimeter": ("cm", 1), "Meter": ("cm", 100), "Inch": ("[in_i]", 1),
    "Milliliter": ("mL", 1), "Microgram": ("ug", 1), "Gram": ("g", 1),
}  # fmt: skip

#: What the reader does not read, and why: (pattern on the input, reason). First match counts. Each such row must fail.
OUT_OF_SCOPE_NUMBERS = [
    (r"\^|\de[+-]?\d|x10", "powers: nobody says them"),
    (r"(?<![\w.])- ?\d|negative|minus", "negative numbers: no size, pressure, volume or dose of the trade is one"),
    (r"\d ?(k|G|M|b|MM|mil)\b|bln\b", "letters and slang for thousands and millions"),
    (r"\d[ \u202f]\d{3}(?!\d)|\d,\d\d,\d{3}", "blanks and Indian groups between thousands: no recogniser writes them"),
    (r"1\.111,11", "a point between thousands"),
    (r"192\.168", "dotted addresses"),
    (r"^(one|1|2000) over|one out of three|out of five hundred|in twenty-one",
     "ratios: 'ninety over fifty' is a blood pressure here, 'one in three' a mixture"),
    (r"trillionth|hundredth|hundred fifths|thirtieth|five ninths|twenty-fifth|^a (fifth|twenty-first)$",
     "fractions finer than tenths, or a bare one"),
    (r"(y|y[ -]\w+|hundred|hundred and|thousand|two hundred three|and three and three)[ -](fif|fir)(ths?|sts?)$",
     "fractions whose upper part has more than one word"),
    (r"\d(ml|km) |1m isn't", "a number written against its unit: they call it no number, we read both"),
    (r"- (two|fourth|eighths)", "a hyphen between blanks: a dash here, and a breath"),
    (r"and two dozens|dzs|dozs", "dozens of dozens"),
    (r"\d hundred and (0|21|2\.12)|322 hundred", "figures and words mixed inside one number"),
    (r"quarters million|thirds of a million|lakh crore|billion and a (half|quarter) million",
     "fractions of millions after another number"),
    (r"three-nought-four", "digit by digit is one number here, its digits the alternatives"),
]  # fmt: skip


#: The same for units.
OUT_OF_SCOPE_DIMENSIONS = [
    (r"(?<!-)\b[\d.]+ ?m\b(?!212)", "'m' alone: recognisers write it for mm and mL too, so it is no unit here"),
    (r"\d feet (and )?\d", "feet and inches as one height"),
    (r"meters per millisecond", "speeds: the length before 'per' is read"),
]


def _reason(spec: dict[str, Any], table: list[tuple[str, str]]) -> str | None:
    return next((reason for pattern, reason in table if re.search(pattern, spec["Input"])), None)


def _specs(folder: Path, name: str) -> list[dict[str, Any]]:
    specs: list[dict[str, Any]] = json.loads((folder / "recognizers-text/Specs" / name).read_text(encoding="utf-8-sig"))
    return specs


def _row(spec: dict[str, Any], reason: str | None) -> object:
    doubted = "python" in spec.get("NotSupported", "") or "python" in spec.get("NotSupportedByDesign", "")
    if reason:
        reason = f"out of scope: {reason}" + (" (NotSupported by the source too)" if doubted else "")
    marks = [pytest.mark.xfail(reason=reason, strict=True)] if reason else []
    return pytest.param(spec, id=spec["Input"][:80], marks=marks)


def number_rows(folder: Path) -> list[object]:
    specs = _specs(folder, "Number/English/NumberModel.json")
    return [_row(spec, _reason(spec, OUT_OF_SCOPE_NUMBERS)) for spec in specs]


def dimension_rows(folder: Path) -> list[object]:
    specs = _specs(folder, "NumberWithUnit/English/DimensionModel.json")
    return [_row(spec, _reason(spec, OUT_OF_SCOPE_DIMENSIONS)) for spec in specs]


def quantities(text: str) -> list[Number]:
    return [number for number in read_numbers(tokenise(text.split())) if number.form not in {"pronoun", "label"}]


def test_numbers(number_row: dict[str, Any]) -> None:
    expected = [float(result["Resolution"]["value"]) for result in number_row["Results"]]
    found = [number.value for number in quantities(number_row["Input"])]
    assert found == [pytest.approx(value, rel=1e-12) for value in expected]


def test_dimensions(dimension_row: dict[str, Any]) -> None:
    """Every quantity in a unit of ours is found, with its value; no other is found that they do not know."""
    resolutions = [result["Resolution"] for result in dimension_row["Results"]]
    expected = {
        (THEIR_UNITS[each["unit"]][0], round(float(each["value"]) * THEIR_UNITS[each["unit"]][1], 6))
        for each in resolutions
        if each["unit"] in THEIR_UNITS and each["value"] is not None
    }
    figures = read_figures(tokenise(dimension_row["Input"].split()), UNITS)
    found = {(part.unit, round(part.value, 6)) for figure in figures for part in figure.parts if part.unit}
    comparable = {code for code, _ in THEIR_UNITS.values()}
    assert {quantity for quantity in found if quantity[0] in comparable} == expected
