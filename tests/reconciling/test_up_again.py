"""Figures a balloon's pressures swallowed: one more inflation that nobody let the first down for, and what only looked
like a pressure, a sheath or a run.
"""

import pytest

from .telling import tells

SHEATH = "Six French sheath is in.\n"
IN = "insert done sheath | gauge 6 [Ch]"
SIX = "inflation done balloon | diameter 6 mm, length 40 mm"

AGAIN = [
    pytest.param("Six by forty to twelve atmospheres, a waist stays.\nAgain it, to sixteen.",
                 [f"{SIX}, pressure 12 atm", "finding done waist", f"{SIX}, pressure 16 atm"], id="again, to another"),
    pytest.param("Six by forty to twelve.\nTwelve again.\nDown.", [f"{SIX}, pressure 12 atm"],
                 id="the same figure again is read back"),
    pytest.param("Six by forty to twelve.\nAnother go, sixteen.",
                 [f"{SIX}, pressure 12 atm", f"{SIX}, pressure 16 atm"], id="another go"),
    pytest.param("Six by forty to twelve.\nAnother sixteen minutes of this.", [f"{SIX}, pressure 12 atm"],
                 id="another of something else"),
    pytest.param("Six by forty to fourteen.\nUp to eight.", [f"{SIX}, pressure 14 atm", f"{SIX}, pressure 8 atm"],
                 id="up to less: it had come down"),
    pytest.param("Six by forty to fourteen.\nUp to sixteen.", [f"{SIX}, pressure 16 atm"], id="up to more: it went on"),
    pytest.param("Six by forty to fourteen, sorry, up to eight.", [f"{SIX}, pressure 8 atm"],
                 id="put right is no other"),
    pytest.param("Six by forty to twelve for a minute.\nBalloon back in, two atmospheres for five minutes.",
                 ["inflation done balloon | diameter 6 mm, duration 1 min, length 40 mm, pressure 12 atm",
                  "inflation done balloon | diameter 6 mm, duration 5 min, length 40 mm, pressure 2 atm"],
                 id="less, with its unit"),
    pytest.param("Stent six by forty deployed at ten. Same balloon, twelve.",
                 ["stent done stent | diameter 6 mm, length 40 mm, pressure 10 atm", f"{SIX}, pressure 12 atm"],
                 id="the balloon of a stent, in one breath"),
    pytest.param("Six by forty to ten.\nOkay.\nAnd now twelve.\nDown.", [f"{SIX}, pressure 12 atm"],
                 id="now, after other talk"),
    pytest.param("Six by forty to ten.\nOkay.\nAnd now twelve people at the door.\nDown.", [f"{SIX}, pressure 10 atm"],
                 id="now, of people"),
    pytest.param("Inflating the six by forty, eight, ten, twelve. Hold until I count thirty.",
                 ["inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 12 atm"],
                 id="counted to"),
]  # fmt: skip
test_one_more_inflation = tells(AGAIN, before=SHEATH, first=[IN])


OTHERS = [
    pytest.param("He's in room six.\nSix is out.", [], id="a patient by his room"),
    pytest.param("He's in room four.\nSix is out.", ["remove done sheath | gauge 6 [Ch]"], id="another room"),
    pytest.param("He's in room six.\nThe six is out.", ["remove done sheath | gauge 6 [Ch]"], id="the six"),
    pytest.param("I'd trade you a six for a seven.", [], id="traded is no run"),
    pytest.param("Run, six for twelve.", ["run done | rate 6 mL/s, volume 12 mL"], id="a rate for a volume"),
    pytest.param("Pressure dropped to seventy millimetres of mercury.", [], id="a pressure that is watched"),
    pytest.param("Pressure in the vein fell to nine millimetres of mercury.", ["measure done | pressure 9 mm[Hg]"],
                 id="a pressure somewhere"),
    pytest.param("Portal pressure is twenty-four millimetres of mercury.\n"
                 "After the stent the pressure fell to twelve millimetres of mercury.",
                 ["measure done | pressure 24 mm[Hg]", "measure done | pressure 12 mm[Hg]"],
                 id="a pressure that was measured before"),
]  # fmt: skip
test_what_looks_like_another_thing = tells(OTHERS, before=SHEATH, first=[IN])
