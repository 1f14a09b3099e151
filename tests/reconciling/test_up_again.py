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
    pytest.param("Six by forty to fourteen.\nNominal is eight atmospheres.", [f"{SIX}, pressure 14 atm"],
                 id="a chart's pressure is none"),
    pytest.param("Six by forty to fourteen.\nThe waist gave at eight atmospheres.", [f"{SIX}, pressure 14 atm"],
                 id="nor the one at which it opened"),
    pytest.param("Six by forty to fourteen.\nTurn the gas up to six.", [f"{SIX}, pressure 14 atm"],
                 id="something else goes up"),
    pytest.param("Six by forty to fourteen.\nCount again, now six.", [f"{SIX}, pressure 14 atm"],
                 id="something is counted again"),
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
    pytest.param("Six by forty balloon to nine.\nDown.\n"
                 "Same balloon, nine atmospheres.\nPressure upper side twelve, lower side ten, so gradient two only.",
                 [f"{SIX}, pressure 9 atm", f"{SIX}, pressure 9 atm", "measure done | pressure 12 mm[Hg]",
                  "measure done | pressure 10 mm[Hg]", "measure done | gradient 2 mm[Hg]"],
                 id="pressures with a gradient are no balloon's"),
    pytest.param("Six by forty up to sixteen.\nDown. Fentanyl, twenty-five micrograms, is in.\n"
                 "One more time up, sixteen again.",
                 [f"{SIX}, pressure 16 atm", "drug done fentanyl | dose 25 ug", f"{SIX}, pressure 16 atm"],
                 id="up again is no further dose"),
    pytest.param("Fentanyl, twenty-five micrograms, is in.\nTwenty-five again.",
                 ["drug done fentanyl | dose 25 ug", "drug planned fentanyl | dose 25 ug"], id="a further dose is one"),
    pytest.param("Six by forty up, fourteen, fifteen seconds. One, two, three... Down.",
                 ["inflation done balloon | diameter 6 mm, duration 15 s, length 40 mm, pressure 14 atm"],
                 id="the first seconds counted aloud are no minutes"),
    pytest.param("Gradient twelve.\nMeasure again.\nTwo.",
                 ["measure done | gradient 12 mm[Hg]", "measure done | gradient 2 mm[Hg]"], id="measured again"),
    pytest.param("Gradient twelve.\nMeasure the femoral for me.\nSix.",
                 ["measure done | gradient 12 mm[Hg]", "measure done | diameter 6 mm"], id="another thing measured"),
    pytest.param("Pressure in the arm eighty, in the aorta one hundred forty-two, you do the math: sixty-two.",
                 ["measure done | pressure 80 mm[Hg]", "measure done | pressure 142 mm[Hg]",
                  "measure done | gradient 62 mm[Hg]"], id="the difference of two"),
]  # fmt: skip
test_what_looks_like_another_thing = tells(OTHERS, before=SHEATH, first=[IN])


PAIRS = [
    pytest.param("Eight by thirty-seven, two of them, covered, please.\nTogether, up to ten, and down.",
                 ["stent planned stent | count 2 {count}, diameter 8 mm, length 37 mm"]
                 + ["stent done stent | diameter 8 mm, length 37 mm, pressure 10 atm"] * 2, id="two of them, together"),
    pytest.param("Eight by thirty-seven, two of them, covered, please.\nFirst one, up to ten, and down.",
                 ["stent planned stent | count 2 {count}, diameter 8 mm, length 37 mm",
                  "stent done stent | diameter 8 mm, length 37 mm, pressure 10 atm"], id="two of them, one of them up"),
    pytest.param("I want two balloon-expandables, each eight by thirty-seven.\n"
                 "One, two, three, and we go to nine, both.\nDown.",
                 ["stent planned stent | count 2 {count}, diameter 8 mm, length 37 mm"]
                 + ["stent done stent | diameter 8 mm, length 37 mm, pressure 9 atm"] * 2, id="counted in"),
    pytest.param("Six by forty balloon, please.\nUp... two, three, four. Hold.",
                 ["inflation planned balloon | diameter 6 mm, length 40 mm", f"{SIX}, pressure 4 atm"],
                 id="counted up is no start"),
    pytest.param("Balloons eight by forty and seven by forty.\nAt the same time, inflate. Eight, nine, ten.",
                 ["inflation planned balloon | diameter 8 mm, length 40 mm",
                  "inflation planned balloon | diameter 7 mm, length 40 mm",
                  "inflation done balloon | diameter 8 mm, length 40 mm, pressure 10 atm",
                  "inflation done balloon | diameter 7 mm, length 40 mm, pressure 10 atm"], id="at the same time"),
    pytest.param("Balloons eight by forty and seven by forty.\nInflate, for the same time as before. Eight, ten.",
                 ["inflation planned balloon | diameter 8 mm, length 40 mm",
                  "inflation planned balloon | diameter 7 mm, length 40 mm",
                  "inflation done balloon | diameter 7 mm, length 40 mm, pressure 10 atm"], id="for the same time"),
]  # fmt: skip
test_two_at_once = tells(PAIRS, before=SHEATH, first=[IN])


NOT_THAT = [
    pytest.param("A stent, covered, thirteen five by fifty, please.",
                 ["stent planned stent | diameter 13.5 mm, length 50 mm"], id="thirteen five is a width"),
    pytest.param("Balloons, thirteen, five by fifty, please.",
                 ["inflation planned balloon | diameter 5 mm, length 50 mm"], id="over a comma it is none"),
    pytest.param("There's a pseudoaneurysm here, thirty-one mil across.\nNeck's about two millimetres wide.",
                 ["finding done pseudoaneurysm | diameter 31 mm", "measure done | diameter 2 mm"],
                 id="its neck is not how wide it is"),
    pytest.param("Thrombin. I've five hundred units to the mil in this syringe.", [], id="a concentration is no dose"),
    pytest.param("Heparin, five thousand units to her, in.", ["drug done heparin | dose 5000 [iU]"],
                 id="to somebody it is"),
    pytest.param("The leaflet says doxorubicin up to a hundred and fifty milligrams per session.",
                 ["drug quoted doxorubicin | dose 150 mg"], id="per session it is the dose"),
    pytest.param("The leaflet says heparin seventy units per kilo.", ["drug quoted heparin"],
                 id="per kilo it is none"),
    pytest.param("Foam first. How much did you mix? Six mils. I'll use four. Four's gone.",
                 ["embolise done foam | volume 4 mL"], id="what was mixed is not what went"),
    pytest.param("Five by forty. Start pumping. Four. Six.\nShe sings in the choir.\nOn Sunday.\nEight, and ten.",
                 ["inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm"],
                 id="higher and higher, after other talk"),
    pytest.param("Five by forty. Start pumping. Four. Six.\nShe sings in the choir.\nOn Sunday.\nTen of them.",
                 ["inflation done balloon | diameter 5 mm, length 40 mm, pressure 6 atm"], id="one of something else"),
    pytest.param("Six by forty up to ten.\nPress on that for ten minutes, Tom. Ten minutes it is.",
                 [f"{SIX}, pressure 10 atm"], id="the time a hole is pressed"),
    pytest.param("Six by forty up to ten.\nTen minutes.",
                 ["inflation done balloon | diameter 6 mm, duration 10 min, length 40 mm, pressure 10 atm"],
                 id="the time a balloon is up"),
]  # fmt: skip
test_what_a_figure_is_not = tells(NOT_THAT, before=SHEATH, first=[IN])

FIVE = "inflation done balloon | diameter 5 mm, duration 20 s, length 60 mm, pressure 9 atm"


def _other(pressure: int, time: str) -> str:
    return f"inflation done balloon | diameter 5 mm, duration {time}, length 60 mm, pressure {pressure} atm"


EMPTIED = [
    pytest.param("Empty. Eleven, forty seconds.", [FIVE, _other(11, "40 s")], id="empty, and one more"),
    pytest.param("And empty both. Seven, ten seconds.", [FIVE, _other(7, "10 s")], id="empty both"),
    pytest.param("The waiting room is empty. Good.", [FIVE], id="a room is empty"),
    pytest.param("Down. The proximal part looks the same.", [FIVE], id="it looks the same"),
    pytest.param("Down. His mother has the same in the centre.", [FIVE], id="somebody else has the same"),
]
test_emptied = tells(EMPTIED, before="Five by sixty balloon, in. Up to nine. Twenty seconds. ")
