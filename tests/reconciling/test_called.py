"""What comes out, called by a word of the speaker's own, by its number alone, or told goodbye; what follows it out; and
dilators that go in and out again.
"""

import pytest

from .telling import tell, tells

SHEATH = "insert done sheath | gauge 7 [Ch], length 23 cm"
YELLOW = "insert done wire | length 260 cm, wire_diameter 0.018 [in_i]"
FLUSH = "insert done catheter | gauge 4 [Ch], length 65 cm"
SHEATH_OUT, YELLOW_OUT, FLUSH_OUT = (line.replace("insert", "remove") for line in (SHEATH, YELLOW, FLUSH))
SIX_IN, SEVEN_OUT = "insert done sheath | gauge 6 [Ch]", "remove done sheath | gauge 7 [Ch]"

test_own_words = tells(
    [
        pytest.param("Yellow's out.", [YELLOW_OUT], id="its word and no noun"),
        pytest.param("The yellow one is off now.", [YELLOW_OUT], id="and one for the noun"),
        pytest.param("Pull yellow, and a picture.", [YELLOW_OUT], id="pulled"),
        pytest.param("Flush out. Good.", [FLUSH_OUT], id="a word that a list has for something else"),
        pytest.param("The rinse goes out.", [], id="a word nothing was called by"),
        pytest.param("Is yellow out?", [], id="asked"),
        pytest.param("If yellow comes out I start again.", [], id="if"),
        pytest.param("Yellow light's out in the corridor.", [], id="something else that is yellow"),
        pytest.param("She has gone yellow, out of nowhere.", [], id="somebody turns yellow"),
        pytest.param("Wire gone. Good.", [YELLOW_OUT], id="gone"),
        pytest.param("Wire gone up to the arch.", [], id="gone somewhere"),
        pytest.param("The wire leaves. The sheath leaves too.", [YELLOW_OUT, SHEATH_OUT], id="leaves"),
        pytest.param("The wire leaves a mark on it.", [], id="leaves something"),
        pytest.param("Wire, goodbye. Sheath, bye.", [YELLOW_OUT, SHEATH_OUT], id="goodbye"),
        pytest.param("Goodbye, then, everybody.", [], id="goodbye to people"),
        pytest.param("Wire out, and the flush catheter follows.", [YELLOW_OUT, FLUSH_OUT], id="it follows"),
        pytest.param("Wire out, the sheath with it.", [YELLOW_OUT, SHEATH_OUT], id="with it"),
        pytest.param("Wire out, a six French sheath follows.", [YELLOW_OUT, SIX_IN], id="another one follows in"),
    ],
    before="Sheath, seven French, twenty-three, in.\nYellow wire, oh one eight, two sixty, in.\n"
    "Flush catheter, four French, sixty-five, in.\n",
    first=[SHEATH, YELLOW, FLUSH],
)

test_which_is_meant = tells(
    [
        pytest.param("Yellow wire out.", [YELLOW_OUT], id="the first"),
        pytest.param("Blue wire out.", [YELLOW_OUT.replace("018", "014").replace("260", "300")], id="the second"),
    ],
    before="Yellow wire, oh one eight, two sixty, in.\nBlue wire, oh one four, three hundred, in.\n",
    first=[YELLOW, YELLOW.replace("018", "014").replace("260", "300")],
)

ARM = "insert done sheath | gauge 5 [Ch], length 11 cm"
LEG = "insert done sheath | gauge 6 [Ch], length 25 cm"
STIFF = "insert done wire | length 180 cm, wire_diameter 0.035 [in_i]"
ARM_OUT, LEG_OUT, STIFF_OUT = (line.replace("insert", "remove") for line in (ARM, LEG, STIFF))

test_the_other_one = tells(
    [
        pytest.param("Arm sheath out. Leg one out, also.", [ARM_OUT, LEG_OUT], id="the one that is left"),
        pytest.param("Nobody's out, no one's out.", [], id="no one"),
        pytest.param("Wire back. Good.", [STIFF_OUT], id="wire back"),
        pytest.param("The wire, back.", [STIFF_OUT], id="the wire, back"),
        pytest.param("Wire back a little.", [], id="a little"),
        pytest.param("Wire back, thirty-five, and up.", [], id="back in, with its size"),
        pytest.param("I extract the wire.", [STIFF_OUT], id="extracted"),
    ],
    before="Arm sheath, five French, eleven, in.\nLeg sheath, six French, twenty-five, in.\n"
    "Wire, oh three five, one eighty, in.\n",
    first=[ARM, LEG, STIFF],
)

TEN_OUT = "remove done sheath | gauge 10 [Ch]"

test_sheath_out = tells(
    [
        pytest.param(
            "Ten out, twelve French sheath in.", [TEN_OUT, "insert done sheath | gauge 12 [Ch]"], id="another"
        ),
        pytest.param("Ten out. Suture.", [TEN_OUT, "closure done stitch | gauge 10 [Ch]"], id="a stitch for its hole"),
        pytest.param("Ten out of ten, well done.", [], id="of so many"),
        pytest.param("Room ten out, room twelve in.", [], id="rooms"),
        pytest.param("Is the ten out?", [], id="asked"),
    ],
    before="Right groin again.\n",
)

test_asked_sheath_out = tells(
    [pytest.param("Seven out. Good.", [SEVEN_OUT], id="asked for, then out")],
    before="Sheath, seven French, please.\n",
    first=["insert planned sheath | gauge 7 [Ch]"],
)


def _dilated(*gauges: int) -> list[str]:
    return [f"{way} done dilator | gauge {gauge} [Ch]" for gauge in gauges for way in ("insert", "remove")]


test_dilators = tells(
    [
        pytest.param("Nine French dilator, over and back.", _dilated(9), id="over and back"),
        pytest.param("A nine dilator, down and up.", _dilated(9), id="down and up"),
        pytest.param("Nine dilator passed, and taken back.", _dilated(9), id="passed and taken back"),
        pytest.param("Dilators. Six, through, off. Nine, in, out.", _dilated(6, 9), id="one after another"),
        pytest.param("Dilate six, nine, eleven, all passed and withdrawn.", _dilated(6, 9, 11), id="all of a row"),
        pytest.param("Dilator of nine French. In and out.", _dilated(9), id="in a sentence of its own"),
        pytest.param("Nine dilator over the wire.", ["insert done dilator | gauge 9 [Ch]"], id="in alone"),
        pytest.param(
            "The nine dilator, up and over the hill.", ["insert done dilator | gauge 9 [Ch]"], id="on its way"
        ),
    ]
)

test_cutter = tells(
    [
        pytest.param("Cutter out.", ["remove done atherectomy catheter | gauge 6 [Ch]"], id="cutter"),
        pytest.param("The burr is out.", ["remove done atherectomy catheter | gauge 6 [Ch]"], id="burr"),
        pytest.param("The laser pointer is out.", [], id="a laser of another kind"),
    ],
    before="Atherectomy catheter, six French, in.\n",
    first=["insert done atherectomy catheter | gauge 6 [Ch]"],
)


@pytest.mark.parametrize(
    ("line", "marked"),
    [
        pytest.param("Arm wire out.", False, id="called as it was when it went in"),
        pytest.param("Wire out.", True, id="either may be meant"),
    ],
)
def test_it_is_doubtful_which_one_is_meant(line: str, marked: bool) -> None:
    events = tell(f"Arm wire, oh one four, one ninety, in.\nLeg wire, oh one four, three hundred, in.\n{line}")
    assert any("which-device" in value.flags for value in events[-1].values.values()) is marked
