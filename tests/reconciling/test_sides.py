"""Both sides of a patient: "the other side", the same again on it, and what is told of each in turn."""

import pytest

from .telling import tell, tells, told

LEFT_IN = "Left popliteal, needle... flash, we're in.\n"

SIDES = [
    pytest.param(
        f"{LEFT_IN}The other side, same vein... and in.", ["access done", "access done"], id="the other side",
    ),
    pytest.param(f"{LEFT_IN}Now the other groin, needle... and in.", ["access done"] * 2, id="the other groin"),
    pytest.param(
        "Left gets an eight French sheath, in and flushed. Right gets a six, in and flushed.",
        ["insert done sheath | gauge 8 [Ch]", "insert done sheath | gauge 6 [Ch]"], id="a number for the other side",
    ),
    pytest.param(
        "On the left, the stiff oh three five is in, two hundred and sixty centimetres.\n"
        "The other side, same stiff wire, straight up, and it's in the cava too.",
        ["insert done wire | length 260 cm, wire_diameter 0.035 [in_i]"] * 2, id="the same wire",
    ),
]  # fmt: skip
test_what_is_told_of_one_side_and_then_of_the_other = tells(SIDES)


def test_each_side_is_closed_with_its_own_hole_and_time() -> None:
    events = tell(
        "Eight French sheath is in on the left.\nTen French sheath is in on the right.\n"
        "The eight French is out on the left, the ten French is out on the right.\n"
        "Figure-of-eight stitch on the left, ten minutes' pressure. The other side, just pressure, same ten, and dry."
    )
    closures = [event for event in events if event.kind == "closure"]
    assert [(event.site.side, event.values["gauge"].value, event.values["duration"].value) for event in closures if
            event.site] == [("left", 8, 10), ("right", 10, 10)]  # fmt: skip


@pytest.mark.parametrize(
    "line",
    [
        "The wire comes out on the other side of the occlusion, six French sheath is in.",
        "Same as on the other side, six French sheath is in.",
        "The other side of the arch is calcified, six French sheath is in.",
    ],
    ids=["beyond", "compared", "of something"],
)
def test_talk_of_the_other_side_turns_to_none(line: str) -> None:
    (sheath,) = [event for event in tell(f"Left groin, flash, I'm in.\n{line}") if event.device == "sheath"]
    assert sheath.site is not None
    assert sheath.site.side == "left"


def test_which_of_two_holes_is_pressed_is_open_where_nobody_says() -> None:
    lines = "Six French sheath is in on the right.\nSeven French sheath is in on the left.\n"
    events = tell(lines + "Both sheaths out. Manual pressure, ten minutes.")
    (closure,) = [event for event in events if event.kind == "closure"]
    assert "which-device" in closure.values["gauge"].flags


@pytest.mark.parametrize(
    ("line", "events"),
    [
        (
            "IVUS out of the left, into the right.",
            ["remove done ultrasound catheter", "insert done ultrasound catheter"],
        ),
        (
            "IVUS out of the left, back up the right.",
            ["remove done ultrasound catheter", "insert done ultrasound catheter"],
        ),
        ("IVUS out of the left.", ["remove done ultrasound catheter"]),
    ],
    ids=["into", "back up", "out"],
)
def test_what_comes_out_of_one_access_goes_in_through_the_other(line: str, events: list[str]) -> None:
    lines = "Left popliteal, needle, flash, we're in. Right popliteal, needle, flash, in.\n"
    lines += "The IVUS catheter is up on the left.\n"
    assert told(lines + line)[3:] == events
