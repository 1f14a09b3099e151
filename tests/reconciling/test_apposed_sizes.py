"""Sizes told behind what a device is called besides, or behind where it went."""

import pytest

from .telling import told


@pytest.mark.parametrize(
    ("said", "events"),
    [
        pytest.param(
            "Five French cobra-shape catheter, eighty, is in the left renal.",
            ["insert done catheter | gauge 5 [Ch], length 80 cm"],
            id="kind and noun",
        ),
        pytest.param(
            "I'm taking a seven French guide, multipurpose, ninety, down to the ostium.",
            ["insert done guide catheter | gauge 7 [Ch], length 90 cm"],
            id="shape of a guide",
        ),
        pytest.param(
            "Drain, ten French, pigtail, thirty, placed.",
            ["insert done drain | gauge 10 [Ch], length 30 cm"],
            id="shape of a drain",
        ),
        pytest.param(
            "Guide, six French, multipurpose, five French, one twenty-five. Both in.",
            ["insert done guide catheter | gauge 6 [Ch]", "insert done catheter | gauge 5 [Ch], length 125 cm"],
            id="two catheters",
        ),
        pytest.param(
            "Seven French, little sheath, eleven. It's in.",
            ["insert done sheath | gauge 7 [Ch], length 11 cm"],
            id="size and noun",
        ),
        pytest.param("Six French, sheath out.", ["remove done sheath | gauge 6 [Ch]"], id="noun out"),
        pytest.param(
            "Four French catheter over it, short one, sixty-five.",
            ["insert done catheter | gauge 4 [Ch], length 65 cm"],
            id="short one",
        ),
        pytest.param(
            "Seven French sheath up. The other one, five minutes.", ["insert done sheath | gauge 7 [Ch]"], id="a time"
        ),
        pytest.param(
            "Hook catheter over the top, five French, with a floppy wire, oh three five.",
            ["insert done catheter | gauge 5 [Ch]", "insert planned wire | wire_diameter 0.035 [in_i]"],
            id="size behind the way",
        ),
        pytest.param(
            "Cobra up the left over a J. Four French.",
            ["insert done catheter | gauge 4 [Ch]", "insert done wire"],
            id="size in its own sentence",
        ),
        pytest.param(
            "Cobra up over the wire. Six French, please.",
            ["insert done catheter", "insert planned sheath | gauge 6 [Ch]"],
            id="another asked for",
        ),
        pytest.param(
            "Catheter in over a J wire. Six French sheath out.",
            ["insert done catheter", "insert done wire", "remove done sheath | gauge 6 [Ch]"],
            id="another out",
        ),
        pytest.param(
            "Multipurpose five, one twenty-five, inside the twenty. Over.",
            ["insert done catheter | gauge 5 [Ch], length 125 cm"],
            id="inside another",
        ),
    ],
)
def test_sizes_behind_what_it_is_called(said: str, events: list[str]) -> None:
    assert told(said) == events
