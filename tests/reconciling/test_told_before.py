"""Sizes told of things earlier in a case: which of them is given to what nobody sizes, and how it is marked."""

import pytest

from extractor.model import Event
from extractor.reconciling.told_before import give_told_before, likelihoods, slots
from tests.reconciling.telling import line_of, shipped, tell

#: Sheaths of two sizes go in; one comes out, and nobody says which.
CASE = "Seven French sheath in. Six French sheath in.\nThe sheath is out."
LAST, ONE_BEFORE = {"remove gauge number 0": 2.0}, {"remove gauge number 1": 2.0}


def with_no_size(events: tuple[Event, ...]) -> tuple[Event, ...]:
    """The last event as if no rule carried a size over to it."""
    return *events[:-1], events[-1].model_copy(update={"values": {}, "flags": (), "review": False})


@pytest.fixture
def events() -> tuple[Event, ...]:
    told = with_no_size(tell(CASE))
    assert [line_of(event) for event in told] == [
        "insert done sheath | gauge 7 [Ch]", "insert done sheath | gauge 6 [Ch]", "remove done sheath"
    ]  # fmt: skip
    return told


@pytest.mark.parametrize(
    ("weights", "gauge"),
    [
        pytest.param(LAST, 6, id="the one told last"),
        pytest.param(ONE_BEFORE, 7, id="the one before it"),
        pytest.param({"remove gauge": -3.0}, None, id="none is likely"),
        pytest.param({}, None, id="nothing has a weight"),
        pytest.param({"a clue that nothing has": 9.0}, None, id="a clue that is not there: two and none are as likely"),
    ],
)
def test_the_likeliest_is_given(events: tuple[Event, ...], weights: dict[str, float], gauge: float | None) -> None:
    *before, last = give_told_before(events, weights)
    assert tuple(before) == events[:-1]
    assert (last.values["gauge"].value if last.values else None) == gauge


def test_what_is_given_is_marked_with_the_others_beside_it_and_points_to_its_words(events: tuple[Event, ...]) -> None:
    value = give_told_before(events, LAST)[-1].values["gauge"]
    assert value.review
    assert value.flags == ("carried-over", "which-device")
    assert (value.heard, value.words) == (events[1].values["gauge"].heard, events[1].values["gauge"].words)
    assert [(other.value, other.unit, other.log_ratio) for other in value.alternatives] == [(7, "[Ch]", -2)]


def test_it_is_no_surer_than_it_is_likely(events: tuple[Event, ...]) -> None:
    slot = next(slot for slot in slots(events) if slot.at == 2)
    last = give_told_before(events, LAST)[-1]
    assert last.values["gauge"].confidence == last.confidence == round(max(likelihoods(slot, LAST)), 3)


def test_a_size_that_stands_stays() -> None:
    events = tell(CASE)
    assert events[-1].values
    assert give_told_before(events, {"remove gauge": 9.0, "remove gauge number 1": 9.0}) == events


def test_without_weights_nothing_is_given_even_of_one_thing() -> None:
    events = with_no_size(tell("Six French sheath in.\nThe sheath is out."))
    assert give_told_before(events, {}) == events


def test_nothing_is_given_that_nobody_told() -> None:
    events = with_no_size(tell("The sheath is out."))
    assert not list(slots(events))


def test_a_wire_has_no_size_of_a_sheath() -> None:
    events = with_no_size(tell("Six French sheath in. Hydrophilic wire in.\nThe wire is out."))
    assert not [slot for slot in slots(events) if slot.at == 2]


def test_weights_are_shipped() -> None:
    assert {clue.name: clue.weight for clue in shipped().size_clue}
