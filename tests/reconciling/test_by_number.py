"""Wires and sheaths called by their number along a tube or taken away; what is pulled, gone or outside; sizes like
another's; and which wire goes through what is in.
"""

import pytest

from .telling import tell, tells

SHEATH = "insert done sheath | gauge 6 [Ch], length 11 cm"
SHEATH_OUT = "remove done sheath | gauge 6 [Ch], length 11 cm"
MICRO = "insert done microcatheter | gauge 2.4 [Ch], length 130 cm"
SIXTEEN, SIXTEEN_OUT = (
    "insert done wire | wire_diameter 0.016 [in_i]",
    "remove done wire | wire_diameter 0.016 [in_i]",
)
WIRE = "insert done wire | length 190 cm, wire_diameter 0.014 [in_i]"
WIRE_OUT = "remove done wire | length 190 cm, wire_diameter 0.014 [in_i]"
PIGTAIL = "insert done catheter | gauge 5 [Ch], length 90 cm"
PIGTAIL_OUT = "remove done catheter | gauge 5 [Ch], length 90 cm"

ALONG = [
    pytest.param("over a sixteen. Both there.", [MICRO, SIXTEEN], id="over a number"),
    pytest.param("in on a sixteen. Both there. Sixteen out.", [MICRO, SIXTEEN, SIXTEEN_OUT], id="and it comes out"),
    pytest.param("with a sixteen. Both in.", [MICRO, SIXTEEN], id="a microcatheter with a number"),
    pytest.param("in. Sixteen out.", [MICRO, SIXTEEN_OUT], id="out, though nobody said that it went in"),
    pytest.param("in. Sixteen minutes so far. The sixteen is full.", [MICRO], id="minutes and beds are no wires"),
    pytest.param("in. Eighteen out of twenty do well.", [MICRO], id="of so many"),
    pytest.param("in. The sixteen is off today.", [MICRO], id="somebody's day off"),
    pytest.param("in over a twelve. Six minutes more.", [MICRO], id="no wire is of twelve thousandths"),
]
test_along = tells(
    [
        pytest.param(f"Micro, two point four French, one thirty, {case.values[0]}", case.values[1], id=str(case.id))
        for case in ALONG
    ]
)

test_taken = tells(
    [
        pytest.param(
            "Pull the fourteen. Ten by hand.", [WIRE_OUT, "run done | volume 10 mL"], id="pulled by its number"
        ),
        pytest.param("So the fourteen, I pull. Done.", [WIRE_OUT], id="who pulls it comes behind"),
        pytest.param("I take the fourteen away.", [WIRE_OUT], id="taken away"),
        pytest.param("Pull wire. Good.", [WIRE_OUT], id="pull wire"),
        pytest.param("The wire I take out now.", [WIRE_OUT], id="the wire I take out"),
        pytest.param("Wire back out. Good.", [WIRE_OUT], id="back out"),
        pytest.param("Wire outside. Good.", [WIRE_OUT], id="outside"),
        pytest.param("He is from outside.", [], id="somebody from outside"),
        pytest.param("Wire's gone. Good.", [WIRE_OUT], id="gone"),
        pytest.param("Wire's gone up to the arch.", [], id="gone somewhere"),
        pytest.param("Pull the wire back into the sheath.", [], id="it moves"),
        pytest.param("Pull the wire once he is warm.", [], id="for later"),
        pytest.param("Take the fourteen to bed three.", [], id="another fourteen"),
        pytest.param("You hold the drape, I pull.", [], id="something else is held"),
        pytest.param("Take the fourteen off the shelf.", [], id="off a shelf"),
        pytest.param("It is raining outside.", [], id="rain outside"),
        pytest.param("It exits through the foramen.", [], id="where it leaves a canal"),
        pytest.param("She is leaving.", [], id="somebody is leaving"),
        pytest.param("The wire's gone too far.", [], id="too far"),
        pytest.param("The wire's gone, kinked.", [], id="spoilt"),
        pytest.param("The kink in the wire's gone.", [], id="what was in it is gone"),
        pytest.param("Pull the wire. Not yet, wait.", [], id="called off"),
        pytest.param("Pull the wire, slowly, two centimetres.", [], id="so far and no further"),
        pytest.param("Pull the wire and watch the tip.", [], id="it is watched"),
        pytest.param("Ease the wire off the vessel wall.", [], id="off a wall"),
        pytest.param("Wire is right out in the periphery.", [], id="far out in a vessel"),
        pytest.param("Wire is right out of the patient.", [WIRE_OUT], id="right out of the patient"),
    ],
    before="Wire, oh one four, one ninety, in.\n",
    first=[WIRE],
)

test_pulled = tells(
    [
        pytest.param("Sheath pulled, and a swab.", [SHEATH_OUT], id="pulled"),
        pytest.param("Sheath, pulled.", [SHEATH_OUT], id="after a comma"),
        pytest.param("Sheath pulled back a centimetre.", [], id="pulled back"),
        pytest.param(
            "Six out. Eight French, equal length, in.",
            [SHEATH_OUT, "insert done sheath | gauge 8 [Ch], length 11 cm"],
            id="of equal length",
        ),
    ],
    before="Sheath, six French, eleven centimetres, in.\n",
    first=[SHEATH],
)

test_hole = tells(
    [
        pytest.param(
            "Right groin. Six out, I press.",
            ["remove done sheath | gauge 6 [Ch]"],
            id="a sheath nobody spoke of, by its hole",
        ),
        pytest.param("Six out of ten, I'd say. Press on.", [], id="a mark"),
        pytest.param("Eight are out, press the lift.", [], id="people"),
    ]
)

test_pig = tells(
    [
        pytest.param("Pig out. Right.", [PIGTAIL_OUT], id="short for it"),
        pytest.param("The pigtail come off. Right.", [PIGTAIL_OUT], id="come off"),
        pytest.param("He eats like a pig.", [], id="small talk"),
        pytest.param("Pigtail come off please.", ["insert planned catheter"], id="asked to come off"),
    ],
    before="Pigtail, five French, ninety, in.\n",
    first=[PIGTAIL],
)

test_arrived = tells(
    [
        pytest.param("Pigtail, five French, ninety, up to L2.", [PIGTAIL], id="up to a vertebra"),
        pytest.param("Pigtail, five French, ninety, over to the left iliac.", [PIGTAIL], id="over to a vessel"),
        pytest.param(
            "Pigtail, five French, ninety, to the left iliac, please.",
            ["insert planned catheter | gauge 5 [Ch], length 90 cm"],
            id="asked for",
        ),
        pytest.param("The pigtail will go up to L2.", [], id="to be"),
        pytest.param(
            "A six French sheath to the right radial is standard.",
            ["insert planned sheath | gauge 6 [Ch]"],
            id="as a rule",
        ),
        pytest.param(
            "Six French sheath to the left of the tray.", ["insert planned sheath | gauge 6 [Ch]"], id="where it lies"
        ),
        pytest.param("The sheath is lying on the table, flushed.", [], id="on the table, ready"),
    ]
)

test_alike = tells(
    [
        pytest.param(
            "Second micro, same French, one fifty. In.",
            ["insert done microcatheter | gauge 2.4 [Ch], length 150 cm"],
            id="the same gauge, another length",
        ),
        pytest.param("He wears the same size as you.", [], id="somebody's size"),
    ],
    before="Micro, two point four French, one thirty, in.\n",
    first=[MICRO],
)


def test_a_size_alike_is_told_behind() -> None:
    lines = "Stiff wire, thirty-five, one eighty, in.\nStiff out, hydrophilic in. Same gauge, two sixty."
    assert {key: value.value for key, value in tell(lines)[-1].values.items()} == {
        "wire_diameter": 0.035,
        "length": 260,
    }


BOTH = """Wire, oh three five, one fifty, in. Wire out.
    Micro, two point four French, one thirty, in. Wire, oh one six, in. """


@pytest.mark.parametrize(
    ("line", "thick"),
    [
        pytest.param("Wire out. Wire in.", 0.016, id="a thin one goes through the microcatheter"),
        pytest.param("Wire out. Micro out. Wire in.", 0.035, id="once that is out, the thick one"),
        pytest.param("Micro out, wire out.", 0.016, id="the wire of what comes out with it"),
    ],
)
def test_which_wire(line: str, thick: float) -> None:
    assert tell(BOTH + line)[-1].values["wire_diameter"].value == thick


test_said_in_rows = tells(
    [
        pytest.param("Six French, eleven sheath. In.", [SHEATH], id="a length before the noun"),
        pytest.param("Six French, eleven in. Good.", [SHEATH], id="a length before what became of it"),
        pytest.param(
            "Six French out, eight in.",
            ["remove done sheath | gauge 6 [Ch]", "insert done sheath | gauge 8 [Ch]"],
            id="another one goes in",
        ),
        pytest.param(
            "Wire, oh three five, J, eighty, in.",
            ["insert done wire | length 80 cm, wire_diameter 0.035 [in_i]"],
            id="what it is called between its sizes",
        ),
        pytest.param("Wire out, J in.", ["remove done wire", "insert done wire"], id="two wires"),
    ]
)


def test_one_asked_for_since_may_be_what_comes_out() -> None:
    lines = "Micro, two point eight French, in.\nI need a micro, two point four French. Ten by hand. Micro out."
    doubtful = tell(lines)[-1].values["gauge"]
    assert (doubtful.value, doubtful.review) == (2.8, True)
