"""What only a device in place does: what was asked for is in then; and what tells of no such thing."""

import pytest

from .telling import told

DRAIN = ["insert planned drain | gauge 10 [Ch]", "insert done drain | gauge 10 [Ch]"]
WIRE = ["insert planned wire | wire_diameter 0.035 [in_i]", "insert done wire | wire_diameter 0.035 [in_i]"]
COBRA = ["insert planned catheter | gauge 4 [Ch]", "insert done catheter | gauge 4 [Ch]"]


@pytest.mark.parametrize(
    ("asked", "said", "events"),
    [
        pytest.param("Ten French drain, please.", "That's locked and stitched.", DRAIN, id="locked"),
        pytest.param("Ten French drain, please.", "Locked in the pelvis, the ten.", DRAIN, id="with no subject"),
        pytest.param("Ten French drain, please.", "Drain locked.", DRAIN, id="named"),
        pytest.param("Ten French drain, please.", "Ten's locked in the pelvis.", DRAIN, id="by its gauge"),
        pytest.param("Ten French drain, please.", "It went, loop closed.", DRAIN, id="it went"),
        pytest.param("Ten French drain, please.", "Locked, yes, ten French.", DRAIN, id="its size again"),
        pytest.param("Wire, oh three five, please.", "It coils well.", WIRE, id="a wire"),
        pytest.param("Four French cobra, please.", "It catches the celiac.", COBRA, id="a catheter"),
        pytest.param("Four French cobra, please.", "Hooked the left renal.", COBRA, id="hooked"),
        pytest.param("Ten French drain, please.", "Nurse, the phone.\nIt went.", DRAIN[:1], id="the call went, later"),
        pytest.param("Four French cobra, please.", "It catches the light.", COBRA[:1], id="something else is caught"),
        pytest.param("Wire, oh three five, please.", "It coils in its hoop.", WIRE[:1], id="a wire in its hoop"),
        pytest.param("Ten French drain, please.", "Loop's out.", DRAIN[:1], id="a loop that is out"),
        pytest.param("Ten French drain, please.", "Lock it when it's there.", DRAIN[:1], id="an order"),
        pytest.param("Ten French drain, please.", "Is it locked?", DRAIN[:1], id="a question"),
        pytest.param("Ten French drain, please.", "The holiday went well.", DRAIN[:1], id="something else went"),
        pytest.param("Wire, oh three five, please.", "The door is locked.", WIRE[:1], id="another subject"),
        pytest.param(
            "Six French sheath, please.", "It catches.", ["insert planned sheath | gauge 6 [Ch]"], id="a sheath"
        ),
    ],
)
def test_in_place(asked: str, said: str, events: list[str]) -> None:
    assert told(f"{asked}\n{said}") == events


def test_nothing_was_asked_for() -> None:
    assert told("It went, loop closed.\nHooked the left renal.") == []
