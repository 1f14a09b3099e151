"""Two of one kind: asked for together, one on each side, told one after the other."""

import pytest

from .telling import tell, told

ASKED, IN, OUT = (f"{what} sheath | gauge 7 [Ch]" for what in ("insert planned", "insert done", "remove done"))
PAIR = "Seven French on the left, please, and seven French for the right."


@pytest.mark.parametrize(
    ("lines", "events"),
    [
        pytest.param("Both groins are in, seven French on each side.", [IN, IN], id="told of both sides at once"),
        pytest.param("Both groins next. Seven French on each side, please.", [ASKED], id="asked for on both sides"),
        pytest.param(
            "Give seven French and seven French.\nBoth are in.", [ASKED, ASKED, IN, IN], id="one and one alike"
        ),
        pytest.param("Two seven French sheaths, please.\nBoth in.", [ASKED, IN, IN], id="two asked for, both in"),
        pytest.param(PAIR, [ASKED, ASKED], id="one a side"),
        pytest.param(
            f"{PAIR}\nLeft sheath is up. Right one also in place.", [ASKED, ASKED, IN, IN], id="each told by side"
        ),
        pytest.param("Seven French sheath in, and another seven.", [IN, IN], id="another of its gauge"),
        pytest.param("Seven French sheath in, and another seven, please.", [IN, ASKED], id="another is asked for"),
        pytest.param(
            "A seven French sheath went in on the right and another on the left.", [IN, IN], id="another by side"
        ),
        pytest.param(
            "A seven French sheath went in on the right and another look on the right.", [IN], id="another look"
        ),
        pytest.param(
            "Seven French in on the right. Seven in on the left.\nLeft seven out. Right also out.",
            [IN, IN, OUT, OUT],
            id="out by side",
        ),
        pytest.param("Seven French in on the right. Seven in on the left.\nSheaths out.", [IN, IN, OUT, OUT], id="out"),
        pytest.param("Seven French sheath in.\nSheaths out.", [IN, OUT], id="one is in"),
        pytest.param("Two introducers, seven and seven.\nBoth in.", [ASKED, ASKED, IN, IN], id="a row behind the noun"),
        pytest.param("Two sheaths, each seven French.\nBoth in.", [ASKED, IN, IN], id="each"),
        pytest.param(f"{PAIR}\nSeven French on the left.", [ASKED, ASKED], id="a read-back is no third"),
    ],
)
def test_two_of_one_kind(lines: str, events: list[str]) -> None:
    assert told(lines) == events


@pytest.mark.parametrize(
    ("lines", "gauges"),
    [
        pytest.param("You asked for two seven French.\nBoth in.", [(7, True), (7, True), (7, True)], id="two, or else"),
        pytest.param("The microcatheter. Two seven French.", [(2.7, False)], id="of a microcatheter"),
        pytest.param(
            "Eighteen French on the right and fourteen on the left, please.\nBoth sheaths are up.",
            [(18, False), (14, False), (14, True), (18, True)],
            id="one of each, though not which is told first",
        ),
        pytest.param("Twenty-seven French, please.", [(27, False)], id="one number"),
        pytest.param(
            "Twelve French sheath, please.\nSixteen's in.", [(12, False), (16, True)], id="not the one asked for"
        ),
        pytest.param("Eighteen French on the right and ten of contrast, please.", [(18, False)], id="a volume"),
        pytest.param("Twelve French sheath, please.\nTwelve's in.", [(12, False), (12, False)], id="the one asked for"),
    ],
)
def test_a_gauge_that_may_be_another_is_marked(lines: str, gauges: list[tuple[float, bool]]) -> None:
    assert [(event.values["gauge"].value, event.values["gauge"].review) for event in tell(lines)] == gauges


@pytest.mark.parametrize(
    ("line", "count"),
    [
        pytest.param("Two six French sheaths, please.\nFirst is in the iliac.", 1, id="the first, in a vessel"),
        pytest.param("Two six French sheaths, please.\nFirst is in recovery.", 0, id="the first patient"),
        pytest.param("Six French sheath in, and another six.", 2, id="another"),
        pytest.param("Six French sheath in, and another six patients after.", 1, id="another six of something else"),
    ],
)
def test_what_stands_for_one_of_several(line: str, count: int) -> None:
    assert sum("insert done" in event for event in told(line)) == count


def test_another_that_is_the_last_word_is_no_figure() -> None:
    assert told("Six French catheter and another") == ["insert planned catheter | gauge 6 [Ch]"]
