"""Stents: released, or opened by a balloon; asked for, ruled out, of years ago."""

import pytest

from .telling import tell, told

CASES = [
    pytest.param(
        """Six by one hundred self-expanding stent, please.
        Stent's across. Deploying. And it's fully deployed.""",
        ["stent planned stent | diameter 6 mm, length 100 mm", "stent done stent | diameter 6 mm, length 100 mm"],
        id="asked for, then released",
    ),
    pytest.param(
        "Balloon-mounted stent, seven by twenty-nine. It's in position. Up to ten atmospheres, and down.",
        ["stent done stent | diameter 7 mm, length 29 mm, pressure 10 atm"],
        id="opened by its balloon is one event with its pressure",
    ),
    pytest.param(
        """Covered stent, eight by fifty, deployed.
        Post-dilating with a seven by forty to twelve atmospheres.""",
        [
            "stent done stent | diameter 8 mm, length 50 mm",
            "inflation done balloon | diameter 7 mm, length 40 mm, pressure 12 atm",
        ],
        id="dilating it afterwards is an inflation of its own",
    ),
    pytest.param(
        "A double pigtail ureteric stent, seven French by twenty-four centimetres, was deployed.",
        ["stent done stent | gauge 7 [Ch], length 24 cm"],
        id="a ureteric stent has a gauge",
    ),
    pytest.param(
        """Stent, seven by sixty, please.
        We're not putting that stent in.""",
        ["stent planned stent | diameter 7 mm, length 60 mm", "stent negated stent | diameter 7 mm, length 60 mm"],
        id="asked for, then ruled out",
    ),
    pytest.param("We are not putting a stent in.", ["stent negated stent"], id="ruled out"),
    pytest.param(
        "We might need a stent, six by forty.",
        ["stent considered stent | diameter 6 mm, length 40 mm"],
        id="might need",
    ),
    pytest.param(
        "He had a stent last year, six by eighty.", ["stent past stent | diameter 6 mm, length 80 mm"], id="last year"
    ),
    pytest.param(
        "The chart for the stent says six point three at fourteen.",
        ["stent quoted | diameter 6.3 mm, pressure 14 atm"],
        id="its chart",
    ),
    pytest.param(
        """Six by sixty stent deployed.
        Second stent, six by forty, overlapping, deployed.""",
        ["stent done stent | diameter 6 mm, length 60 mm", "stent done stent | diameter 6 mm, length 40 mm"],
        id="two stents",
    ),
    pytest.param(
        "A seven by eighty self-expanding stent was deployed.",
        ["stent done stent | diameter 7 mm, length 80 mm"],
        id="dictated",
    ),
    pytest.param(
        "We're going to put a seven by sixty stent in.",
        ["stent planned stent | diameter 7 mm, length 60 mm"],
        id="going to",
    ),
    pytest.param(
        "Stent please, six by eighty, no, six by one hundred.",
        ["stent planned stent | diameter 6 mm, length 100 mm"],
        id="correction of size",
    ),
    pytest.param(
        "The metal stent, ten by sixty, is deployed.",
        ["stent done stent | diameter 10 mm, length 60 mm"],
        id="biliary",
    ),
    pytest.param(
        "Stent graft, eight by one hundred, deployed.",
        ["stent done stent | diameter 8 mm, length 100 mm"],
        id="stent graft",
    ),
    pytest.param(
        "No stent today.",
        ["stent negated stent"],
        id="no stent",
    ),
    pytest.param(
        """Six by eighty stent is deployed.
        Five by forty balloon, up to ten atmospheres. Down.""",
        [
            "stent done stent | diameter 6 mm, length 80 mm",
            "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
        ],
        id="post dilated after a while",
    ),
    pytest.param(
        """A stent on balloon, five by nineteen, please.
        Inflate, eight bar, ten bar. Down.""",
        [
            "stent planned stent | diameter 5 mm, length 19 mm",
            "stent done stent | diameter 5 mm, length 19 mm, pressure 10 bar",
        ],
        id="on balloon",
    ),
    pytest.param(
        "Stent graft, diameter twenty-six, length one hundred twenty, please.",
        ["stent planned stent | diameter 26 mm, length 120 mm"],
        id="each size by its name",
    ),
    pytest.param(
        """Stent, nine by sixty, please, and one for the left side, nine by forty.
        Going in on the right... and it's deployed.""",
        [
            "stent planned stent | diameter 9 mm, length 60 mm",
            "stent planned stent | diameter 9 mm, length 40 mm",
            "stent done stent | diameter 9 mm, length 60 mm",
        ],
        id="of two, the one for this side",
    ),
    pytest.param(
        """Limb, fourteen by one hundred, please.
        It is deployed.
        For the other side a thirteen by one twenty, please.""",
        [
            "stent planned stent | diameter 14 mm, length 100 mm",
            "stent done stent | diameter 14 mm, length 100 mm",
            "stent planned stent | diameter 13 mm, length 120 mm",
        ],
        id="no balloon is so wide and so long",
    ),
]


@pytest.mark.parametrize(("lines", "events"), CASES)
def test_stents(lines: str, events: list[str]) -> None:
    assert told(lines) == events


PARTS = [
    pytest.param(
        "Left limb, fourteen by ninety, please.\nLimb is in the gate. Deployed.",
        "stent done stent | diameter 14 mm, length 90 mm",
        id="limb",
    ),
    pytest.param(
        "The main body. Twenty-eight by one hundred.\nBody is up. Body is open.",
        "stent done stent | diameter 28 mm, length 100 mm",
        id="its size in the next sentence",
    ),
    pytest.param(
        "A cuff, perhaps thirty by forty-five.", "stent considered stent | diameter 30 mm, length 45 mm", id="perhaps"
    ),
    pytest.param(
        "Not covered, self-expanding, ten by sixty, please.",
        "stent planned stent | diameter 10 mm, length 60 mm",
        id="what it is, then its size",
    ),
    pytest.param(
        """Nine by fifty stent, please. Eight by forty stent, please.
        Eight by forty is across, one centimetre in the old stent, deploying... deployed.""",
        "stent done stent | diameter 8 mm, length 40 mm",
        id="inside another",
    ),
    pytest.param(
        """Seven by sixty stent, please.
        It flowers... and the stent is completely open.""",
        "stent done stent | diameter 7 mm, length 60 mm",
        id="flowers",
    ),
]


@pytest.mark.parametrize(("lines", "event"), PARTS)
def test_stents_by_other_names_and_words(lines: str, event: str) -> None:
    assert event in told(lines)


NONE = [
    pytest.param("The left limb is warm, the cuff says one forty over eighty.", id="of the patient"),
    pytest.param("A narrowing in sixteen millimetres of extension.", id="how far it extends"),
]


@pytest.mark.parametrize("lines", NONE)
def test_short_names_alone_are_no_stents(lines: str) -> None:
    assert not [line for line in told(lines) if line.startswith(("stent", "inflation"))]


GAUGED = [
    pytest.param("Double J, seven by twenty-four, please.", False, id="named"),
    pytest.param(
        "Double J, six by twenty-two, please.\nA second stent, seven by twenty-four, please.",
        True,
        id="in a case of them: looked at",
    ),
]


@pytest.mark.parametrize(("lines", "review"), GAUGED)
def test_ureteric_stents_are_french_by_centimetres(lines: str, review: bool) -> None:
    event = tell(lines)[-1]
    sizes = {key: (value.value, value.unit) for key, value in event.values.items()}
    assert sizes == {"gauge": (7, "[Ch]"), "length": (24, "cm")}
    assert event.values["gauge"].review is review
