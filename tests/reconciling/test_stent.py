"""Stents: released, or opened by a balloon; asked for, ruled out, of years ago."""

import pytest

from .telling import told

CASES = [
    pytest.param(
        """Six by one hundred self-expanding stent, please.
        Stent's across. Deploying. And it's fully deployed.""",
        ["stent planned stent | diameter 6 mm, length 100 mm", "stent done stent | diameter 6 mm, length 100 mm"],
        id="asked for, then released",
    ),
    pytest.param(
        "Balloon-mounted stent, seven by twenty-nine. It's in position. Up to ten atmospheres, and down.",
        ["stent done stent | diameter 7 mm, length 29 mm, pressure 10 atm"],
        id="opened by its balloon is one event with its pressure",
    ),
    pytest.param(
        """Covered stent, eight by fifty, deployed.
        Post-dilating with a seven by forty to twelve atmospheres.""",
        [
            "stent done stent | diameter 8 mm, length 50 mm",
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 12 atm",
        ],
        id="dilating it afterwards is an inflation of its own",
    ),
    pytest.param(
        "A double pigtail ureteric stent, seven French by twenty-four centimetres, was deployed.",
        ["stent done stent | gauge 7 [Ch], length 24 cm"],
        id="a ureteric stent has a gauge",
    ),
    pytest.param(
        """Stent, seven by sixty, please.
        We're not putting that stent in.""",
        ["stent planned stent | diameter 7 mm, length 60 mm", "stent negated stent | diameter 7 mm, length 60 mm"],
        id="asked for, then ruled out",
    ),
    pytest.param("We are not putting a stent in.", ["stent negated stent"], id="ruled out"),
    pytest.param(
        "We might need a stent, six by forty.",
        ["stent considered stent | diameter 6 mm, length 40 mm"],
        id="might need",
    ),
    pytest.param(
        "He had a stent last year, six by eighty.", ["stent past stent | diameter 6 mm, length 80 mm"], id="last year"
    ),
    pytest.param(
        "The chart for the stent says six point three at fourteen.",
        ["stent quoted | diameter 6.3 mm, pressure 14 atm"],
        id="its chart",
    ),
    pytest.param(
        """Six by sixty stent deployed.
        Second stent, six by forty, overlapping, deployed.""",
        ["stent done stent | diameter 6 mm, length 60 mm", "stent done stent | diameter 6 mm, length 40 mm"],
        id="two stents",
    ),
    pytest.param(
        "A seven by eighty self-expanding stent was deployed.",
        ["stent done stent | diameter 7 mm, length 80 mm"],
        id="dictated",
    ),
    pytest.param(
        "We're going to put a seven by sixty stent in.",
        ["stent planned stent | diameter 7 mm, length 60 mm"],
        id="going to",
    ),
    pytest.param(
        "Stent please, six by eighty, no, six by one hundred.",
        ["stent planned stent | diameter 6 mm, length 100 mm"],
        id="correction of size",
    ),
    pytest.param(
        "The metal stent, ten by sixty, is deployed.",
        ["stent done stent | diameter 10 mm, length 60 mm"],
        id="biliary",
    ),
    pytest.param(
        "Stent graft, eight by one hundred, deployed.",
        ["stent done stent | diameter 8 mm, length 100 mm"],
        id="stent graft",
    ),
    pytest.param(
        "No stent today.",
        ["stent negated stent"],
        id="no stent",
    ),
    pytest.param(
        """Six by eighty stent is deployed.
        Five by forty balloon, up to ten atmospheres. Down.""",
        [
            "stent done stent | diameter 6 mm, length 80 mm",
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
        ],
        id="post dilated after a while",
    ),
]


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_stents(lines: str, events: list[str]) -> None:
    assert told(lines) == events
