"""Sizes of wires, sheaths, catheters and the like said beside them, in the next sentence, in an answer."""

import pytest

from .telling import tell, told


@pytest.mark.parametrize(
    ("text", "events"),
    [
        pytest.param(
            "The exchange wire, three hundred, is in.",
            ["insert done wire | length 300 cm"],
            id="before the verb",
        ),
        pytest.param("The exchange wire, thirty, is in.", ["insert done wire"], id="no wire is so short"),
        pytest.param(
            "The sheath is a six French, eleven. It's in.",
            ["insert done sheath | gauge 6 [Ch], length 11 cm"],
            id="a length after a gauge",
        ),
        pytest.param(
            "Sheath. Six French. Forty-five. Is in.",
            ["insert done sheath | gauge 6 [Ch], length 45 cm"],
            id="each in a sentence of its own",
        ),
        pytest.param(
            "Micro, please. Two four. One thirty.\nIt's in.",
            [
                "insert planned microcatheter | gauge 2.4 [Ch], length 130 cm",
                "insert done microcatheter | gauge 2.4 [Ch], length 130 cm",
            ],
            id="two four of a micro is two point four",
        ),
        pytest.param(
            "Sheath is in, an eight French. And the length? Twenty-three centimetres.",
            ["insert done sheath | gauge 8 [Ch], length 23 cm"],
            id="asked for and answered",
        ),
        pytest.param("Wire of one metre and eighty, please.", ["insert planned wire | length 180 cm"], id="metres and"),
        pytest.param(
            "Give me a wire of zero point eight nine millimetres.",
            ["insert planned wire | wire_diameter 0.89 mm"],
            id="a thickness in millimetres",
        ),
        pytest.param(
            "Five French catheter is in the aorta. Twenty at ten. Go.",
            ["insert done catheter | gauge 5 [Ch]", "run done | rate 10 mL/s, volume 20 mL"],
            id="the settings of a run are no size",
        ),
        pytest.param(
            "Sheath, please, seven French, thirty-five? Ninety long.\nSheath's in.",
            ["insert planned sheath | gauge 7 [Ch], length 90 cm", "insert done sheath | gauge 7 [Ch], length 90 cm"],
            id="the answer is to the length asked about",
        ),
        pytest.param(
            "Sheath up, six French. It's an eleven centimetre sheath.",
            ["insert done sheath | gauge 6 [Ch], length 11 cm"],
            id="told of it with its noun",
        ),
        pytest.param(
            "The wire measures one eighty and is zero thirty-five thick. Wire's in.",
            ["insert done wire | length 180 cm, wire_diameter 0.035 [in_i]"],
            id="two sizes joined by a verb",
        ),
        pytest.param(
            "Ninety centimetre sheath, and make it a six.",
            ["insert planned sheath | gauge 6 [Ch], length 90 cm"],
            id="no length is put right by a gauge",
        ),
        pytest.param(
            "Sheath in seven French, please.",
            ["insert planned sheath | gauge 7 [Ch]"],
            id="in so many French",
        ),
    ],
)
def test_a_size_told_beside_its_device(text: str, events: list[str]) -> None:
    assert told(text) == events


QUARTERS = [
    pytest.param("Two seventy-five by twelve balloon.", 2.75, 12, id="crossed"),
    pytest.param("Two seventy-five non-compliant balloon, length twelve, please.", 2.75, 12, id="length told behind"),
    pytest.param("Three twenty-five stent by eighteen, please.", 3.25, 18, id="crossed behind the noun"),
    pytest.param("Two fifty balloon, fifteen long.", 2.5, 15, id="so long"),
    pytest.param("Three seventy-five balloon, please.", 3.75, None, id="nothing is seventy-five long"),
    pytest.param("Four fifty balloon, please.", 4, 50, id="what may be long stays a length"),
]


@pytest.mark.parametrize(("line", "diameter", "length"), QUARTERS)
def test_quarters_of_a_millimetre(line: str, diameter: float, length: float | None) -> None:
    """Read as two by seventy-five they would be silently wrong twice."""
    (event,) = tell(line)
    assert event.values["diameter"].value == diameter
    assert (event.values["length"].value if length else length) == length


def test_quarters_are_of_balloons_and_stents_alone() -> None:
    assert told("The ACT is two seventy-five, good for this length.") == ["measure done | act 275 s"]


PACES = ["One atmosphere every five seconds.", "Slow, two atmospheres a minute.", "One bar per second, please."]


@pytest.mark.parametrize("line", PACES)
def test_how_fast_it_goes_up_is_neither_a_pressure_nor_a_time(line: str) -> None:
    *_, event = tell(f"Six by twenty balloon, please.\n{line}\nAt eight now. Down.")
    assert event.values["pressure"].value == 8
    assert "duration" not in event.values
