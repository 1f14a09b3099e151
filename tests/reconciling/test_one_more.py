"""One more balloon or stent told by the one before it, two told by one size, and a balloon that goes into a stent."""

import pytest

from .telling import tell, told

_STENT = "Stent six by eighty in position. Deployed."
_BALLOON = "Five by forty across. Up to ten atmospheres. Down."


@pytest.mark.parametrize(
    "asked",
    [
        "Another of the same.",
        "One more of the same size.",
        "A second identical one.",
        "Same stent again please.",
        "The same again.",
        "An identical stent.",
    ],
)
def test_one_more_stent_of_the_same_size(asked: str) -> None:
    stent = "diameter 6 mm, length 80 mm"
    assert told(f"{_STENT}\n{asked}\nIn position with overlap. Deployed.") == [
        f"stent done stent | {stent}",
        f"stent planned stent | {stent}",
        f"stent done stent | {stent}",
    ]


@pytest.mark.parametrize(
    "asked",
    ["A second one of sixty.", "One more, same diameter, sixty long.", "Second one six by sixty."],
)
def test_one_more_stent_of_another_length(asked: str) -> None:
    assert told(f"{_STENT}\n{asked}\nIn position. Deployed.")[1:] == [
        "stent planned stent | diameter 6 mm, length 60 mm",
        "stent done stent | diameter 6 mm, length 60 mm",
    ]


@pytest.mark.parametrize(
    "asked",
    [
        "Next the six, same length.",
        "A six of the same length.",
        "The same in six.",
        "Then the six, also forty.",
        "Now a six millimetre one, forty again.",
        "Same length but six.",
    ],
)
def test_the_next_balloon_keeps_what_is_not_said(asked: str) -> None:
    assert told(f"{_BALLOON}\n{asked}\nAcross. Twelve atmospheres. Down.")[1:] == [
        "inflation planned balloon | diameter 6 mm, length 40 mm",
        "inflation done balloon | diameter 6 mm, length 40 mm, pressure 12 atm",
    ]


@pytest.mark.parametrize(
    "said",
    [
        "Same view again.",
        "The same sheath again please.",
        "Same pressure, same time.",
        "The length was right.",
        "It is not the same size as before.",
        "Sixty percent left.",
    ],
)
@pytest.mark.parametrize("before", [_STENT, _BALLOON])
def test_the_same_of_something_else_asks_for_nothing(before: str, said: str) -> None:
    asked = [line for line in told(f"{before}\n{said}") if line.startswith(("stent planned", "inflation planned"))]
    assert asked == []


@pytest.mark.parametrize(
    "asked",
    [
        "Kissing balloons, two times six by forty.",
        "Kissing balloons, six by forty each.",
        "Balloons six by forty on both sides.",
        "Six by forty right and six by forty left.",
        "A pair of six by forty balloons.",
        "On each side a six by forty balloon.",
    ],
)
def test_one_size_of_two_balloons(asked: str) -> None:
    lines = told(f"{asked}\nBoth across. Both up to ten atmospheres. Both down.")
    assert [line for line in lines if " done " in line] == [
        "inflation done balloon | diameter 6 mm, length 40 mm, pressure 10 atm"
    ] * 2


@pytest.mark.parametrize("again", ["Again.", "And again.", "Once more.", "Repeat.", "Reinflate."])
def test_a_mere_again_is_another_inflation_of_untold_pressure(again: str) -> None:
    assert told(f"{_BALLOON}\n{again}\nDeflate.") == [
        "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm",
        "inflation done balloon | diameter 5 mm, length 40 mm",
    ]


@pytest.mark.parametrize(
    "said",
    [
        "We dilate the stent with a five by forty, ten atmospheres.",
        "Five by forty inside the stent, ten atmospheres.",
        "Now balloon five by forty in the stent. Ten atmospheres.",
    ],
)
def test_a_balloon_goes_into_the_stent(said: str) -> None:
    assert told(f"{_STENT}\n{said}\nDown.")[-1] == (
        "inflation done balloon | diameter 5 mm, length 40 mm, pressure 10 atm"
    )


@pytest.mark.parametrize(
    ("text", "status"),
    [
        ("He has an old stent, six by forty.", "past"),
        ("An earlier stent of six by forty is in there.", "past"),
        ("We decided against the six by forty stent.", "negated"),
        ("We had a six by forty stent ready but did not use it.", "negated"),
        ("Otherwise a six by forty stent.", "considered"),
        ("Depending on the result a six by forty stent.", "considered"),
        ("Would you take a six by forty stent?", "considered"),
        ("Now a six by forty stent.", "planned"),
    ],
)
def test_whether_a_stent_is_used_is_told_by_the_words_around(text: str, status: str) -> None:
    assert told(text) == [f"stent {status} stent | diameter 6 mm, length 40 mm"]


@pytest.mark.parametrize(
    ("said", "width", "doubtful"),
    [
        pytest.param("One six by twenty balloon.", 6, False, id="no balloon is one point six wide"),
        pytest.param("One five by twenty balloon.", 5, True, id="one of five, or one and a half wide"),
        pytest.param("Two five by twenty balloon.", 2.5, False, id="of one balloon, two is no count"),
    ],
)
def test_one_before_a_size_counts_it_and_is_marked_where_it_may_not(said: str, width: float, doubtful: bool) -> None:
    (event,) = tell(said)
    value = event.values["diameter"]
    assert (value.value, "two-readings" in value.flags) == (width, doubtful)
