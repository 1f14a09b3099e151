"""Sizes told by name or as a row, and figures that are none."""

import pytest

from extractor.reading.statements import reader_of
from tests.reconciling.telling import shipped, words_of


def sizes(text: str) -> list[tuple[float | None, float | None]]:
    """Lines -> width and length of each device, mm."""
    sentences, _ = reader_of(shipped()).read(words_of(text))
    devices = [item.figures for sentence in sentences for item in sentence.items if item.kind == "device"]

    def told(key: str, figures: dict[str, object]) -> float | None:
        value = figures.get(key)
        return value.value * (10 if value.unit == "cm" else 1) if value else None  # type: ignore[attr-defined]

    pairs = [(told("diameter", figures), told("length", figures)) for figures in devices]
    return [pair for pair in pairs if pair != (None, None)]


@pytest.mark.parametrize(
    "text",
    [
        "Balloon, six wide and forty long, please.",
        "A six millimetre balloon of forty length.",
        "A balloon of six millimetres, forty long.",
        "The balloon has a diameter of six and a length of forty.",
        "We take the stent, six in diameter, it is forty long.",
        "a balloon measuring six millimetres in diameter and forty millimetres in length",
        "a six millimetre diameter, forty millimetre length balloon",
        "Forty long, six wide, that's the balloon.",
        "That long balloon, the six millimetre one, forty in length.",
        "A six balloon, forty millimetres.",
        "Balloon six mil by forty mil.",
        "Balloon six forty.",
        "The six forty balloon.",
        "We put stent now, six, forty.",
        "The balloon-expandable, six to forty, prepare.",
        "A stent of six for forty.",
    ],
)
def test_one_size_is_read(text: str) -> None:
    assert sizes(text) == [(6, 40)]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Balloon three one twenty please.", [(3, 120)]),
        ("Balloon five two hundred.", [(5, 200)]),
        ("Balloon three five thirty.", [(3.5, 30)]),
        ("Two stents: six by forty and seven by sixty.", [(6, 40), (7, 60)]),
    ],
)
def test_every_size_is_read(text: str, told: list[tuple[float, float]]) -> None:
    assert sizes(text) == told


@pytest.mark.parametrize(
    "text",
    [
        "Balloon up, eight, eighteen.",  # pressures
        "Balloon, four, nine, twenty-two.",
        "Balloon at six, twenty seconds.",
        "The aneurysm is four in diameter and sixty long, the balloon waits.",  # nearer to what it is the size of
        "The vessel is six wide and forty long where the balloon sits.",
        "Balloon, eight, twelve.",
        "Two balloons, forty millimetres apart.",
        "The stent is open. Six wide, forty long.",  # no noun: what is measured?
    ],
)
def test_what_is_no_size_is_not_read_as_one(text: str) -> None:
    assert not [pair for pair in sizes(text) if None not in pair]


@pytest.mark.parametrize("behind", ["eight atmospheres", "three minutes", "two months ago", "six bar"])
def test_a_length_does_not_run_on_into_what_follows(behind: str) -> None:
    assert sizes(f"Six by forty {behind}.") == [(6, 40)]
