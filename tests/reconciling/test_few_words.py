"""Those who say little (a device by a short name, access in three words, drugs swallowed) and those who think aloud."""

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


AT_LENGTH = [
    pytest.param(
        "Ceftriaxone, one gram, no, she's a big lady, so two grams of ceftriaxone, please... and that's in.",
        ["drug done ceftriaxone | dose 2 g"],
        id="a drug named again with its dose",
    ),
    pytest.param(
        "Heparin five thousand, please, no rush, and another two thousand of heparin later.",
        ["drug planned heparin | dose 5000 [iU]", "drug planned heparin | dose 2000 [iU]"],
        id="one more later",
    ),
    pytest.param(
        "Needle's advancing, and what I get is, no, that's blood, so back I come and I try higher.",
        ["access negated"],
        id="back again",
    ),
    pytest.param(
        "Needle in... flash. Wire's through, it's down. Sheath won't go, try again.",
        ["access done", "insert done wire"],
        id="a sheath tried again",
    ),
    pytest.param("Needle's in the duct... bile. I always take some bile off first.", ["access done"], id="a habit"),
    pytest.param("I'd like to leave a drain across for a day or so.", ["insert planned drain"], id="a wish"),
    pytest.param("Hydrophilic wire down in the right femoral, that is where I want it.", ["insert done wire"],
                 id="where I want it"),
    pytest.param(
        "And the introducer sheath over it, six French, and that's in.",
        ["insert done sheath | gauge 6 [Ch]"],
        id="its size, then that it is in",
    ),
    pytest.param(
        """Puncture. Six French sheath is in. Cholangiogram, eight mils by hand... and that's running.
        Put that right for me, would you, the cholangiogram was ten mils altogether and not eight.""",
        ["insert done sheath | gauge 6 [Ch]", "run done | volume 10 mL"],
        id="put right politely",
    ),
    pytest.param(
        "A ten French drain, please.\nSo scrap the ten, it's the eight point five French drain, please.\nIt's in.",
        ["insert planned drain | gauge 10 [Ch]", "insert negated drain | gauge 10 [Ch]",
         "insert planned drain | gauge 8.5 [Ch]", "insert done drain | gauge 8.5 [Ch]"],
        id="the other one instead",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "events"), AT_LENGTH)
def test_said_at_length(lines: str, events: list[str]) -> None:
    assert told(lines) == events


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_said_in_few_words(lines: str, events: list[str]) -> None:
    assert told(lines) == events
