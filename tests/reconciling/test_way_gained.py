"""Access told with no needle spoken of, and what only sounds like it."""

import pytest

from .telling import tell


def _accesses(text: str) -> list[str]:
    return [str(event.status) for event in tell(text) if event.kind == "access"]


@pytest.mark.parametrize(
    "text",
    [
        "Brachial, in.",
        "Left groin. In. Flush that.",
        "Right jugular. Stuck. Lovely and dark.",
        "The popliteal is punctured.",
        "Her left radial has been cannulated.",
        "I've pricked the right brachial and a six French sheath is in.",
        "We have the left femoral, and it pulses.",
        "Left groin, puncture's good.",
        "Puncture is made, sir.",
        "Basilic puncture, no trouble. Five French sheath is up.",
        "Access, left femoral, under ultrasound.",
        "Retrograde stick, a five French sheath is in.",
        "Neck's stuck, ten French is up.",
        "We're in from the elbow.",
        "Needle's in the calyx.",
        "Stick's in.",
        "Radial: done. Six French sheath is in.",
    ],
)
def test_a_way_in_is_gained(text: str) -> None:
    assert _accesses(text) == ["done"]


def test_blood_after_it_is_of_the_same_needle() -> None:
    assert _accesses("Right groin is stuck. Nice blood back.") == ["done"]


def test_another_side_is_another_access() -> None:
    assert _accesses("Right groin, in. Six French sheath is up.\nLeft groin, in.") == ["done", "done"]


@pytest.mark.parametrize(
    "text",
    [
        "He's a pain in the neck, in fact.",
        "My neck is stuck from all this lead.",
        "I'm in a good mood today.",
        "The radial is in spasm.",
        "Is the femoral in?",
        "Not the radial. If that fails we puncture the brachial.",
        "Last year the right femoral was punctured.",
        "Right groin puncture was compressed by hand.",
        "The groin's dry and soft.",
        "Where's the access chart? Access is by the back door.",
        "The catheter from the groin is in.",
        "Lidocaine with the fine needle... in.",
        "So no jugular puncture today.",
        "Six French sheath is up. The pigtail goes through the femoral, in.",
    ],
)
def test_what_gains_none(text: str) -> None:
    assert "done" not in _accesses(text)


def test_with_one_in_the_same_side_is_no_new_way() -> None:
    assert _accesses("Left groin is stuck. Six French sheath is in.\nWe're in.") == ["done"]
