"""tools/calibration.py finds the weights that made the data, and tells how far off a confidence is."""

import random

import numpy as np
import pytest

from tools.calibration import Row, calibration_error, fit, predict


def test_weights_are_found_again() -> None:
    chance = random.Random(3)
    rows = []
    for _ in range(4000):
        signs = {"always": 1.0, "carried-over": float(chance.random() < 0.3), "word-odds": chance.gauss(1, 1)}
        odds = 2.0 - 1.5 * signs["carried-over"] + 0.5 * signs["word-odds"]
        rows.append(Row(signs, chance.random() < 1 / (1 + np.exp(-odds)), "a voice"))
    weights = fit(rows)
    assert next(iter(weights)) == "always"
    assert weights == pytest.approx({"always": 2.0, "carried-over": -1.5, "word-odds": 0.5}, abs=0.25)
    assert calibration_error(predict(weights, rows), np.array([row.right for row in rows])) < 0.02


@pytest.mark.parametrize(
    ("chances", "right", "error"),
    [
        pytest.param([0.9] * 10, [1] * 9 + [0], 0.0, id="as told"),
        pytest.param([0.9] * 10, [1] * 5 + [0] * 5, 0.4, id="too sure"),
        pytest.param([0.55, 0.95], [1, 1], 0.25, id="two bins, weighed"),
        pytest.param([1.0], [1], 0.0, id="quite sure"),
    ],
)
def test_the_error_of_calibration(chances: list[float], right: list[int], error: float) -> None:
    assert calibration_error(np.array(chances), np.array(right)) == pytest.approx(error)
