"""What is seen, ruled out, feared, known from before; and what is measured now."""

import pytest

from .telling import tell, told

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
]


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_findings(lines: str, events: list[str]) -> None:
    assert told(lines) == events


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
