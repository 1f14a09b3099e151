"""What stands for a device named before: "the little one", "the long fellow", a size through a stent."""

import pytest

from .telling import told

STANDS_FOR = [
    pytest.param(
        "And the little balloon, three by twenty.\nThe little one is across... six... eight... five seconds, and down.",
        ["inflation done balloon | diameter 3 mm, duration 5 s, length 20 mm, pressure 8 atm"], id="the little one",
    ),
    pytest.param(
        "Two balloons, three by twenty and eight by forty, please.\nThe big one is across... six... eight... down.",
        ["inflation done balloon | diameter 8 mm, length 40 mm, pressure 8 atm"], id="the big one of two",
    ),
    pytest.param(
        "The short sheath, six French, is in.\nThe long sheath, six French, ninety centimetres, please.\n"
        "And the long fellow is up.",
        ["insert done sheath | gauge 6 [Ch]", "insert done sheath | gauge 6 [Ch], length 90 cm"], id="the long fellow",
    ),
    pytest.param(
        "Stent six by eighteen deployed.\nAn oh one four is through the stent, over it a six by twenty, at twelve.",
        ["stent done stent | diameter 6 mm, length 18 mm", "insert done wire | wire_diameter 0.014 [in_i]",
         "inflation done balloon | diameter 6 mm, length 20 mm, pressure 12 atm"], id="through the stent",
    ),
    pytest.param(
        "Six by forty balloon, please.\nStraight to the big one? A nine French sheath is in.",
        ["insert done sheath | gauge 9 [Ch]"], id="what something goes to is no balloon",
    ),
    pytest.param(
        "Stents, sixteen by one twenty for the top, fourteen by a hundred for the bottom, please.\n"
        "Top one... unsheathing... and that's the top one deployed.\nBottom one... deployed.",
        ["stent done stent | diameter 16 mm, length 120 mm", "stent done stent | diameter 14 mm, length 100 mm"],
        id="top and bottom",
    ),
    pytest.param(
        "Six by forty balloon, please.\nA smaller fellow than the last patient. The wire is in.",
        ["insert done wire"], id="a patient is none",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "events"), STANDS_FOR)
def test_what_stands_for_a_device(lines: str, events: list[str]) -> None:
    assert [event for event in told(lines) if " planned " not in event] == events
