"""Dilators called by their gauge alone, and what else such numbers can be."""

import pytest

from tests.reconciling.telling import told

SIX_EIGHT = ["insert planned dilator | gauge 6 [Ch]", "insert planned dilator | gauge 8 [Ch]"]
IN_AND_OUT = ["insert done dilator | gauge 8 [Ch]", "remove done dilator | gauge 8 [Ch]"]


@pytest.mark.parametrize(
    ("lines", "events"),
    [
        pytest.param("Dilators, six and then eight.", SIX_EIGHT, id="a row asked for"),
        pytest.param("Dilators next. Six first. Then eight.", SIX_EIGHT, id="a row in sentences of its own"),
        pytest.param(
            "Dilators, six and then eight.\nSix passed. Eight passed, with a push.",
            [*SIX_EIGHT, "insert done dilator | gauge 6 [Ch]", "insert done dilator | gauge 8 [Ch]"],
            id="each reported in by its gauge",
        ),
        pytest.param("Eight dilator, in and straight out.", IN_AND_OUT, id="in and out in one breath"),
        pytest.param("Eight dilator goes in and comes out.", IN_AND_OUT, id="an action of two words"),
        pytest.param(
            "An eight dilator over it, in and straight out again.", IN_AND_OUT, id="over the wire and out again"
        ),
        pytest.param(
            "Eight dilator in, and out goes the wire.",
            ["insert done dilator | gauge 8 [Ch]", "remove done wire"],
            id="out of another",
        ),
        pytest.param("Dilator number one in, eight. Dilator out.", IN_AND_OUT, id="counted, its gauge after"),
        pytest.param("Dilators. Eight goes.", IN_AND_OUT[:1], id="one goes"),
        pytest.param("Dilate up. Eight's been through.", IN_AND_OUT[:1], id="no noun at all"),
        pytest.param("Then I dilate with eight. Dilator passed.", IN_AND_OUT[:1], id="the gauge with the verb"),
        pytest.param(
            "Dilators, eight, please.\nGive them in that order.",
            ["insert planned dilator | gauge 8 [Ch]"],
            id="an order is no place",
        ),
        pytest.param(
            "Dilator, eight, please. Ten French drain, please. Ten's in.",
            ["insert planned dilator | gauge 8 [Ch]", "insert done drain | gauge 10 [Ch]"],
            id="the number of a drain is the drain",
        ),
        pytest.param(
            "The eighteen wire's up. Eight dilator over that. In.\nEighteen out.",
            [
                "insert done wire | wire_diameter 0.018 [in_i]",
                IN_AND_OUT[0],
                "remove done wire | wire_diameter 0.018 [in_i]",
            ],
            id="the number of a wire is the wire",
        ),
        pytest.param(
            "The tract was dilated with an eight French dilator, and five passes were made.",
            IN_AND_OUT[:1],
            id="passes are counted",
        ),
        pytest.param(
            "The tract was dilated with eight and ten French.",
            ["insert done dilator | gauge 8 [Ch]", "insert done dilator | gauge 10 [Ch]"],
            id="a row behind the verb",
        ),
        pytest.param(
            "Eight dilator, in and out.\nLidocaine, please. Ten's in.",
            [*IN_AND_OUT, "drug done lidocaine | dose 10 mL"],
            id="a drug spoken of since",
        ),
    ],
)
def test_numbers_stand_for_dilators(lines: str, events: list[str]) -> None:
    assert told(lines) == events


def test_a_balloon_spoken_of_is_no_dilator() -> None:
    assert not any("dilator" in line for line in told("Eight by forty balloon, please. Dilate to ten.\nTen's in."))


@pytest.mark.parametrize(
    ("lines", "dilators"),
    [
        pytest.param("Serial dilators.\nSix went in.", 1, id="one goes in"),
        pytest.param("Serial dilators.\nNow six passed.", 1, id="one passed"),
        pytest.param("Dilated with ten and twelve French.", 2, id="a row"),
        pytest.param("Dilated with ten and twelve French, room nine.", 2, id="and a room"),
        pytest.param("Serial dilators.\nSix went home already.", 0, id="people"),
        pytest.param("Serial dilators.\nTheatre six passed the message on.", 0, id="a room"),
        pytest.param("Serial dilators.\nPatient six is in.", 0, id="a patient"),
    ],
)
def test_what_moves(lines: str, dilators: int) -> None:
    assert sum("done dilator" in line for line in told(lines)) == dilators
