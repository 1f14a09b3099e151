"""Whose figures a label's are: those of the balloon or stent in hand, with its sizes."""

import pytest

from .telling import tells, told

LABELS = [
    pytest.param(
        "The six by one-fifty balloon, please.\nNominal seven, rated fifteen.",
        [
            "inflation planned balloon | diameter 6 mm, length 150 mm",
            "inflation quoted | diameter 6 mm, length 150 mm, pressure 7 atm",
            "inflation quoted | diameter 6 mm, length 150 mm, pressure 15 atm",
        ],
        id="of a balloon just asked for",
    ),
    pytest.param(
        "Covered stent, seven by thirty-eight.\nNominal eight, burst fourteen.\nAcross. Up to nine. Down.",
        [
            "stent planned stent | diameter 7 mm, length 38 mm",
            "stent quoted | diameter 7 mm, length 38 mm, pressure 8 atm",
            "stent quoted | diameter 7 mm, length 38 mm, pressure 14 atm",
            "stent done stent | diameter 7 mm, length 38 mm, pressure 9 atm",
        ],
        id="of a stent, which does not go up by it",
    ),
    pytest.param(
        "Balloon eight by thirty, up to twelve. Down.\nThe tag on it reads eight point three at sixteen.",
        [
            "inflation done balloon | diameter 8 mm, length 30 mm, pressure 12 atm",
            "inflation quoted | diameter 8.3 mm, length 30 mm, pressure 16 atm",
        ],
        id="a tag",
    ),
    pytest.param(
        "Balloon four by sixty, up to ten. Down.\nFour at sixteen is four point two, says the paper.",
        [
            "inflation done balloon | diameter 4 mm, length 60 mm, pressure 10 atm",
            "inflation quoted | diameter 4.2 mm, length 60 mm, pressure 16 atm",
        ],
        id="the label's own size first",
    ),
    pytest.param(
        "Balloon five by sixty. Chart: eight bar five point one, twelve bar five point three.",
        [
            "inflation planned balloon | diameter 5 mm, length 60 mm",
            "inflation quoted | diameter 5.1 mm, length 60 mm, pressure 8 bar",
            "inflation quoted | diameter 5.3 mm, length 60 mm, pressure 12 bar",
        ],
        id="the pressure before its width",
    ),
    pytest.param(
        "Balloon ten by forty, up to eight. Down.\nThe maker gives for the twelve a maximum of fourteen bar.",
        [
            "inflation done balloon | diameter 10 mm, length 40 mm, pressure 8 bar",
            "inflation quoted | pressure 14 bar",
        ],
        id="of another, called by its width, which nobody asked for",
    ),
]

test_what_a_label_says_is_of_what_is_in_hand = tells(LABELS)


@pytest.mark.parametrize(
    "lines",
    [
        pytest.param(
            "Six for twenty-four at nine hundred.\nThe sheet for the ward says twelve at thirty.", id="no label"
        ),
        pytest.param("The paper in the drawer is for the ten o'clock meeting.", id="other paper"),
        pytest.param("Up. Six, eight, nominal at eight.", id="reached"),
    ],
)
def test_what_is_no_label_is_not_quoted(lines: str) -> None:
    assert not [line for line in told("Balloon six by forty.\n" + lines) if " quoted" in line]


BY_KIND = [
    pytest.param(
        "Moulding balloon, thirty-four maximum.\nIn the neck. Up. Down.",
        ["inflation planned balloon | diameter 34 mm", "inflation done balloon | diameter 34 mm"],
        id="how wide at most",
    ),
    pytest.param(
        "Compliant balloon, at most thirty.\nUp gently and down.",
        ["inflation planned balloon | diameter 30 mm", "inflation done balloon | diameter 30 mm"],
        id="at most",
    ),
    pytest.param(
        "The occlusion balloon, up to twenty-eight.",
        ["inflation planned balloon | diameter 28 mm"],
        id="up to, where it is no pressure",
    ),
    pytest.param(
        "A moulding balloon of thirty-six was inflated for ten seconds.",
        ["inflation done balloon | diameter 36 mm, duration 10 s"],
        id="with what is told of it",
    ),
    pytest.param(
        "A moulding balloon, up to four atmospheres. Down.",
        ["inflation done balloon | pressure 4 atm"],
        id="a pressure is none",
    ),
    pytest.param(
        "The non-compliant balloon, up to twenty-two. Down.",
        ["inflation done balloon | pressure 22 atm"],
        id="a hard balloon goes up so far",
    ),
]

test_a_balloon_called_by_its_kind_has_one_size = tells(BY_KIND)
