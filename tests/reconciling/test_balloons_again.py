"""A balloon called by its width alone, the one after a stent, figures beside it, inflations told by their number."""

import pytest

from .telling import tells, told

FIRST = "Seven by forty. Up to ten. Down.\nStent eight by sixty, deployed.\n"
TOLD = [
    "inflation done balloon | diameter 7 mm, length 40 mm, pressure 10 atm",
    "stent done stent | diameter 8 mm, length 60 mm",
]


def seven(pressure: str, *more: str) -> list[str]:
    values = ", ".join(filter(None, ["diameter 7 mm", *more, "length 40 mm", pressure]))
    return [f"inflation done balloon | {values}"]


test_one_called_by_its_width = tells(
    [
        pytest.param("Same seven inside, twelve.", seven("pressure 12 atm"), id="same"),
        pytest.param("Smooth it with the same seven, fourteen.", seven("pressure 14 atm"), id="with the same"),
        pytest.param("Seven again in the stent, to twelve.", seven("pressure 12 atm"), id="again"),
        pytest.param("Again seven, inside, now fourteen atmospheres.", seven("pressure 14 atm"), id="again before it"),
        pytest.param("Seven balloon through it to twelve.", seven("pressure 12 atm"), id="balloon"),
        pytest.param(
            "That seven balloon once more, eight, one minute.",
            seven("pressure 8 atm", "duration 1 min"),
            id="that balloon",
        ),
        pytest.param("Our seven balloon, same ten. Down.", seven("pressure 10 atm"), id="as high as before"),
        pytest.param("It was seated with the seven balloon, eight atmospheres.", seven("pressure 8 atm"), id="told"),
        # not the balloon
        pytest.param("Room seven again, please, they wait.", [], id="a room"),
        pytest.param("Same seven people as last week.", [], id="people"),
        pytest.param("We had seven balloon cases on the list.", [], id="a list"),
    ],
    before=FIRST,
    first=TOLD,
)

test_one_in_a_stent_that_is_open = tells(
    [
        pytest.param(text, ["inflation done balloon | diameter 7 mm, length 20 mm, pressure 12 atm"], id=text)
        for text in (
            "Post, seven by twenty, twelve.",
            "Post with a seven by twenty, twelve, and off.",
            "Ironed flat with a seven by twenty, twelve.",
            "We press it to the wall with the seven by twenty, twelve atmospheres.",
            "Seven by twenty inside, twelve.",
            "Seven by twenty, in the middle, twelve, gently.",
        )
    ]
    + [
        pytest.param(
            "Second one, seven by twenty, please.", ["stent planned stent | diameter 7 mm, length 20 mm"], id="another"
        ),
        pytest.param(
            "Overlap it with a seven by twenty, please.",
            ["stent planned stent | diameter 7 mm, length 20 mm"],
            id="another over it",
        ),
    ],
    before="Stent eight by sixty, deployed.\n",
    first=["stent done stent | diameter 8 mm, length 60 mm"],
)

ASKED = "inflation planned balloon | diameter 6 mm, length 40 mm"


@pytest.mark.parametrize(
    ("lines", "values"),
    [
        ("Balloon six by forty for the edges, eight, ten seconds.", "duration 10 s, length 40 mm, pressure 8 atm"),
        ("Six by forty, distal end, eight.", "length 40 mm, pressure 8 atm"),
        ("Six by forty. Eight.", "length 40 mm, pressure 8 atm"),
        ("Six by forty is on. Turn the handle. Six. Eight. There you stay.", "length 40 mm, pressure 8 atm"),
        ("Six by forty at eight. Minute. Off.", "duration 1 min, length 40 mm, pressure 8 atm"),
        ("Six by forty at eight, one minute and thirty. Down.", "duration 1.5 min, length 40 mm, pressure 8 atm"),
    ],
)
def test_figure_beside_its_balloon(lines: str, values: str) -> None:
    assert told(lines) == [f"inflation done balloon | diameter 6 mm, {values}"]


@pytest.mark.parametrize(
    "lines",
    [
        "Balloon six by forty, twenty-four of them.",
        "Balloon six by forty, or eight?",
        "Balloon six by forty, eight on the shelf.",
        "Balloon six by forty, three left.",
        "Balloon six by forty, please. Just a minute.",
        "Balloon six by forty. Who turned the page? Eight of you were here.",
    ],
)
def test_figure_beside_it_that_is_no_pressure(lines: str) -> None:
    assert told(lines) == [ASKED]


@pytest.mark.parametrize(
    ("lines", "times"),
    [
        ("Six by forty at eight, twice.", 2),
        ("Six by forty, eight atmospheres, two times, done.", 2),
        ("Six by forty to eight, three places along the vein.", 3),
        ("Six by forty, eight, in two spots.", 2),
        ("Six by forty, eight twice.", 2),
        ("Six by forty to eight atmospheres, three goes.", 3),
        # told one by one, asked, or of another thing
        ("Six by forty at eight, twice?", 1),
        ("Six by forty at eight. I checked it twice.", 1),
        ("Six by forty at eight, I looked twice.", 1),
        ("Six by forty at eight, for the first of two times.", 1),
        ("Six by forty at eight, three places or so.", 1),
    ],
)
def test_inflations_told_by_their_number(lines: str, times: int) -> None:
    assert told(lines) == ["inflation done balloon | diameter 6 mm, length 40 mm, pressure 8 atm"] * times


def test_each_of_several_has_the_time() -> None:
    event = "inflation done balloon | diameter 6 mm, duration 30 s, length 40 mm, pressure 6 bar"
    assert told("Balloon six by forty. Six bar, twice, each thirty seconds.") == [event] * 2
