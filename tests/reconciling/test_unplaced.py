"""A figure that stands in no event is told, where all that is around it says that it belongs in one."""

import math

import pytest

from extractor.lexicon import Clue, Lexicon
from extractor.model import Event, Item, Quantity, Sentence, Status, Value
from extractor.reconciling.unplaced import Figures, likelihood, unplaced


def figure(at: int, value: float = 12.0, **more: object) -> Item:
    """A bare figure: one word, one token."""
    quantity = Quantity(value, more.pop("unit", None), (at, at + 1), "")
    return Item("quantity", (at, at + 1), "", span=(at % 10, at % 10 + 1), figures={"value": quantity}, **more)


def sentence(number: int, *items: Item, tokens: str = "up to twelve now .") -> Sentence:
    """The sentence of words 10 x number on."""
    return Sentence(list(items), (10 * number, 10 * number + 10), number, tokens=tuple(tokens.split()))


def event(*words: int) -> Event:
    """An event with a value a word."""
    keys = ("pressure", "diameter", "length", "duration")
    values = {
        key: Value(value=12, unit="atm", confidence=1, review=False, heard="", words=(word, word + 1))
        for key, word in zip(keys, words, strict=False)
    }
    return Event(
        id="e0001", kind="inflation", status="done", start_ms=0, end_ms=1, values=values, confidence=1, review=False,
        words=(0, 99), rule="told",
    )  # fmt: skip


#: id: (the sentences, words that a value is read from, words of the figures left without a place)
PLACES = {
    "in no event": ([sentence(1, figure(12))], (), [12]),
    "in an event": ([sentence(1, figure(12))], (12,), []),
    "taken by a rule": ([sentence(1, figure(12, used=True))], (), []),
    "denied": ([sentence(1, Item("denied", (12, 13), "", figures=figure(12).figures))], (), []),
    "said again": ([sentence(1, figure(12)), sentence(2, figure(22))], (), [12]),
    "said before, in an event": ([sentence(1, figure(12)), sentence(2, figure(22))], (12,), []),
    "said again later, in an event": ([sentence(1, figure(12)), sentence(5, figure(52))], (52,), []),
    "said again much later": ([sentence(n, *[figure(10 * n)] * (n in (0, 5))) for n in range(6)], (50,), [0]),
    "another figure": ([sentence(1, figure(12)), sentence(2, figure(22, 8.0))], (12,), [22]),
}


@pytest.mark.parametrize(("sentences", "taken", "left"), PLACES.values(), ids=PLACES)
def test_figures_without_a_place(sentences: list[Sentence], taken: tuple[int, ...], left: list[int]) -> None:
    found = Figures(sentences, [event(*taken)] if taken else []).without_place()
    assert [each.quantity.words[0] for each in found] == left


def test_the_clues_of_a_figure() -> None:
    balloon = Item("device", (1, 2), "", name="balloon", role="inflation", span=(1, 2))
    told = Figures(
        [
            sentence(0, balloon, figure(4, 6.0), tokens="the balloon of"),
            sentence(1, figure(12, unit="atm", status=Status.DONE)),
            sentence(2, tokens="and down"),
        ],
        [event(4)],
    )
    assert set(told.clues(told.said[1])) == {
        "always", "unit atm", "unit atm size 6", "said quantity", "status done", "after to", "after two up",
        "before now", "before two .", "last value pressure", "last device DEVICE inflation balloon", "beside up",
        "beside to", "beside now", "beside .", "sentence before the", "sentence before DEVICE inflation balloon",
        "sentence before of", "sentence behind and", "sentence behind down",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("tokens", "counts"),
    [("up to 12 biscuits", True), ("up to 12 now", False), ("up to 12 .", False), ("up to 12", False)],
)
def test_a_figure_that_counts_something(tokens: str, counts: bool) -> None:
    told = Figures([sentence(1, figure(12), tokens=tokens)], [])
    assert ("counts" in told.clues(told.said[0])) is counts


def test_weights_add_up_and_a_clue_without_one_counts_nothing() -> None:
    assert likelihood(["always", "unit mL", "beside moon"], {"always": -1.0, "unit mL": 3.0}) == pytest.approx(
        1 / (1 + math.exp(-2))
    )


@pytest.mark.parametrize(("odds", "shown"), [(0.62, True), (0.61, False)], ids=["from .65 on", "below"])
def test_what_is_likely_enough_is_shown(odds: float, shown: bool) -> None:
    lexicon = Lexicon(clue=(Clue(name="always", weight=odds),))
    assert unplaced([sentence(1, figure(12))], [event(4)], lexicon) == ([(12, 13)] if shown else [])


@pytest.mark.parametrize(
    "events", [[], [event(4).model_copy(update={"flags": ("no-procedure",)})]], ids=["none", "talk"]
)
def test_where_no_procedure_is_told_no_figure_belongs(events: list[Event]) -> None:
    lexicon = Lexicon(clue=(Clue(name="always", weight=9.0),))
    assert unplaced([sentence(1, figure(12))], events, lexicon) == []
