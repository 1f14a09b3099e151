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
    pytest.param("Reference diameter fifteen point two.", ["measure done | diameter 15.2 mm"], id="name before figure"),
    pytest.param("The artery itself is four point two.", ["measure done | diameter 4.2 mm"], id="no verb"),
    pytest.param("Six point one I am measuring here.", ["measure done | diameter 6.1 mm"], id="verb after"),
    pytest.param("The tract length is six centimetres.", ["measure done | length 6 cm"], id="length by name"),
    pytest.param("From the renal to the split I get seventy-five.", ["measure done | length 75 mm"], id="from and to"),
    pytest.param(
        "The neck measures twenty millimetres wide and fifteen long.",
        ["measure done | diameter 20 mm, length 15 mm"],
        id="two sizes of one thing",
    ),
    pytest.param(
        "The vein measures, em, fourteen on the arm side and twelve and a half on the heart side.",
        ["measure done | diameter 14 mm", "measure done | diameter 12.5 mm"],
        id="both ends",
    ),
    pytest.param(
        """Left duct nine millimetres.
        Right duct seven millimetres.""",
        ["measure done | diameter 9 mm", "measure done | diameter 7 mm"],
        id="place and figure",
    ),
    pytest.param(
        "The branch measures three and a bit, three point two.", ["measure done | diameter 3.2 mm"], id="exact"
    ),
    pytest.param(
        "External iliac measures seven point four, no, move the cursor, seven point nine.",
        ["measure done | diameter 7.9 mm"],
        id="put right farther on",
    ),
    pytest.param("ACT? Two hundred and six, doctor.", ["measure done | act 206 s"], id="ACT asked for"),
    pytest.param(
        """What is the ACT?
        One ninety-five, doctor.""",
        ["measure done | act 195 s"],
        id="ACT answered in the next breath",
    ),
    pytest.param("Two hundred and ten is the ACT.", ["measure done | act 210 s"], id="ACT after the figure"),
    pytest.param(
        "ACT, two thirty-six, no, that is an old slip, it's two eighty.",
        ["measure done | act 280 s"],
        id="ACT put right",
    ),
    pytest.param(
        "Gradient right two, left zero.",
        ["measure done | gradient 2 mm[Hg]", "measure done | gradient 0 mm[Hg]"],
        id="gradient of two sides",
    ),
    pytest.param(
        "Pressures. Left gradient, eleven. Flush it. Left is two.",
        ["measure done | gradient 2 mm[Hg]"],
        id="gradient of one side told anew",
    ),
    pytest.param(
        "Pressure in the right atrium, eight.", ["measure done | pressure 8 mm[Hg]"], id="pressure in a chamber"
    ),
    pytest.param(
        "Pressures now. Atrium? Six. Wedged? Twenty. So the gradient is fourteen.",
        [
            "measure done | pressure 6 mm[Hg]",
            "measure done | pressure 20 mm[Hg]",
            "measure done | gradient 14 mm[Hg]",
        ],
        id="pressures asked for one by one",
    ),
    pytest.param(
        "Mean venous pressure was twenty-one millimetres of mercury, having been sixty before.",
        ["measure done | pressure 21 mm[Hg]", "measure done | pressure 60 mm[Hg]"],
        id="after and before",
    ),
    pytest.param("Sheath pressure. Thirty-one, doctor.", ["measure done | pressure 31 mm[Hg]"], id="pressure label"),
    pytest.param("Blood pressure one forty over eighty.", [], id="a vital sign"),
    pytest.param("His potassium's five point one today.", [], id="a blood result"),
    pytest.param("Ankle brachial index of zero point five.", [], id="an index"),
    pytest.param("He can walk a distance of eighty metres.", [], id="a walk"),
    pytest.param("Zero it. Not forty, please.", [], id="zero it"),
    pytest.param(
        "Particles are going. Half... one... one and a half... stop.",
        ["embolise done particles | volume 1.5 mL"],
        id="millilitres counted",
    ),
]


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_measures(lines: str, events: list[str]) -> None:
    assert told(lines) == events
