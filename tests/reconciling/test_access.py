"""The needle finds the vessel: one access for one hole, however often it is told."""

import pytest

from .telling import tells, told

CASES = [
    pytest.param("Micropuncture of the vein, and I have entry into the graft.", ["access done"], id="entry"),
    pytest.param("Second stick near the elbow, looking down, in.", ["access done"], id="in, after a pause"),
    pytest.param("Lidocaine with the insulin needle... in.", ["drug done lidocaine"], id="a drug is in"),
    pytest.param(
        """Right artery, I stick... flash. Seven French sheath is in.
        Left, that one is yours. Yes? I am in.""",
        ["access done", "insert done sheath | gauge 7 [Ch]", "access done"],
        id="another hand on the other side",
    ),
    pytest.param("So the pedal puncture, we don't do it.", ["access negated"], id="refused"),
    pytest.param("If it won't pass from above, I puncture the tibial.", ["access considered"], id="if"),
    pytest.param(
        """Left vein, I stick... there is a return, we are in.
        Hm. That's pulsating, so we were not in the vein at all.""",
        ["access negated"],
        id="the wrong vessel, found out in the next breath",
    ),
    pytest.param("With the probe on the fistula, I stick... okay, I am inside.", ["access done"], id="inside"),
    pytest.param(
        """Groin punctured, good flash. Aspiration catheter, eight French, is in.
        First passage, second passage, third, and the blood is red.""",
        ["access done", "insert done aspiration catheter | gauge 8 [Ch]"],
        id="passes of what went in are no punctures",
    ),
    pytest.param(
        "Left radial, needle in, good flash, I'm in.",
        ["access done"],
        id="left radial",
    ),
    pytest.param(
        "The right common femoral artery was punctured under ultrasound guidance.",
        ["access done"],
        id="dictated",
    ),
    pytest.param(
        "Brachial punctured, blood back. Five French sheath's in.",
        ["access done", "insert done sheath | gauge 5 [Ch]"],
        id="with its sheath",
    ),
    pytest.param(
        """Left groin punctured, blood back. Six French sheath in.
        Right groin punctured now, blood back. Seven French sheath in.""",
        ["access done", "insert done sheath | gauge 6 [Ch]", "access done", "insert done sheath | gauge 7 [Ch]"],
        id="two punctures",
    ),
    pytest.param(
        "If that fails we could go from the left arm with a puncture of the brachial.",
        ["access considered"],
        id="if that fails",
    ),
    pytest.param(
        "Last month they punctured the left groin.",
        ["access past"],
        id="last time",
    ),
    pytest.param(
        "We are not going to puncture the left side.",
        ["access negated"],
        id="not the left",
    ),
    pytest.param(
        "Needle in... no, missed it. Again. There's the flash, we're in.",
        ["access done"],
        id="missed, then in",
    ),
    pytest.param(
        "Retrograde puncture of the posterior tibial, and I have blood back.",
        ["access done"],
        id="retrograde",
    ),
    pytest.param(
        "Needle's in, no flash yet.",
        [],
        id="no flash is none",
    ),
    pytest.param(
        "Needle into the graft, I have blood back.",
        ["access done"],
        id="graft",
    ),
    pytest.param(
        "Eighteen gauge needle... through the scar... nothing comes. I'm not in.",
        ["access negated"],
        id="not in",
    ),
    pytest.param(
        "I stuck the radial on the first pass.",
        ["access done"],
        id="stuck",
    ),
    pytest.param(
        """Needle's in the right femoral, flash.
        I'm in the aorta with the wire.""",
        ["access done"],
        id="in the aorta: where the wire is",
    ),
    pytest.param(
        """Right femoral artery punctured, flash.
        Ultrasound on the left. Flashback. Left side too.""",
        ["access done", "access done"],
        id="a flash on the other side",
    ),
    pytest.param(
        """Cobra's in the renal. Wire out, a bit of blood comes back.""",
        ["insert done catheter", "remove done wire"],
        id="blood from a catheter",
    ),
]
test_access = tells(CASES)


@pytest.mark.parametrize(
    ("line", "events"),
    [
        pytest.param("Puncture of the vein, towards the elbow, it is done.", ["access done"], id="told to be done"),
        pytest.param("Puncture, then lidocaine, it is done.", [], id="the drug is done"),
    ],
)
def test_a_puncture_is_done(line: str, events: list[str]) -> None:
    assert [event for event in told(line) if event.startswith("access")] == events


@pytest.mark.parametrize(
    "line",
    [
        "He aims towards the shoulder, probe in the left hand, and there, blood in the hub, he's in.",
        "He punctures towards the elbow... blood, he's in.",
    ],
)
def test_an_access_somebody_else_tells(line: str) -> None:
    assert told(line) == ["access done"]


@pytest.mark.parametrize("line", ["Left groin, entered.", "Vein entered, red blood."])
def test_what_is_entered_is_no_drug(line: str) -> None:
    lines = told(f"Protamine thirty please.\n{line}")
    assert "access done" in {told_line.split(" | ")[0].strip() for told_line in lines}
    assert not any(told_line.startswith("drug done") for told_line in lines)
