"""Stents: released, or opened by a balloon; asked for, ruled out, of years ago."""

import pytest

from extractor.model import Status

from .telling import tell, tells, told

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
        "A plastic stent, ten by nine, was pushed up and released. A metal stent beside it, ten by sixty, deployed.",
        ["stent done stent | gauge 10 [Ch], length 9 cm", "stent done stent | diameter 10 mm, length 60 mm"],
        id="a plastic stent has a gauge, a metal one a width",
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
    pytest.param(
        """Stent, seven by eighty. And another seven by eighty for the lower part, please.
        Unsheathing. First one's open.
        Now the other one. Unsheathing... and that's open too.""",
        [
            "stent planned stent | diameter 7 mm, length 80 mm",
            "stent planned stent | diameter 7 mm, length 80 mm",
            "stent done stent | diameter 7 mm, length 80 mm",
            "stent done stent | diameter 7 mm, length 80 mm",
        ],
        id="a second one in the size of one that waits",
    ),
    pytest.param(
        """Stent, seven by eighty, please.
        Seven by eighty it is, expiry's fine.
        Unsheathing. It's open.""",
        [
            "stent planned stent | diameter 7 mm, length 80 mm",
            "stent done stent | diameter 7 mm, length 80 mm",
        ],
        id="a size told again is no second one",
    ),
    pytest.param(
        """Six by sixty stent, please. It's across. Releasing... and deployed.
        Hang on. The lock is still on, it hasn't opened at all, nothing is released.
        Lock off. Now it really is out, deployed.""",
        [
            "stent negated stent | diameter 6 mm, length 60 mm",
            "stent done stent | diameter 6 mm, length 60 mm",
        ],
        id="told as open and then seen shut: it waits again",
    ),
    pytest.param(
        """Stent, four by eighteen, please.
        A three by twelve balloon first, up to ten, down.
        Deploy. Eight, ten, twelve, down.""",
        [
            "stent planned stent | diameter 4 mm, length 18 mm",
            "inflation done balloon | diameter 3 mm, length 12 mm, pressure 10 atm",
            "stent done stent | diameter 4 mm, length 18 mm, pressure 12 atm",
        ],
        id="deploying means the stent that waits, though a balloon was spoken of last",
    ),
    pytest.param(
        """Stent, three by twenty-four.
        Somebody's whispering three point five by twenty-four. No, we're not having a three five.
        Deploy. Eight, ten, twelve. Down.""",
        [
            "stent planned stent | diameter 3 mm, length 24 mm",
            "stent negated stent | diameter 3.5 mm, length 24 mm",
            "stent done stent | diameter 3 mm, length 24 mm, pressure 12 atm",
        ],
        id="what somebody offers is of the kind spoken of, and refused by its width alone",
    ),
    pytest.param(
        "His left main got a three point five by twelve in twenty nineteen, back then elsewhere.",
        ["stent past stent | diameter 3.5 mm, length 12 mm"],
        id="a size on record as left behind is a stent's",
    ),
    pytest.param(
        "He was ballooned with a five by forty last year.",
        ["inflation past balloon | diameter 5 mm, length 40 mm"],
        id="a size on record as dilated with is a balloon's",
    ),
    pytest.param(
        """Stent, three by thirty, please.
        Deploy. Six, nine, twelve. Hold, hold... nineteen, twenty. Negative.""",
        [
            "stent planned stent | diameter 3 mm, length 30 mm",
            "stent done stent | diameter 3 mm, duration 20 s, length 30 mm, pressure 12 atm",
        ],
        id="counted on after the word to hold",
    ),
    pytest.param(
        "The stent, seven by eighteen, was deployed at eleven and post dilated at fourteen.",
        [
            "stent done stent | diameter 7 mm, length 18 mm, pressure 11 atm",
            "inflation done balloon | diameter 7 mm, length 18 mm, pressure 14 atm",
        ],
        id="deployed at so many, and post dilated at more",
    ),
    pytest.param(
        "Stent, six by sixty, please. It's across. Deployed at four o'clock.",
        ["stent done stent | diameter 6 mm, length 60 mm"],
        id="deployed at a time of day",
    ),
    pytest.param(
        """Stent, five by eighteen, please. Deploy at nine.
        Flare the top with a seven by twenty, eight. Down.""",
        [
            "stent done stent | diameter 5 mm, length 18 mm, pressure 9 atm",
            "inflation done balloon | diameter 7 mm, length 20 mm, pressure 8 atm",
        ],
        id="its end flared with a balloon",
    ),
    pytest.param(
        """Stent graft, thirty-six by two hundred, please.
        That stent graft of forty we do not place.""",
        [
            "stent planned stent | diameter 36 mm, length 200 mm",
            "stent negated stent | diameter 40 mm",
        ],
        id="refused by how wide it would be, behind its name",
    ),
]
test_stents = tells(CASES)


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


RULED_OUT = [
    pytest.param(
        "Maybe a covered stent, eight by fifty. Let me see.\nIt looks fine now. No stent graft.",
        "stent negated stent | diameter 8 mm, length 50 mm",
        id="thought of, then no stent",
    ),
    pytest.param(
        "Could put a stent in the upper bit, seven by forty.\nResidual ten percent.\nSo we will not stent it.",
        "stent negated stent | diameter 7 mm, length 40 mm",
        id="by the verb",
    ),
    pytest.param(
        """Stent, three by twenty-six, please.
        Deploy, twelve atmospheres. Down.
        We could put two point five by eight at the edge.
        That second stent we are not putting.""",
        "stent negated stent | diameter 2.5 mm, length 8 mm",
        id="the second, by its size alone, and not the one that is in",
    ),
    pytest.param(
        """Balloon, five by forty, please.
        Across. Up to ten, thirty seconds, down.
        Perhaps the six by forty afterwards, if it recoils.
        The bigger balloon we do not need.""",
        "inflation negated balloon | diameter 6 mm, length 40 mm",
        id="the bigger balloon, and not the one that went up",
    ),
    pytest.param(
        "If it leaks we will need a plug, ten millimetre.\nNo leak. No plug today.",
        "embolise negated plug | diameter 10 mm",
        id="a plug",
    ),
    pytest.param(
        "Some colleagues would stent that with a twelve by forty, but I will not be laying a stent there.",
        "stent negated stent | diameter 12 mm, length 40 mm",
        id="what others would do",
    ),
    pytest.param(
        "Stent, eight by forty, please.\nIt is deployed.\nWe do not put another stent.",
        "stent negated stent",
        id="one more, of no size",
    ),
]


@pytest.mark.parametrize(("lines", "event"), RULED_OUT)
def test_what_was_thought_of_is_ruled_out_with_its_size(lines: str, event: str) -> None:
    assert event in told(lines)


def test_a_stent_told_since_makes_the_size_of_what_is_ruled_out_doubtful() -> None:
    event = tell("A second stent maybe, six by sixty.\nStent, six by forty.\nDeployed.\nNo second stent, then.")[-1]
    assert event.status == "negated"
    assert event.values["length"].value == 60
    assert "which-device" in event.values["length"].flags


def test_a_stent_that_never_opened_is_opened_by_the_next_pressure() -> None:
    lines = """Stent, eight by thirty-eight, please.
    Right there, now up. Stent is deployed.
    No, no. That stent is still crimped, it never opened.
    Going up, five, seven, nine, eleven. Down."""
    assert told(lines)[1:] == [
        "stent negated stent | diameter 8 mm, length 38 mm",
        "stent done stent | diameter 8 mm, length 38 mm, pressure 11 atm",
    ]


OFFERED = [
    pytest.param(
        "Stent, ten by sixty. That one falls away, it is too short. Open the ten by eighty.",
        ["stent negated stent | diameter 10 mm, length 60 mm", "stent planned stent | diameter 10 mm, length 80 mm"],
        id="falls away",
    ),
    pytest.param(
        "Stent, fourteen by sixty, no, that one covers the jugular. Fourteen by forty, please.",
        ["stent negated stent | diameter 14 mm, length 60 mm", "stent planned stent | diameter 14 mm, length 40 mm"],
        id="no, and why",
    ),
    pytest.param(
        "A nine by fifty stent graft was called for, was not in stock, and an eight by fifty was deployed instead.",
        ["stent negated stent | diameter 9 mm, length 50 mm", "stent done stent | diameter 8 mm, length 50 mm"],
        id="not in stock",
    ),
    pytest.param(
        "A ten by thirty-nine stent had been opened, but was not used.",
        ["stent negated stent | diameter 10 mm, length 39 mm"],
        id="had been opened",
    ),
    pytest.param(
        "Balloon, seven by forty. Too big for him. Give me six by forty.",
        [
            "inflation negated balloon | diameter 7 mm, length 40 mm",
            "inflation planned balloon | diameter 6 mm, length 40 mm",
        ],
        id="too big",
    ),
    pytest.param(
        "A second stent to the left side? The left is small, we don't do that.",
        ["stent negated stent"],
        id="asked about, and not done",
    ),
    pytest.param(
        "Six by eighty stent... no, eighty is too short, make it one hundred twenty.",
        ["stent planned stent | diameter 6 mm, length 120 mm"],
        id="too short, and another length",
    ),
    pytest.param(
        "Balloon, two by one hundred twenty... ach no, take the two hundred and ten, it is long.",
        ["inflation planned balloon | diameter 2 mm, length 210 mm"],
        id="take the",
    ),
    pytest.param(
        "Stent limb, sixteen by one hundred, no, one twenty, you need the overlap.",
        ["stent planned stent | diameter 16 mm, length 120 mm"],
        id="no, another figure",
    ),
    pytest.param(
        "Six by forty balloon, up to ten. No, twelve. Down.",
        ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm"],
        id="a pressure put right is no size",
    ),
]
test_a_size_refused_or_put_right_where_it_is_said = tells(OFFERED)


@pytest.mark.parametrize(
    ("asked", "told_open", "opened"),
    [
        ("Two stents please, seven by forty and eight by sixty.", "Both deployed.", [(7, 40), (8, 60)]),
        ("Stent, seven by forty. And an eight by sixty stent.", "Both are released.", [(7, 40), (8, 60)]),
        (
            "Three stents, six by forty, seven by forty and eight by forty, please.",
            "All deployed.",
            [(6, 40), (7, 40), (8, 40)],
        ),
        ("A seven by forty stent please.", "That's it, all deployed.", [(7, 40)]),
        ("A seven by forty stent please. An eight by forty stent please.", "The eight is deployed.", [(8, 40)]),
    ],
    ids=["both", "one by one", "all", "all of one", "one of two"],
)
def test_stents_let_go_together(asked: str, told_open: str, opened: list[tuple[int, int]]) -> None:
    done = [event for event in tell(f"{asked}\n{told_open}") if event.status is Status.DONE]
    assert [tuple(value.value for value in event.values.values()) for event in done] == opened
