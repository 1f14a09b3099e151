"""What is seen, ruled out, feared, known from before; and what is measured now."""

import pytest

from .telling import tell, tells, told

CASES = [
    pytest.param(
        "There's an eighty percent stenosis in the mid SFA.",
        ["finding done stenosis | stenosis 80 %"],
        id="a share of the vessel",
    ),
    pytest.param(
        "There is a ninety percent stenosis, eight centimetres long, in the right superficial femoral artery.",
        ["finding done stenosis | length 8 cm, stenosis 90 %"],
        id="share and length",
    ),
    pytest.param("The popliteal is occluded.", ["finding done occlusion"], id="as a verb"),
    pytest.param("Three vessel run-off.", ["finding done run-off"], id="run-off"),
    pytest.param("Type two endoleak.", ["finding done endoleak"], id="endoleak"),
    pytest.param("There's a waist.", ["finding done waist"], id="a waist"),
    pytest.param("Some spasm in the tibial.", ["finding done spasm"], id="spasm"),
    pytest.param(
        "No dissection, no extravasation.",
        ["finding negated dissection", "finding negated extravasation"],
        id="two ruled out",
    ),
    pytest.param(
        "No dissection or perforation.",
        ["finding negated dissection", "finding negated perforation"],
        id="one no for two",
    ),
    pytest.param(
        "No dissection, but there is some spasm.",
        ["finding negated dissection", "finding done spasm"],
        id="a but turns it",
    ),
    pytest.param(
        "No stenosis, thrombus, spasm, or dissection.",
        [
            "finding negated stenosis",
            "finding negated thrombus",
            "finding negated spasm",
            "finding negated dissection",
        ],
        id="one no for a whole list",
    ),
    pytest.param("Dissection has been ruled out.", ["finding negated dissection"], id="ruled out, said behind it"),
    pytest.param("Possible dissection in the SFA.", ["finding considered dissection"], id="possible"),
    pytest.param("That might not be a dissection.", ["finding considered dissection"], id="might not be"),
    pytest.param("I'm worried about a perforation.", ["finding considered perforation"], id="feared"),
    pytest.param("There might be a small dissection.", ["finding considered dissection"], id="might be"),
    pytest.param("CT last week showed an aneurysm.", ["finding past aneurysm"], id="last week's scan"),
    pytest.param(
        "The reference vessel measures five point five millimetres.",
        ["measure done | diameter 5.5 mm"],
        id="a measured vessel",
    ),
    pytest.param("Gradient is eighteen millimetres of mercury.", ["measure done | gradient 18 mm[Hg]"], id="gradient"),
    pytest.param("The ACT is two hundred and thirty-eight.", ["measure done | act 238 s"], id="ACT"),
    pytest.param(
        "There's extravasation at the origin.",
        ["finding done extravasation"],
        id="extravasation",
    ),
    pytest.param(
        "No residual stenosis.",
        ["finding negated stenosis"],
        id="no residual",
    ),
    pytest.param(
        "No evidence of thrombus.",
        ["finding negated thrombus"],
        id="no evidence of",
    ),
    pytest.param(
        "Residual stenosis of thirty percent.",
        ["finding done stenosis | stenosis 30 %"],
        id="residual share",
    ),
    pytest.param(
        "The waist has gone.",
        [],
        id="waist gone",
    ),
    pytest.param(
        "There's an aneurysm of twenty-two millimetres.",
        ["finding done aneurysm | diameter 22 mm"],
        id="aneurysm size",
    ),
    pytest.param(
        "If there's a dissection we'll stent it.",
        ["finding considered dissection", "stent considered stent"],
        id="if dissection",
    ),
    pytest.param(
        "The vessel is heavily calcified.",
        ["finding done calcification"],
        id="calcified",
    ),
    pytest.param(
        "The iliac is free of thrombus.",
        ["finding negated thrombus"],
        id="free of",
    ),
    pytest.param(
        "In general a dissection like that heals by itself.",
        ["finding quoted dissection"],
        id="teaching",
    ),
    pytest.param(
        "No dissection nor spasm.",
        ["finding negated dissection", "finding negated spasm"],
        id="nor",
    ),
    pytest.param(
        "Good flow, two vessel run-off.",
        ["finding done run-off"],
        id="good flow",
    ),
    pytest.param(
        "No dissection, extravasation or spasm.",
        ["finding negated dissection", "finding negated extravasation", "finding negated spasm"],
        id="a list of what is not there",
    ),
    pytest.param("That looks like a dissection.", ["finding considered dissection"], id="looks like"),
    pytest.param(
        "The occlusion measures eleven centimetres.", ["finding done occlusion | length 11 cm"], id="how long it is"
    ),
    pytest.param("The spasm has settled nicely.", ["finding negated spasm"], id="settled"),
    pytest.param(
        "Thrombus has gone down into the peroneal.", ["finding done thrombus"], id="gone somewhere is not gone"
    ),
    pytest.param("Haematoma no, both pulses are there.", ["finding negated haematoma"], id="a no said behind it"),
    pytest.param("Perforation, none.", ["finding negated perforation"], id="none, as on a checklist"),
    pytest.param("I cannot see any extravasation.", ["finding negated extravasation"], id="cannot see any"),
    pytest.param("We can't exclude a small dissection.", ["finding considered dissection"], id="cannot exclude"),
    pytest.param(
        "No dissection apart from a short flap at the ostium.",
        ["finding negated dissection", "finding done dissection"],
        id="what is excepted is seen",
    ),
    pytest.param("It proved not to be thrombus.", ["finding negated thrombus"], id="not to be"),
    pytest.param("Nothing left of that narrowing.", ["finding negated stenosis"], id="nothing left of"),
    pytest.param(
        """There is an occlusion of the tibial.
        And that's an occlusion too, in the peroneal.""",
        ["finding done occlusion", "finding done occlusion"],
        id="that's a second one",
    ),
    pytest.param(
        "Angiogram, six mils by hand. Look, dissection? No, it's spasm.",
        ["run done | volume 6 mL", "finding done spasm"],
        id="asked, and something else answered",
    ),
    pytest.param("Is that a dissection? Yes.", ["finding done dissection"], id="asked, and answered with yes"),
    pytest.param(
        "Is that a dissection, a dissection? Yes.", ["finding done dissection"], id="asked twice over, and one event"
    ),
    pytest.param("Is that thrombus? No.", ["finding negated thrombus"], id="asked, and answered with no"),
    pytest.param("That's a dissection, isn't it?", ["finding done dissection"], id="told, with a tag"),
    pytest.param("Perforation... no, no perforation.", ["finding negated perforation"], id="feared, then ruled out"),
    pytest.param(
        """There's a stenosis of the iliac.
        The wire was passed through the left iliac stenosis.
        We treated the stenosis.""",
        ["finding done stenosis", "insert done wire"],
        id="a known one is where something is done",
    ),
    pytest.param(
        """There's a pseudoaneurysm of thirty millimetres.
        And now the pseudoaneurysm is twenty millimetres.""",
        ["finding done pseudoaneurysm | diameter 30 mm", "finding done pseudoaneurysm | diameter 20 mm"],
        id="a known one measured anew",
    ),
    pytest.param(
        "Extravasation there, and an eight millimetre pseudoaneurysm.",
        ["finding done extravasation", "finding done pseudoaneurysm | diameter 8 mm"],
        id="a figure belongs to what follows it",
    ),
    pytest.param(
        "A sixty percent, three centimetre stenosis.",
        ["finding done stenosis | length 3 cm, stenosis 60 %"],
        id="two figures before it",
    ),
    pytest.param(
        "There is a stenosis. Seventy percent, two centimetres long.",
        ["finding done stenosis | length 2 cm, stenosis 70 %"],
        id="measures in a sentence of their own",
    ),
    pytest.param(
        "A haematoma, three centimetres... four across.",
        ["finding done haematoma | diameter 4 cm"],
        id="read again, wider",
    ),
    pytest.param(
        "No thrombus left, no thrombus right.",
        ["finding negated thrombus", "finding negated thrombus"],
        id="ruled out on both sides",
    ),
    pytest.param("Because of the calcification we wait.", ["finding done calcification"], id="told in passing"),
    pytest.param(
        """The stenosis has eighty percent. Six by forty balloon, up to ten, down. Residual stenosis of ten percent.""",
        [
            "finding done stenosis | stenosis 80 %",
            "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm",
            "finding done stenosis | stenosis 10 %",
        ],
        id="what is left of it once it was treated is one more",
    ),
]
test_findings = tells(CASES)


PLACES = [
    pytest.param(
        "There's an eighty percent stenosis in the mid SFA.", "superficial femoral artery", None, "mid", id="part"
    ),
    pytest.param("Stenosis in the right common iliac artery.", "common iliac artery", "right", None, id="side"),
    pytest.param("Thrombus in the popliteal.", "popliteal artery", None, None, id="short name"),
]


@pytest.mark.parametrize(("lines", "name", "side", "part"), PLACES)
def test_where_it_is_seen(lines: str, name: str, side: str | None, part: str | None) -> None:
    (event,) = tell(lines)
    assert event.site is not None
    assert (event.site.name, event.site.side, event.site.part) == (name, side, part)


TOLD_IN_PASSING = [
    pytest.param("For the run-off there are two vessels.", ["finding done run-off"], id="for the run-off"),
    pytest.param(
        "That is the sac, and inside it thrombus, a lot.",
        ["finding done thrombus"],
        id="inside it",
    ),
    pytest.param("With the echo I see thrombus up to the elbow.", ["finding done thrombus"], id="seen with the probe"),
    pytest.param("The echo had thrombus up to the elbow.", ["finding past thrombus"], id="on an earlier echo"),
    pytest.param("CT at six called extravasation.", ["finding past extravasation"], id="on the scan at six"),
    pytest.param(
        "Stenosis of the left renal, eighty percent, and of the right, fifty.",
        ["finding done stenosis | stenosis 80 %", "finding done stenosis | stenosis 50 %"],
        id="one more at the other side",
    ),
]


@pytest.mark.parametrize(("lines", "expected"), TOLD_IN_PASSING)
def test_findings_told_in_passing(lines: str, expected: list[str]) -> None:
    assert [line for line in told("Puncture, six French sheath is in.\n" + lines) if "finding" in line] == expected


NO_LAST = [
    pytest.param("Extravasation there is no.", "negated", id="there is no"),
    pytest.param("Dissection don't have.", "negated", id="don't have"),
    pytest.param("Of the clot I see nothing.", "negated", id="see nothing"),
    pytest.param("Spasm, not seen.", "negated", id="after a comma"),
    pytest.param("That aneurysm's not there neither.", "negated", id="not there neither"),
    pytest.param("There's nae dissection.", "negated", id="nae"),
    pytest.param("I cannae see a dissection.", "negated", id="cannae"),
    pytest.param("Dissection, there is no doubt about it.", "done", id="no doubt"),
    pytest.param("A stenosis, not there but lower.", "done", id="elsewhere"),
    pytest.param("There is a stenosis, there is no hurry.", "done", id="no hurry"),
]


@pytest.mark.parametrize(("line", "status"), NO_LAST)
def test_the_no_may_come_last_or_in_dialect(line: str, status: str) -> None:
    (seen,) = [event for event in tell("Puncture, sheath is in.\n" + line) if event.kind == "finding"]
    assert seen.status == status


@pytest.mark.parametrize(
    ("line", "findings"),
    [
        pytest.param("The wire is across that nasty narrowing.", 0, id="across that one"),
        pytest.param("Across the old narrowing there's a dissection.", 1, id="and another one there"),
        pytest.param("Second wire is at the cap of occlusion.", 0, id="the cap of it"),
        pytest.param("There's a plug of thrombus in the outflow.", 1, id="a plug of it"),
        pytest.param("The bag is full of clot.", 0, id="full of"),
        pytest.param("Below that an occlusion, four centimetres.", 1, id="an occlusion below"),
        pytest.param("Beside the graft a stenosis, seventy percent.", 1, id="beside a vessel"),
        pytest.param("There's a waist on it at eight.", 1, id="a waist"),
        pytest.param("The waist's giving at ten.", 0, id="a waist that gives"),
        pytest.param("Waist pops at twelve.", 0, id="a waist that pops"),
        pytest.param("A waist, and it opens at nine.", 1, id="seen before it opens"),
    ],
)
def test_spoken_of_in_passing(line: str, findings: int) -> None:
    assert sum(event.startswith("finding") for event in told(line)) == findings


def _findings(line: str) -> list[str]:
    told_first = "Puncture, sheath is in.\n"
    return [f"{event.status} {event.finding}" for event in tell(told_first + line) if event.kind == "finding"]


#: (a line, its findings)
DENIED_BEHIND = [
    pytest.param("Perforation was not observed.", ["negated perforation"], id="a verb of seeing"),
    pytest.param("A haematoma could not be found.", ["negated haematoma"], id="with could"),
    pytest.param("Aneurysm of the renal artery is not present.", ["negated aneurysm"], id="over a place"),
    pytest.param("Recoil did not occur.", ["negated recoil"], id="a verb of coming"),
    pytest.param("Extravasation: negative.", ["negated extravasation"], id="a list's answer"),
    pytest.param("Spasm, I do not see any thrombus.", ["done spasm", "negated thrombus"], id="I do not see any"),
    pytest.param("I look for extravasation and find none.", ["negated extravasation"], id="and find none"),
    pytest.param("Clot and spasm, none.", ["negated thrombus", "negated spasm"], id="two share it"),
    pytest.param(
        "Spasm, clot, perforation: all absent.",
        ["negated spasm", "negated thrombus", "negated perforation"],
        id="three share it",
    ),
    pytest.param("An embolus and a flap were not seen.", ["negated embolus", "negated dissection"], id="with articles"),
    pytest.param("There is spasm and clot was not seen.", ["done spasm", "negated thrombus"], id="the first is told"),
    pytest.param(
        "I see spasm, clot and flap were not found.",
        ["done spasm", "negated thrombus", "negated dissection"],
        id="the first of three is told",
    ),
    pytest.param("Mild spasm, perforation not seen.", ["done spasm", "negated perforation"], id="only a comma"),
    pytest.param("The dissection is not flow limiting.", ["done dissection"], id="how it is not"),
    pytest.param("The narrowing was not treated.", ["done stenosis"], id="what was not done with it"),
    pytest.param("Waist was not seen.", ["negated waist"], id="a waist nobody saw"),
    pytest.param("There's a waist. Now no waist left.", ["done waist"], id="a waist that has opened"),
]


@pytest.mark.parametrize(("line", "findings"), DENIED_BEHIND)
def test_what_is_said_behind_rules_out(line: str, findings: list[str]) -> None:
    assert _findings(line) == findings


#: (a line, its findings and measures)
ONE_MORE = [
    pytest.param(
        "In the right iliac I see a stenosis of eighty percent, left it is sixty.",
        ["finding done stenosis | stenosis 80 %", "finding done stenosis | stenosis 60 %"],
        id="left it is sixty",
    ),
    pytest.param(
        "Stenosis, eighty percent right, sixty percent left.",
        ["finding done stenosis | stenosis 80 %", "finding done stenosis | stenosis 60 %"],
        id="the side behind",
    ),
    pytest.param(
        "Last week's CT has a stenosis of eighty percent in the right iliac, and sixty percent in the left one.",
        ["finding past stenosis | stenosis 80 %", "finding past stenosis | stenosis 60 %"],
        id="both from before",
    ),
    pytest.param(
        "Right iliac, eighty percent stenosis. Left is sixty.",
        ["finding done stenosis | stenosis 80 %", "finding done stenosis | stenosis 60 %"],
        id="in its own sentence",
    ),
    pytest.param(
        "Stenosis was sixty on the CT, now it's eighty.",
        ["finding past stenosis | stenosis 60 %", "finding done stenosis | stenosis 80 %"],
        id="then and now",
    ),
    pytest.param("Stenosis, eighty percent left, no, seventy.", ["finding done stenosis | stenosis 70 %"], id="a slip"),
    pytest.param(
        "Eighty percent stenosis. Table left at sixty.", ["finding done stenosis | stenosis 80 %"], id="a table"
    ),
    pytest.param("The femoral vein is full of thrombus.", ["finding done thrombus"], id="a vein full of it"),
    pytest.param("The bucket is full of thrombus.", [], id="a bucket full of it"),
    pytest.param("Calcium arc is two hundred degrees.", [], id="how it is scored"),
    pytest.param("Triple A at six point one.", ["finding done aneurysm | diameter 6.1 cm"], id="centimetres unsaid"),
    pytest.param(
        "The outflow vessel is three point four millimetres. Inflow was three point nine.",
        ["measure done | diameter 3.4 mm", "measure done | diameter 3.9 mm"],
        id="the next size",
    ),
    pytest.param(
        "Neck diameter measures twenty-two. And the length, on the centreline... nineteen. Nineteen millimetres, copy.",
        ["measure done | diameter 22 mm", "measure done | length 19 mm"],
        id="a length read back",
    ),
    pytest.param(
        "Aorta measures twenty-one at the renals, twenty-three at the bifurcation.",
        ["measure done | diameter 21 mm", "measure done | diameter 23 mm"],
        id="no pressure",
    ),
    pytest.param("Minimum stent diameter is three point one.", ["measure done | diameter 3.1 mm"], id="of a stent"),
]


@pytest.mark.parametrize(("line", "events"), ONE_MORE)
def test_one_more_told_without_its_name(line: str, events: list[str]) -> None:
    assert [
        event for event in told("Puncture, sheath is in.\n" + line) if not event.startswith(("access", "insert"))
    ] == events


def test_centimetres_nobody_said_ask_for_a_look() -> None:
    assert tell("Triple A at six point one.")[0].values["diameter"].review


#: (lines, what is told after the sheath)
ASKED_AND_ALONE = [
    pytest.param(
        "Look at the bifurcation, and is there any thrombus in it? There isn't.",
        ["finding negated thrombus"],
        id="the last clause asks",
    ),
    pytest.param(
        "There's an occlusion. With the ruler it's eleven centimetres.",
        ["finding done occlusion | length 11 cm"],
        id="its length with the ruler",
    ),
    pytest.param(
        "There's an occlusion. The vessel below measures five millimetres.",
        ["finding done occlusion", "measure done | diameter 5 mm"],
        id="a vessel beside it",
    ),
    pytest.param("You see these collaterals in the arcade?", ["finding done collaterals"], id="pointed at"),
    pytest.param("Can you see these collaterals?", [], id="asked after"),
    pytest.param("And is there spasm? There's none.", ["finding negated spasm"], id="there's none"),
    pytest.param(
        "Nine at four, run.\nThirty percent. Not bad.",
        ["run done | rate 4 mL/s, volume 9 mL", "finding done stenosis | stenosis 30 %"],
        id="a share alone after a run",
    ),
    pytest.param(
        "Nine at four, run.\nNinety-eight percent.", ["run done | rate 4 mL/s, volume 9 mL"], id="maybe of oxygen"
    ),
    pytest.param(
        "There's an aneurysm, eight millimetres.\nThat aneurysm's eleven, cross out the eight.",
        ["finding done aneurysm | diameter 11 mm"],
        id="the size of one told before",
    ),
    pytest.param(
        "Fifty-five millimetre aneurysm on the October scan.",
        ["finding past aneurysm | diameter 55 mm"],
        id="a scan of a month",
    ),
]


@pytest.mark.parametrize(("lines", "events"), ASKED_AND_ALONE)
def test_asked_and_told_alone(lines: str, events: list[str]) -> None:
    said = told("Puncture, sheath is in.\n" + lines)
    assert [event for event in said if not event.startswith(("access", "insert"))] == events


@pytest.mark.parametrize(
    ("lines", "findings"),
    [
        pytest.param(
            "There's an occlusion of the popliteal.\nThe length of the occlusion is thirty-five millimetres.",
            ["finding done occlusion | length 35 mm"], id="of the one just told",
        ),
        pytest.param(
            "There's an occlusion of the popliteal.\nThe length of the occlusion is thirty-five millimetres. "
            "Twenty-five, sorry, I began at the clip.",
            ["finding done occlusion | length 25 mm"], id="put right",
        ),
        pytest.param(
            "A stenosis of the internal, eighty percent by the ruler, and twenty millimetres long.",
            ["finding done stenosis | length 20 mm, stenosis 80 %"], id="by the ruler",
        ),
        pytest.param(
            "A stenosis of the iliac, two centimetres.\nThere is still a stenosis of one centimetre.",
            ["finding done stenosis | length 2 cm", "finding done stenosis | length 1 cm"], id="what is left",
        ),
    ],
)  # fmt: skip
def test_how_long_a_lesion_is(lines: str, findings: list[str]) -> None:
    assert [line for line in told(f"Six French sheath is in.\n{lines}") if line.startswith("finding")] == findings


JUDGED = [
    pytest.param(
        "Tight stenosis at the origin, I'd call it eighty-five.", ["finding done stenosis | stenosis 85 %"], id="called"
    ),
    pytest.param("Stenosis, I estimate it at eighty.", ["finding done stenosis | stenosis 80 %"], id="estimated"),
    pytest.param("A stenosis, I think there are eighty patients.", ["finding done stenosis"], id="something counted"),
    pytest.param(
        "Occlusion over twelve centimetres from the adductor canal.",
        ["finding done occlusion | length 12 cm"],
        id="how long, and from where",
    ),
    pytest.param("Stenosis two centimetres from the ostium.", ["finding done stenosis"], id="how far away"),
    pytest.param(
        "The superficial femoral is closed along eight centimetres.",
        ["finding done occlusion | length 8 cm"],
        id="closed",
    ),
    pytest.param("The groin is closed.", [], id="the puncture is closed"),
]

test_how_tight_and_how_long_in_other_words = tells(JUDGED)

RUN = "Run, ten millilitres by hand.\n"
SEEN = ["run done | volume 10 mL"]
OF_WHICH = [
    pytest.param("The outflow has a seventy percenter.", ["finding done stenosis | stenosis 70 %"], id="a percenter"),
    pytest.param("Right external is sixty percent, the left is occluded over four centimetres.",
                 ["finding done stenosis | stenosis 60 %", "finding done occlusion | length 4 cm"],
                 id="a share before the place of an occlusion"),
    pytest.param("The coeliac has an occlusion, and the superior mesenteric is eighty percent.",
                 ["finding done occlusion", "finding done stenosis | stenosis 80 %"], id="and behind it"),
    pytest.param("Occlusion of the popliteal, one hundred percent.",
                 ["finding done occlusion | stenosis 100 %"], id="the share of an occlusion"),
    pytest.param("Occlusion, superficial femoral, a hundred percent, long.",
                 ["finding done occlusion | stenosis 100 %"], id="the share of an occlusion behind its place"),
    pytest.param("Seventy percent over the first twenty millimetres.",
                 ["finding done stenosis | length 20 mm, stenosis 70 %"], id="over a length"),
    pytest.param("Stenosis, eighty percent, eighteen long.",
                 ["finding done stenosis | length 18 mm, stenosis 80 %"], id="long without its unit"),
    pytest.param("A false aneurysm of twelve.", ["finding done pseudoaneurysm | diameter 12 mm"],
                 id="how wide without its unit"),
    pytest.param("Aneurysm on the left, three coils for it.", ["finding done aneurysm"], id="what is counted for it"),
    pytest.param("She has an aneurysm, seventy-two, diabetic.", ["finding done aneurysm"], id="how old she is"),
    pytest.param("Next case is a renal aneurysm, nine.", ["finding done aneurysm"], id="a room"),
    pytest.param("Stenosis ninety percent, and I need a balloon forty long.",
                 ["finding done stenosis | stenosis 90 %"], id="how long a balloon is"),
    pytest.param("Residual zero.", ["finding done stenosis | stenosis 0 %"], id="nothing remains"),
    pytest.param("Zero left.", ["finding done stenosis | stenosis 0 %"], id="nothing is left"),
    pytest.param("The old graft's full of clot, eleven centimetres of it.",
                 ["finding done thrombus | length 11 cm"], id="a graft full of it"),
    pytest.param("The bucket's full of clot.", [], id="a bucket full of it"),
]  # fmt: skip
test_which_vessel_a_share_is_of = tells(OF_WHICH, before=RUN, first=SEEN)
