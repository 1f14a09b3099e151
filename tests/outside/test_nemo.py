"""Spoken numbers and units against NVIDIA NeMo-text-processing's inverse text normalisation tests.

Source: github.com/NVIDIA/NeMo-text-processing, tests/nemo_text_processing/en/data_inverse_text_normalization, files of
``spoken~written`` lines. Licence: Apache-2.0.
"""

import re
from pathlib import Path

import pytest

from extractor.lexicon import load
from extractor.reading.numbers import read_numbers
from extractor.reading.quantities import read_figures, unit_forms
from extractor.reading.tokens import tokenise

CASES = "nemo-itn/tests/nemo_text_processing/en/data_inverse_text_normalization"
UNITS = unit_forms(load())
SCALES = {"thousand": 1e3, "million": 1e6, "billion": 1e9, "trillion": 1e12}

#: Written unit -> (UCUM code, how many of it); every other unit there must not be taken for one of ours.
WRITTEN_UNITS = {
    "mm": ("mm", 1), "cm": ("cm", 1), "m": ("cm", 100), "μm": ("mm", 0.001), "ml": ("mL", 1), "cc": ("mL", 1),
    "%": ("%", 1), "h": ("min", 60), "g": ("g", 1),
}  # fmt: skip

#: What the reader does not read, and why; each such row must fail, or it has come into scope.
OUT_OF_SCOPE = [
    (r"(?i)^minus ", "negative numbers: no size, pressure, volume or dose of the trade is one"),
    (r"(?i)quadrillion|quintillion|sextillion", "numbers beyond 10^15"),
]


def _rows(folder: Path, *names: str) -> list[object]:
    lines = [line for name in names for line in (folder / CASES / f"test_cases_{name}.txt").read_text().splitlines()]
    rows = []
    for line in dict.fromkeys(filter(str.strip, lines)):
        reason = next((reason for pattern, reason in OUT_OF_SCOPE if re.search(pattern, line)), None)
        marks = [pytest.mark.xfail(reason=f"out of scope: {reason}", strict=True)] if reason else []
        rows.append(pytest.param(tuple(line.split("~")), id=line, marks=marks))
    return rows


def measure_rows(folder: Path) -> list[object]:
    return _rows(folder, "measure", "measure_cased")


def number_rows(folder: Path) -> list[object]:
    return _rows(folder, "decimal", "decimal_cased", "cardinal", "cardinal_cased")


def test_numbers(number_row: tuple[str, str]) -> None:
    spoken, written = number_row
    amount, _, scale = written.lower().partition(" ")
    words = {"zero": 0.0, "twelve": 12.0}  # the source leaves these in words
    expected = words.get(amount) if amount in words else float(amount) * SCALES.get(scale, 1)
    assert [number.value for number in read_numbers(tokenise(spoken.split()))] == [pytest.approx(expected, rel=1e-12)]


def test_measures(measure_row: tuple[str, str]) -> None:
    spoken, written = measure_row
    amount, _, unit = written.partition(" ")
    (figure,) = read_figures(tokenise(spoken.split()), UNITS)
    (part,) = figure.parts
    if unit in WRITTEN_UNITS:
        code, times = WRITTEN_UNITS[unit]
        assert (part.value, part.unit) == (pytest.approx(float(amount) * times), code)
    else:
        assert (part.value, part.unit) == (pytest.approx(float(amount), rel=1e-12), None)
