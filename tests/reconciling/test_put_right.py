"""What is told again as something else within a few lines: a hold cut short, a pressure only meant, a sum read anew."""

import pytest

from .telling import tell

BALLOON = "Five by forty balloon. Up. Six, eight, ten. "


@pytest.mark.parametrize(
    ("lines", "shown"),
    [
        pytest.param("Two minutes.\nOne minute.\nDown.", [2, 1], id="down when a shorter time was called"),
        pytest.param("Two minutes.\nNinety seconds and down.", [2, 90], id="down with a shorter time"),
        pytest.param("Two minutes.\nOne minute.\nTwo minutes.\nDown.", [2], id="called as it passed"),
        pytest.param("Two minutes.\nDown.", [2], id="nothing else"),
    ],
)
def test_a_hold_that_may_have_been_cut_short_is_marked(lines: str, shown: list[float]) -> None:
    (event,) = (event for event in tell(BALLOON + lines) if event.kind == "inflation")
    hold = event.values["duration"]
    assert [hold.value, *(other.value for other in hold.alternatives)] == shown
    assert hold.review is (len(shown) > 1)


@pytest.mark.parametrize(
    ("lines", "value", "marked"),
    [
        pytest.param("Up to seven. Meant for nine, she is sore. Down.", 7, True, id="meant, and not reached"),
        pytest.param("Up to seven. I want nine. Nine. Down.", 9, False, id="wanted, and reached"),
    ],
)
def test_a_pressure_only_meant_is_not_the_peak(lines: str, value: float, marked: bool) -> None:
    (event,) = (event for event in tell("Eight by forty balloon. " + lines) if event.kind == "inflation")
    assert (event.values["pressure"].value, event.values["pressure"].review) == (value, marked)


@pytest.mark.parametrize(
    ("lines", "shown", "marked"),
    [
        pytest.param("Four nineteen, the display.", [419, 490], True, id="another reads it"),
        pytest.param("Four nineteen, the display.\nFour nineteen.", [419, 490], False, id="and it is said again"),
        pytest.param("Four nineteen on the screen.", [419, 490], True, id="on the screen"),
        pytest.param("Four nineteen?", [490, 419], True, id="asked back"),
        pytest.param("Four ninety.", [490], False, id="said back"),
        pytest.param("Ninety.", [490], False, id="its end said back"),
        pytest.param("Two minutes more on the groin.", [490], False, id="a time"),
        pytest.param("Sheath out, three hundred wires counted.", [490], False, id="another thing"),
    ],
)
def test_a_sum_told_otherwise_right_behind_is_put_right(lines: str, shown: list[float], marked: bool) -> None:
    events = tell("Totals. Contrast eighty. Kerma four ninety.\n" + lines)
    (kerma,) = (event.values["air_kerma"] for event in events if event.kind == "total")
    assert [kerma.value, *(other.value for other in kerma.alternatives)] == shown
    assert kerma.review is marked


def test_a_sum_said_back_is_no_other_one() -> None:
    (total,) = tell("Contrast thirty-six.\nScreening ten point two.\nTen point two, yes, dose one point four gray.")
    assert {key: value.value for key, value in total.values.items()} == {
        "contrast_volume": 36, "fluoro_time": 10.2, "air_kerma": 1400,
    }  # fmt: skip


def test_figures_of_a_label_said_back_raise_no_balloon() -> None:
    lines = "Five by forty balloon. This one says ten nominal and eighteen burst. Ten and eighteen. Up. Six. Eight."
    assert [event.values["pressure"].value for event in tell(lines) if event.status == "done"] == [8]


@pytest.mark.parametrize(
    ("lines", "pressure", "time"),
    [
        pytest.param("Hold it there, count me fifteen.\nFifteen.\nDown.", 10, 15, id="how far to count"),
        pytest.param("Count, please.\nTen. Twenty. Thirty. Down.", 10, 30, id="told to count"),
        pytest.param("Swab count?\nTwelve. Down.", 12, None, id="a question of something else"),
        pytest.param("Count.\nUp to twelve. Down.", 12, None, id="and it goes up"),
    ],
)
def test_what_is_counted_is_no_pressure(lines: str, pressure: float, time: float | None) -> None:
    (event,) = tell("Five by forty balloon. Up. Eight, ten. " + lines)
    told = {key: value.value for key, value in event.values.items()}
    assert (told["pressure"], told.get("duration")) == (pressure, time)


def test_what_goes_up_right_behind_a_chart_is_no_more_of_it() -> None:
    lines = "Two and a half by twenty balloon. Chart says two five at eight, two seven at sixteen. Up to fourteen."
    assert [event.values["pressure"].value for event in tell(lines) if event.status == "done"] == [14]


def test_a_size_taken_back_in_the_next_sentence_is_marked() -> None:
    lines = "Catheter, ten French, nineteen centimetres. No, that was the other lady. Twenty-three was pulled through."
    lengths = [event.values["length"] for event in tell(lines) if "length" in event.values]
    assert [length.review for length in lengths] == [True] * max(1, len(lengths))
    assert 23 in {length.value for length in lengths} | {other.value for each in lengths for other in each.alternatives}


@pytest.mark.parametrize(
    "line",
    [
        pytest.param("Fentanyl, fifty micrograms. No, his rate's forty-two.", id="a rate"),
        pytest.param("Fentanyl, fifty micrograms.\nWait, his rate's forty-two.", id="a rate, a line later"),
        pytest.param("Fentanyl, fifty micrograms, no, he's eighty systolic.", id="a pressure"),
    ],
)
def test_how_the_patient_is_puts_no_dose_right(line: str) -> None:
    (drug,) = tell(line)
    assert drug.values["dose"].value == 50
