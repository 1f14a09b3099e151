"""Those who say little (a device by a short name, access in three words, drugs swallowed) and those who think aloud."""

import pytest

from .telling import tell, tells

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


IN_THE_NEXT_SENTENCE = [
    pytest.param("And the CT from May? Eighty percent stenosis in the right iliac, they said.",
                 ["finding past stenosis | stenosis 80 %"], id="another examination"),
    pytest.param("What did the scan show? An occlusion, ten centimetres.",
                 ["finding past occlusion | length 10 cm"], id="what the scan showed"),
    pytest.param("Left leg was done two years back. Six by one hundred stent in the left SFA, still open.",
                 ["stent past stent | diameter 6 mm, length 100 mm"], id="another time"),
    pytest.param("Left leg's done. Now the right. Six by one hundred stent, please.",
                 ["stent planned stent | diameter 6 mm, length 100 mm"], id="the leg just done"),
    pytest.param("The CT was friendly. Right iliac, I see a stenosis of ninety percent.",
                 ["finding done stenosis | stenosis 90 %"], id="what I see now"),
    pytest.param("Right, stiff wire, two hundred and sixty. Oh three five, two sixty, stiff, coming. It's in.",
                 ["insert done wire | length 260 cm, wire_diameter 0.035 [in_i]"], id="read back with its thickness"),
    pytest.param("Pigtail, please. Five French pigtail, opening. It's up.",
                 ["insert done catheter | gauge 5 [Ch]"], id="read back with its gauge"),
    pytest.param(
        "Stent, eight by fifty, please.\nKeep the eight by fifty in its box. Give me the nine by fifty.\nDeployed.",
        ["stent planned stent | diameter 8 mm, length 50 mm", "stent negated stent | diameter 8 mm, length 50 mm",
         "stent planned stent | diameter 9 mm, length 50 mm", "stent done stent | diameter 9 mm, length 50 mm"],
        id="kept in its box",
    ),
    pytest.param(
        "Six French sheath is in. Sheath's out. Stitching... left artery's closed, and dry.",
        ["insert done sheath | gauge 6 [Ch]", "remove done sheath | gauge 6 [Ch]", "closure done | gauge 6 [Ch]"],
        id="stitched, then of which side",
    ),
]  # fmt: skip


IN_ANOTHER_TALK = [
    pytest.param("Sheath is in. Six by forty balloon across. Ten for thirty. Down.",
                 ["insert done sheath",
                  "inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 10 atm"],
                 id="a pressure for so long"),
    pytest.param("Sheath is in. Six by forty balloon. Up, ten. Hold it for ninety. Down.",
                 ["insert done sheath",
                  "inflation done balloon | diameter 6 mm, duration 90 s, length 40 mm, pressure 10 atm"],
                 id="hold it for ninety"),
    pytest.param("Sheath is in. Six by forty balloon across. Run, ten for thirty. Go.",
                 ["insert done sheath", "inflation planned balloon | diameter 6 mm, length 40 mm",
                  "run done | rate 10 mL/s, volume 30 mL"], id="a run with a balloon at hand"),
    pytest.param("Sheath is in. Two five by twenty balloon. Across. Up. Sixteen. Hold thirty. Down.",
                 ["insert done sheath",
                  "inflation done balloon | diameter 2.5 mm, duration 30 s, length 20 mm, pressure 16 atm"],
                 id="hold thirty"),
    pytest.param("Sheath is in. Six by forty balloon. Across. Up. Eight, ten. Hold twelve. Down.",
                 ["insert done sheath", "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm"],
                 id="hold twelve"),
    pytest.param("Sheath is in. Six by forty balloon. Across. Up. Eight, ten. Hold at fifteen. Down.",
                 ["insert done sheath", "inflation done balloon | diameter 6 mm, length 40 mm, pressure 15 atm"],
                 id="hold at fifteen"),
    pytest.param("Sheath is in. Femoral stenosis, ninety. Fifty long.",
                 ["insert done sheath", "finding done stenosis | length 50 mm, stenosis 90 %"], id="fifty long"),
    pytest.param("Sheath is in. Femoral stenosis, ninety percent. Call it eighty.",
                 ["insert done sheath", "finding done stenosis | stenosis 80 %"], id="call it eighty"),
    pytest.param(
        """Sheath is in. Eight by forty balloon, up, ten, down. Stent, ten by eighty. In place, deploying, it's open.
        Dilate to eight, twelve atmospheres, down.""",
        ["insert done sheath", "inflation done balloon | diameter 8 mm, length 40 mm, pressure 10 atm",
         "stent done stent | diameter 10 mm, length 80 mm",
         "inflation done balloon | diameter 8 mm, length 40 mm, pressure 12 atm"],
        id="dilated to the width of a balloon",
    ),
    pytest.param("Sheath is in. Post-dilate with a four oh by eight, sixteen. Down.",
                 ["insert done sheath", "inflation done balloon | diameter 4 mm, length 8 mm, pressure 16 atm"],
                 id="size and pressure, then down"),
    pytest.param("Sheath is in. Six by forty balloon across. Ten mils. Down.",
                 ["insert done sheath", "inflation planned balloon | diameter 6 mm, length 40 mm"],
                 id="a volume, then down"),
    pytest.param("Microcatheter, two eight French, please.", ["insert planned microcatheter | gauge 2.8 [Ch]"],
                 id="a microcatheter in digits"),
    pytest.param(
        "Nitro, two hundred, in. Six French sheath is in.\nCaudal, six mils. Cine. Cranial, same. Cine.",
        ["drug done nitroglycerin | dose 200 ug", "insert done sheath | gauge 6 [Ch]",
         "run done | volume 6 mL", "run done | volume 6 mL"],
        id="cine after a drug",
    ),
    pytest.param("Six French sheath is in. Let me check the old film, sorry.",
                 ["insert done sheath | gauge 6 [Ch]"], id="the old film"),
    pytest.param(
        "Eight by forty balloon across. Up. Ten. Down.\nOne could sit on it for five minutes with that same balloon.",
        ["inflation done balloon | diameter 8 mm, length 40 mm, pressure 10 atm",
         "inflation considered balloon | diameter 8 mm, duration 5 min, length 40 mm"],
        id="for how long one could",
    ),
    pytest.param(
        """Six by forty balloon across. Up. Eight. Down.
        Measure. On the right I get eight point one. Left, six point eight? Sorry, I misread, seven point eight.""",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 atm",
         "measure done | diameter 8.1 mm", "measure done | diameter 7.8 mm"],
        id="a tenth is no pressure",
    ),
]  # fmt: skip
test_told_amid_other_talk = tells(IN_ANOTHER_TALK)


test_told_in_the_next_sentence = tells(IN_THE_NEXT_SENTENCE)


test_said_at_length = tells(AT_LENGTH)


test_said_in_few_words = tells(CASES)


def test_the_balloon_of_a_stent_that_opened_by_itself_is_doubtful() -> None:
    lines = """Sheath is in. Eight by forty balloon, up, ten, down. Stent, ten by eighty. In place, it's open.
    Once more, twelve atmospheres, down."""
    last = tell(lines)[-1]
    assert (last.kind, last.values["pressure"].value) == ("inflation", 12)
    assert "which-device" in last.values["diameter"].flags
