"""tools/told_before.py finds which clues tell that a size told before is meant; the others have no weight."""

import random

import pytest

from extractor.model import Value
from extractor.reconciling.told_before import Slot, Told, likelihoods
from tools.told_before import Row, fit, told


def row(*clues: tuple[str, ...], right: int | None, filled: bool = False) -> Row:
    """A slot with a size for each tuple of clues, which of them is right."""
    value = Value(value=6, unit="[Ch]", confidence=1, words=(0, 1))
    slot = Slot(0, "gauge", tuple(Told(value, each) for each in clues))
    return Row(slot, tuple(number == right for number in range(len(clues))), filled)


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    """The nearer of two sheaths is meant nine times in ten, of a needle neither; the rest is chance."""
    chance = random.Random(7)
    made = []
    for number in range(400):
        noise = ("heads",) if chance.random() < 0.5 else ("tails",)
        of = "sheath" if number % 2 else "needle"
        right = None if of == "needle" else int(chance.random() < 0.1)
        made.append(row((of, "near", *noise), (of, "far", *noise), right=right))
    return made


def test_what_tells_has_a_weight_and_what_does_not_has_none(rows: list[Row]) -> None:
    weights = fit(rows)
    assert not {"heads", "tails"} & weights.keys()
    near, far = likelihoods(row(("sheath", "near"), ("sheath", "far"), right=0).slot, weights)
    assert near == pytest.approx(0.9, abs=0.07)  # the price of a weight draws it towards none
    assert far == pytest.approx(0.1, abs=0.07)
    assert sum(likelihoods(row(("needle", "near"), ("needle", "far"), right=None).slot, weights)) < 0.1


def test_what_would_be_given_counts_only_what_rules_leave_empty(rows: list[Row]) -> None:
    weights = fit(rows)
    some = [row(("sheath", "near"), ("sheath", "far"), right=0), row(("sheath", "near"), right=0, filled=True)]
    assert told(some, weights).splitlines()[0] == "1 slots that rules leave empty, 1 were told before"
    assert "from 0.50: 1 given, 1 of them right" in told(some, weights)
