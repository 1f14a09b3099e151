"""Of two balloons the one that is meant, called by its width alone."""

import pytest

from .telling import tells

BEFORE = "Seven by forty balloon. Up, ten. Down.\nNine by sixty balloon. Up, eight. Down.\n"
FIRST = [
    "inflation done balloon | diameter 7 mm, length 40 mm, pressure 10 atm",
    "inflation done balloon | diameter 9 mm, length 60 mm, pressure 8 atm",
]
CALLED = [
    pytest.param(
        "Up to fourteen with the seven. Down.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 14 atm"],
        id="told behind its pressure",
    ),
    pytest.param(
        "Inflate the seven again to twelve. Down.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 12 atm"],
        id="taken up by its width",
    ),
    pytest.param(
        "Take the seven to sixteen. Down.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 16 atm"],
        id="taken to",
    ),
    pytest.param("With the seven o'clock list we are late.", [], id="a clock time"),
    pytest.param("We dilate with the seven on Tuesday.", [], id="not now"),
]

test_a_balloon_is_called_by_its_width = tells(CALLED, BEFORE, FIRST)
