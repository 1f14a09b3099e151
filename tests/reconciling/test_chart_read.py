"""A chart read aloud, line by line: nothing goes up meanwhile."""

import pytest

from .telling import tells

READ = [
    pytest.param(
        "The balloon's card, what's it saying?\nSix at eight, doc.\nAnd harder?\nSix point four at fourteen.",
        [
            "inflation quoted | diameter 6 mm, pressure 8 atm",
            "inflation quoted | diameter 6.4 mm, pressure 14 atm",
        ],
        id="asked for more",
    ),
    pytest.param(
        "On the box of the balloon it is written, seven at eight atmospheres.\nAnd at sixteen?\nSeven point three.",
        [
            "inflation quoted | diameter 7 mm, pressure 8 atm",
            "inflation quoted | diameter 7.3 mm, pressure 16 atm",
        ],
        id="the pressure stands in the question",
    ),
    pytest.param(
        "Stent chart, check.\nThree point zero, nine atmospheres.\nFourteen atmospheres?\nThree point two.",
        [
            "stent quoted | diameter 3 mm, pressure 9 atm",
            "stent quoted | diameter 3.2 mm, pressure 14 atm",
        ],
        id="of a stent",
    ),
    pytest.param(
        "The compliance card, please read it.\nAt eight, six point zero. At twelve, six point two.",
        [
            "inflation quoted | diameter 6 mm, pressure 8 atm",
            "inflation quoted | diameter 6.2 mm, pressure 12 atm",
        ],
        id="the pressure first",
    ),
    pytest.param(
        "Five by forty balloon, please.\nWhat does the chart say?\nAt ten?\nFive point one.\nOkay, inflate. Ten. Down.",
        [
            "inflation planned balloon | diameter 5 mm, length 40 mm",
            "inflation quoted | diameter 5.1 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
        ],
        id="then it goes up",
    ),
    pytest.param(
        "The table of this balloon, please.\nNominal is eight.\nRated is fourteen.",
        ["inflation quoted | pressure 8 atm", "inflation quoted | pressure 14 atm"],
        id="nominal and rated",
    ),
]

test_what_is_read_is_quoted = tells(READ)
