"""Those who say little: a device by a short name, access in three words, drugs swallowed, what nobody does."""

import pytest

from .telling import told

CASES = [
    pytest.param(
        "Five French left diagnostic's up.\nLeft diagnostic's out. Right diagnostic, five French, up.",
        ["insert done catheter | gauge 5 [Ch]", "remove done catheter | gauge 5 [Ch]",
         "insert done catheter | gauge 5 [Ch]"],
        id="a diagnostic catheter",
    ),
    pytest.param("Left diagnostic run, six mils by hand. Go.", ["run done | volume 6 mL"], id="a diagnostic run"),
    pytest.param("Right radial. Puncture. Nope. Again. Got it.", ["access done"], id="got it"),
    pytest.param("Right femoral. Stick. Missed. Bit deeper. There we go.", ["access done"], id="there we go"),
    pytest.param("Needle to me. Got it. Thank you.", [], id="handed over"),
    pytest.param(
        "Ticagrelor, one eighty, please.\nSwallowed? Yes, ticagrelor's gone down.",
        ["drug planned ticagrelor | dose 180 mg", "drug done ticagrelor | dose 180 mg"],
        id="swallowed",
    ),
    pytest.param("Sheath's in. The wire has gone down the femoral.", ["insert done sheath", "insert done wire"],
                 id="a wire gone down"),
    pytest.param("Nobody's giving protamine, right? Right.", ["drug negated protamine"], id="nobody gives it"),
    pytest.param(
        "Second oh one four. Fiddly... in the diagonal.",
        ["insert done wire | wire_diameter 0.014 [in_i]"],
        id="where it has come to",
    ),
    pytest.param(
        "Oh one four wire, please. Look... in the drawer.",
        ["insert planned wire | wire_diameter 0.014 [in_i]"],
        id="where it lies",
    ),
    pytest.param(
        "Oh one eight wire, please. Come on, it's on the shelf behind you.",
        ["insert planned wire | wire_diameter 0.018 [in_i]"],
        id="on the shelf",
    ),
    pytest.param(
        "The introducer, six French. Enters very well, is in its place.",
        ["insert done sheath | gauge 6 [Ch]"],
        id="in its place",
    ),
    pytest.param(
        "Six French sheath is in.\nPlug for the groin, six French.\nSheath out, plug down. Thumb on, two minutes. Dry.",
        ["insert done sheath | gauge 6 [Ch]", "closure planned plug | gauge 6 [Ch]",
         "remove done sheath | gauge 6 [Ch]", "closure done plug | duration 2 min, gauge 6 [Ch]"],
        id="a plug called for",
    ),
    pytest.param("Six French sheath is in. See the waist? Not having it.",
                 ["insert done sheath | gauge 6 [Ch]", "finding done waist"], id="see the waist"),
    pytest.param("Six French sheath is in. Is there a waist? No.",
                 ["insert done sheath | gauge 6 [Ch]", "finding negated waist"], id="is there a waist"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_said_in_few_words(lines: str, events: list[str]) -> None:
    assert told(lines) == events
