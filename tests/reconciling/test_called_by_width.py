"""Of two balloons the one that is meant, called by its width alone; and the last inflation once more."""

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

ALIKE = [
    pytest.param(
        "Lower end. Same. Down.",
        ["inflation done balloon | diameter 5 mm, duration 1 min, length 60 mm, pressure 10 bar"],
        id="pressure and time",
    ),
    pytest.param(
        "Same at the top, two minutes. Down.",
        ["inflation done balloon | diameter 5 mm, duration 2 min, length 60 mm, pressure 10 bar"],
        id="another time",
    ),
    pytest.param(
        "Same at the top, eight. Down.",
        ["inflation done balloon | diameter 5 mm, length 60 mm, pressure 8 bar"],
        id="another pressure",
    ),
    pytest.param("Same side for the next case.\nPut the light down.", [], id="of something else"),
]

test_the_same_is_its_pressure_and_its_time = tells(
    ALIKE,
    "Five by sixty balloon. Ten bar, one minute. Down.\n",
    ["inflation done balloon | diameter 5 mm, duration 1 min, length 60 mm, pressure 10 bar"],
)
