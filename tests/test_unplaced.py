"""tools/unplaced.py finds which clues tell that a figure belongs, and leaves the others without a weight."""

import random
from pathlib import Path

import numpy as np
import pytest

from extractor.model import Quantity
from tests.golden.scoring import Expected
from tools.unplaced import Row, _belongs, fit, rows_of, told


def test_the_clues_that_tell_are_found() -> None:
    chance = random.Random(5)
    rows = []
    for _ in range(4000):
        clues = ["always", *(name for name in ("unit mL", "beside moon", "beside Tuesday") if chance.random() < 0.4)]
        odds = -1.0 + 2.5 * ("unit mL" in clues) - 1.5 * ("beside moon" in clues)
        rows.append(Row("a", tuple(clues), chance.random() < 1 / (1 + np.exp(-odds)), True))
    weights = fit(rows)
    assert weights == pytest.approx({"always": -1.0, "unit mL": 2.5, "beside moon": -1.5}, abs=0.25)


def test_a_clue_seen_too_seldom_has_no_weight() -> None:
    rows = [Row("a", ("always", *(["unit mL"] if n < 3 else [])), n < 3, True) for n in range(200)]
    assert "unit mL" not in fit(rows)


SCRIPT = [
    Expected("inflation", "done", None, 10_000, 12_000, {"pressure": (12.0, "atm"), "duration": (60.0, "s")}),
    Expected("insert", "done", "wire", 10_000, 12_000, {"wire_diameter": (0.035, "[in_i]")}),
]
FIGURES = {
    "bare": (12.0, None, 11_000, True),
    "in its unit": (12.0, "atm", 11_000, True),
    "in another unit": (12.0, "mL", 11_000, False),
    "converted": (1.0, "min", 11_000, True),
    "bare, in another unit of the key": (1.0, None, 11_000, True),
    "another figure": (14.0, None, 11_000, False),
    "thousandths of an inch": (35.0, None, 11_000, True),
    "in the line beside": (12.0, None, 14_000, True),
    "elsewhere": (12.0, None, 16_000, False),
}


@pytest.mark.parametrize(("value", "unit", "at_ms", "belongs"), FIGURES.values(), ids=FIGURES)
def test_whether_a_figure_belongs(value: float, unit: str | None, at_ms: int, belongs: bool) -> None:
    assert _belongs(Quantity(value, unit, (0, 1), ""), at_ms, SCRIPT) is belongs


CASE = """
lines:
  - say: "Six French sheath in the right groin."
    events: [{kind: insert, status: done, device: sheath, values: {gauge: 6 Fr}}]
  - say: "Six by forty balloon across the lesion, up to twelve."
    events: [{kind: inflation, status: done, values: {diameter: 6 mm, length: 40 mm, pressure: 12 atm}}]
  - say: "The left one is nine, and the cat is eleven."
    events: [{kind: measure, status: done, values: {diameter: 9 mm}}]
"""


def test_the_figures_of_a_case(tmp_path: Path) -> None:
    (tmp_path / "moon-01.yaml").write_text(CASE, encoding="utf-8")
    rows = rows_of(tmp_path / "moon-01.yaml")
    assert {row.speaker for row in rows} == {"moon"}
    assert [(row.belongs, row.without_place) for row in rows] == [
        *([(True, False)] * 4),
        (True, True),
        (False, True),
    ]


def test_what_would_be_shown_is_counted() -> None:
    rows = [Row("a", (), True, True), Row("a", (), False, True), Row("a", (), True, False)]
    lines = told(rows, [0.7, 0.62, 0.9]).splitlines()
    assert lines[0] == "2 figures without a place, 1 of them belong"
    assert "  from 0.60: 2 shown, 1 of them belong" in lines
    assert "  from 0.65: 1 shown, 1 of them belong" in lines
