"""Balloons: what is said over one line or several -> the inflations of the case."""

import pytest

from .telling import told

CASES = [
    pytest.param(
        "Five by forty balloon, please.", ["inflation planned balloon | diameter 5 mm, length 40 mm"], id="asked for"
    ),
    pytest.param(
        "The six by eighty balloon's across. Going up, six, eight, ten... twelve atmospheres.",
        ["inflation done balloon | diameter 6 mm, length 80 mm, pressure 12 atm"],
        id="counted up to its peak",
    ),
    pytest.param(
        """Five by forty balloon, please.
        Balloon's across. Inflating to ten atmospheres.
        Hold for one minute.
        And down.""",
        [
            "inflation planned balloon | diameter 5 mm, length 40 mm",
            "inflation done balloon | diameter 5 mm, duration 1 min, length 40 mm, pressure 10 atm",
        ],
        id="asked for, then told over three lines",
    ),
    pytest.param(
        """Six by sixty balloon is across. Going up. Four, six, eight, ten.
        Holding at ten for two minutes.
        Deflate.""",
        ["inflation done balloon | diameter 6 mm, duration 2 min, length 60 mm, pressure 10 atm"],
        id="bare numbers while it goes up are atmospheres",
    ),
    pytest.param(
        """Six by sixty balloon is across. Up to eight atmospheres.
        Down.
        Up again to twelve atmospheres.
        Down.""",
        [
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 8 atm",
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 12 atm",
        ],
        id="down and up again is a second one of the same size",
    ),
    pytest.param(
        """The seven by forty balloon is up to fourteen atmospheres.
        And down.
        Same balloon, again, up to sixteen.
        Down.""",
        [
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 14 atm",
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 16 atm",
        ],
        id="same balloon again",
    ),
    pytest.param(
        """Five by forty balloon's across. Up to ten. Down.
        Same balloon, same pressure, further down. Down.""",
        [
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
        ],
        id="same balloon and same pressure",
    ),
    pytest.param(
        """The five by forty balloon's across. Inflating to ten atmospheres.
        Deflate. Balloon out.
        The six by forty balloon's across. Inflating to twelve atmospheres.
        Down.""",
        [
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm",
        ],
        id="two balloons, one after the other",
    ),
    pytest.param(
        "Seven by forty balloon is across. Up to fourteen, sorry, sixteen atmospheres, and down.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 16 atm"],
        id="a slip put right at once",
    ),
    pytest.param(
        "Seven by forty balloon, going up to fifteen, one five, atmospheres.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 15 atm"],
        id="the figure again, digit by digit",
    ),
    pytest.param(
        "Six by forty across. Up to nine. Nine atmospheres, yes nine. And down.",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 9 atm"],
        id="a figure repeated adds nothing",
    ),
    pytest.param(
        "The five by forty balloon's across. Up to ten atmospheres, thirty seconds, and down.",
        ["inflation done balloon | diameter 5 mm, duration 30 s, length 40 mm, pressure 10 atm"],
        id="a hold in seconds",
    ),
    pytest.param(
        "Five by one hundred drug coated balloon, up to eight atmospheres for three minutes.",
        ["inflation done balloon | diameter 5 mm, duration 3 min, length 100 mm, pressure 8 atm"],
        id="a hold in minutes",
    ),
    pytest.param(
        "The eight by forty balloon goes up to three hundred psi.",
        ["inflation done balloon | diameter 8 mm, length 40 mm, pressure 300 [psi]"],
        id="psi stay psi",
    ),
    pytest.param(
        "The eight by forty balloon goes up to twelve bar.",
        ["inflation done balloon | diameter 8 mm, length 40 mm, pressure 12 bar"],
        id="bar stay bar",
    ),
    pytest.param(
        "6x80 balloon, up to 14 atm, 60 s, down.",
        ["inflation done balloon | diameter 6 mm, duration 60 s, length 80 mm, pressure 14 atm"],
        id="as a recogniser writes it",
    ),
    pytest.param(
        "Inflate to twelve atmospheres.", ["inflation done balloon | pressure 12 atm"], id="of no balloon anybody named"
    ),
    pytest.param(
        "The label gives eight point one at twenty atmospheres.",
        ["inflation quoted | diameter 8.1 mm, pressure 20 atm"],
        id="a label",
    ),
    pytest.param(
        "The chart gives seven point two at eighteen.",
        ["inflation quoted | diameter 7.2 mm, pressure 18 atm"],
        id="a chart",
    ),
    pytest.param("Rated burst is sixteen atmospheres.", ["inflation quoted | pressure 16 atm"], id="a rated pressure"),
    pytest.param(
        "Three years ago he had a five by sixty balloon.",
        ["inflation past balloon | diameter 5 mm, length 60 mm"],
        id="years ago",
    ),
    pytest.param(
        "We might come back with a drug coated balloon, five by one hundred.",
        ["inflation considered balloon | diameter 5 mm, length 100 mm"],
        id="might",
    ),
    pytest.param("We are not going to balloon that.", ["inflation negated balloon"], id="not going to"),
    pytest.param(
        "Six by forty balloon's across. Up to eight atmospheres, hold it... and on up to twelve. Down.",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm"],
        id="two pressures, topped up",
    ),
    pytest.param(
        "Seven by forty balloon's across. Up to twelve, sorry, fourteen atmospheres. Down.",
        ["inflation done balloon | diameter 7 mm, length 40 mm, pressure 14 atm"],
        id="corrected",
    ),
    pytest.param(
        "Five by forty, no, five by sixty balloon, please.",
        ["inflation planned balloon | diameter 5 mm, length 60 mm"],
        id="size corrected",
    ),
    pytest.param(
        """Six by sixty balloon's across. Up to ten atmospheres. Down.
        Same again to twelve. Down.""",
        [
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, length 60 mm, pressure 12 atm",
        ],
        id="same again higher",
    ),
    pytest.param(
        "Six by sixty balloon's across. Ten atmospheres. Hold it for a minute and a half. Down.",
        ["inflation done balloon | diameter 6 mm, duration 1.5 min, length 60 mm, pressure 10 atm"],
        id="hold in words",
    ),
    pytest.param(
        "The lesion was dilated with a four by eighty balloon to eight atmospheres for two minutes.",
        ["inflation done balloon | diameter 4 mm, duration 2 min, length 80 mm, pressure 8 atm"],
        id="dictated",
    ),
    pytest.param(
        "No balloon today.",
        ["inflation negated balloon"],
        id="no balloon",
    ),
    pytest.param(
        "High pressure balloon, eight by forty, is in. Twenty... twenty-four atmospheres. Down.",
        ["inflation done balloon | diameter 8 mm, length 40 mm, pressure 24 atm"],
        id="high pressure balloon",
    ),
    pytest.param(
        "We could always balloon it again in six months.",
        ["inflation considered balloon"],
        id="could come back",
    ),
    pytest.param(
        "Five by forty balloon's across. Two, four, six, stop there. Hold. Down.",
        ["inflation done balloon | diameter 5 mm, length 40 mm, pressure 6 atm"],
        id="counting to nominal, stopped",
    ),
    pytest.param(
        """Six by sixty balloon's across. Up to ten atmospheres. Thirty seconds. Down.
        Up again to ten atmospheres. Ninety seconds. Down.""",
        [
            "inflation done balloon | diameter 6 mm, duration 30 s, length 60 mm, pressure 10 atm",
            "inflation done balloon | diameter 6 mm, duration 90 s, length 60 mm, pressure 10 atm",
        ],
        id="interrupted",
    ),
    pytest.param(
        """Give me the six by sixty balloon.
        No, we don't need that balloon.""",
        [
            "inflation planned balloon | diameter 6 mm, length 60 mm",
            "inflation negated balloon | diameter 6 mm, length 60 mm",
        ],
        id="retracted",
    ),
    pytest.param(
        """Seven by twenty balloon is across. Up to eighteen atmospheres. Waist is still there.
        Up to twenty-two. It's gone. Down.""",
        ["inflation done balloon | diameter 7 mm, length 20 mm, pressure 22 atm", "finding done waist"],
        id="fails to give",
    ),
    pytest.param(
        "Six by sixty balloon's across. Up we go. What are we at? Ten atmospheres. Down.",
        ["inflation done balloon | diameter 6 mm, length 60 mm, pressure 10 atm"],
        id="asked, answered",
    ),
    pytest.param(
        "Six by sixty balloon's across. Up to fourteen atmospheres. Balloon's burst.",
        ["inflation done balloon | diameter 6 mm, length 60 mm, pressure 14 atm"],
        id="burst",
    ),
    pytest.param(
        "The six by sixty balloon goes up to one thousand kilopascals.",
        ["inflation done balloon | diameter 6 mm, length 60 mm, pressure 1000 kPa"],
        id="kilopascal",
    ),
    pytest.param(
        """Seven by forty balloon, please.
        Going up, twelve... sixteen... twenty-six atmospheres, and pop, the waist is gone. And down.""",
        [
            "inflation planned balloon | diameter 7 mm, length 40 mm",
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 26 atm",
        ],
        id="what is gone is the waist",
    ),
    pytest.param(
        "Never go above twenty atmospheres with that one.", ["inflation quoted | pressure 20 atm"], id="a limit"
    ),
]


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_inflations(lines: str, events: list[str]) -> None:
    assert told(lines) == events
