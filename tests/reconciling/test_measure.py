"""What is measured now: sizes, gradients, clotting times, pressures."""

import pytest

from .telling import told

CASES = [
    pytest.param(
        "The artery measures six point two millimetres.",
        ["measure done | diameter 6.2 mm"],
        id="vessel",
    ),
    pytest.param(
        "The lesion measures forty-five millimetres in length.",
        ["measure done | length 45 mm"],
        id="lesion length",
    ),
    pytest.param(
        "Gradient is two millimetres of mercury now.",
        ["measure done | gradient 2 mm[Hg]"],
        id="gradient zero",
    ),
    pytest.param(
        "ACT two hundred and ten.",
        ["measure done | act 210 s"],
        id="ACT without is",
    ),
    pytest.param(
        """ACT is one hundred and ninety.
        ACT is now two hundred and sixty.""",
        ["measure done | act 190 s", "measure done | act 260 s"],
        id="act twice",
    ),
    pytest.param(
        "It measures five, sorry, six millimetres.",
        ["measure done | diameter 6 mm"],
        id="corrected",
    ),
    pytest.param(
        "Portal pressure is eighteen millimetres of mercury.",
        ["measure done | pressure 18 mm[Hg]"],
        id="pressure",
    ),
    pytest.param(
        "A gradient of twenty-two millimetres of mercury was measured.",
        ["measure done | gradient 22 mm[Hg]"],
        id="dictated",
    ),
    pytest.param(
        "On the CT last week it measured five millimetres.",
        ["measure past | diameter 5 mm"],
        id="on the scan",
    ),
    pytest.param(
        "Callipers on it, four point five millimetres.",
        ["measure done | diameter 4.5 mm"],
        id="callipers",
    ),
    pytest.param(
        "As a rule the gradient should be under ten millimetres of mercury.",
        ["measure quoted | gradient 10 mm[Hg]"],
        id="a rule",
    ),
    pytest.param(
        "Common femoral measures eight millimetres, external iliac seven millimetres.",
        ["measure done | diameter 8 mm", "measure done | diameter 7 mm"],
        id="diameters of two vessels",
    ),
    pytest.param(
        "I make it a seventy percent stenosis.",
        ["finding done stenosis | stenosis 70 %"],
        id="stenosis",
    ),
]


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_measures(lines: str, events: list[str]) -> None:
    assert told(lines) == events
