"""Pressures told by the gradient that is their difference, and readings that only passed."""

import pytest

from .telling import tells

SIDES_OF_A_GRADIENT = [
    pytest.param(
        "Arm side, thirty-three... thirty-one. And the far side's twenty-four, so the gradient's seven now.",
        ["measure done | pressure 31 mm[Hg]", "measure done | pressure 24 mm[Hg]", "measure done | gradient 7 mm[Hg]"],
        id="the two it is the difference of",
    ),
    pytest.param(
        "Portal twenty-two, right atrium seven. Gradient fifteen.",
        ["measure done | pressure 22 mm[Hg]", "measure done | pressure 7 mm[Hg]", "measure done | gradient 15 mm[Hg]"],
        id="two places",
    ),
    pytest.param(
        "Pressures. Above, forty-four, it falls, forty-two of mercury. Below, thirteen. Gradient, twenty-nine.",
        ["measure done | pressure 42 mm[Hg]", "measure done | pressure 13 mm[Hg]", "measure done | gradient 29 mm[Hg]"],
        id="what the needle only passed",
    ),
    pytest.param(
        "Six, eight and four of those. The gradient is three.",
        ["measure done | gradient 3 mm[Hg]"],
        id="figures of something else",
    ),
    pytest.param(
        "Ruler on the vein. Twelve and a half... eleven point eight.",
        ["measure done | diameter 11.8 mm"],
        id="a size read twice",
    ),
]
test_pressures_told_by_their_gradient = tells(SIDES_OF_A_GRADIENT)
