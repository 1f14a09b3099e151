"""What is to come out after the case, and what comes out now though another day is spoken of."""

import pytest

from tests.reconciling.telling import line_of, tell

_DRAIN = "Ten French drain, thirty long, is in. "
_SHEATH = "Six French sheath is in. "


@pytest.mark.parametrize(
    ("said", "status"),
    [
        pytest.param("The drain comes out on Tuesday.", "planned", id="day"),
        pytest.param("Drain out when it's dry.", "planned", id="when"),
        pytest.param("Take the drain out once it's under fifty a day.", "planned", id="once"),
        pytest.param("They'll want that drain out in two weeks.", "planned", id="wanted"),
        pytest.param("In ten days the ward pulls the ten French.", "planned", id="gauge"),
        pytest.param("The ten can be taken off after four to five weeks.", "planned", id="number"),
        pytest.param("If she's afebrile we pull this drain on Monday.", "considered", id="pulled"),
        pytest.param("If it's clear the drain comes out.", "considered", id="if"),
        pytest.param("It could come out after a month, the drain.", "considered", id="named-behind"),
        pytest.param("Perhaps it comes out next week.", "considered", id="it"),
        pytest.param("Removal of the drain might be at forty-eight hours.", "considered", id="noun"),
        pytest.param("Three days later we clamp, then pull the drain.", "planned", id="then"),
    ],
)
def test_what_stays_comes_out_another_day(said: str, status: str) -> None:
    told = [line_of(event) for event in tell(_DRAIN + said)]
    assert told[1:] == [f"remove {status} drain | gauge 10 [Ch], length 30 cm"]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("Sheath out, we look again in three days.", id="look-again"),
        pytest.param("We meet again in a month, sheath out.", id="meet-again"),
        pytest.param("When it's clear, sheath out.", id="no-drain"),
        pytest.param("Sheath out. He goes home in two days.", id="two-sentences"),
    ],
)
def test_what_comes_out_now_is_out(said: str) -> None:
    told = [line_of(event) for event in tell(_SHEATH + said)]
    assert told[1:] == ["remove done sheath | gauge 6 [Ch]"]


@pytest.mark.parametrize(
    "said",
    [
        pytest.param("The drain fell out on Sunday.", id="fell-out"),
        pytest.param("We ran out of swabs on Monday.", id="ran-out"),
        pytest.param("I find out on Thursday if it's clean.", id="find-out"),
        pytest.param("She's off in three weeks.", id="holiday"),
    ],
)
def test_other_talk_of_days_takes_nothing_out(said: str) -> None:
    assert not [event for event in tell(_DRAIN + said) if event.rule == "remove/later"]
