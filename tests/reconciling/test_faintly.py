"""Events that rest on words spoken much fainter than the rest are looked at."""

import pytest

from extractor.model import Event, Kind, Status, Value, WordRange
from extractor.reconciling.faintly import mark_faint

FLAG = "spoken-faintly"


def inflation(words: WordRange, pressure: WordRange) -> Event:
    value = Value(value=14, unit="atm", confidence=0.98, heard="fourteen atmospheres", words=pressure)
    return Event(
        id="e0001",
        kind=Kind.INFLATION,
        status=Status.DONE,
        start_ms=0,
        end_ms=1000,
        values={"pressure": value},
        confidence=0.9,
        words=words,
        rule="inflation/to",
    )


@pytest.mark.parametrize(
    ("faint", "event", "value"),
    [
        pytest.param([], False, False, id="nothing faint"),
        pytest.param([(20, 30)], False, False, id="elsewhere"),
        pytest.param([(4, 12)], True, True, id="all of it"),
        pytest.param([(2, 7)], False, False, id="its smaller part, without the figure"),
        pytest.param([(9, 12)], False, True, id="its figure alone"),
        pytest.param([(0, 8), (8, 9)], True, False, id="its greater part in two pieces"),
    ],
)
def test_what_stands_on_faint_words_is_marked(faint: list[WordRange], event: bool, value: bool) -> None:
    [marked] = mark_faint([inflation((4, 12), (9, 11))], faint)
    pressure = marked.values["pressure"]
    assert (FLAG in marked.flags, marked.review) == (event, event)
    assert (FLAG in pressure.flags, pressure.review) == (value, value)
    assert pressure.value == 14, "nothing is changed"


def test_what_was_marked_before_stays_so() -> None:
    before = inflation((4, 12), (9, 11)).model_copy(update={"flags": ("asked",), "review": True})
    [marked] = mark_faint([before], [(20, 30)])
    assert (marked.flags, marked.review) == (("asked",), True)
