"""The track: sound and holes as they come, on the recording's clock."""

from itertools import pairwise

import numpy as np
import pytest

from extractor.listening.mixing import RATE
from extractor.listening.track import BROKEN_OFF, DAMAGED, LOST, PAUSED, Track


def sound(seconds: float, level: float = 0.5) -> np.ndarray:
    """One channel that never is silent."""
    return np.full((1, round(seconds * RATE)), level, np.float32)


def laid(track: Track) -> list[tuple[float, float, float]]:
    """Where the track sounds: (from, to, level), in seconds."""
    samples = track.samples()[:]
    edges = [0, *(np.flatnonzero(np.diff(samples)) + 1).tolist(), len(samples)]
    return [(a / RATE, b / RATE, float(samples[a])) for a, b in pairwise(edges) if samples[a]]


def holes(track: Track) -> list[tuple[int, int, str]]:
    return [(gap.start_ms, gap.end_ms, gap.why) for gap in track.gaps()]


def test_sound_and_holes_lie_one_after_another():
    track = Track()
    track.add(sound(1.5))
    track.lack(PAUSED, 4 * RATE)
    track.add(sound(0.25, 0.25))
    track.lack(BROKEN_OFF)
    assert laid(track) == [(0, 1.5, 0.5), (4, 4.25, 0.25)]
    assert holes(track) == [(1500, 4000, PAUSED), (4250, 4250, BROKEN_OFF)]


def test_holes_that_touch_are_one_and_the_worse_is_told():
    track = Track()
    track.add(sound(1))
    track.lack(DAMAGED)
    track.lack(PAUSED, 2 * RATE)
    track.lack(LOST, 3 * RATE)
    assert holes(track) == [(1000, 3000, LOST)]


@pytest.mark.parametrize(("between_s", "told"), [(0.9, 1), (1.1, 2)], ids=["near", "not near"])
def test_damage_with_hardly_any_sound_between_is_one_damage(between_s, told):
    track = Track()
    track.add(sound(1))
    track.lack(DAMAGED, 2 * RATE)
    track.add(sound(between_s))
    track.lack(DAMAGED, 4 * RATE)
    assert len(holes(track)) == told


def test_pauses_are_told_one_by_one():
    track = Track()
    for second in (1, 2, 3):
        track.add(sound(0.5))
        track.lack(PAUSED, second * RATE)
    assert [start_ms for start_ms, _, _ in holes(track)] == [500, 1500, 2500]


#: id: seconds of sound behind a leap from 1 to 9; the second it is found to be; where it then lies, or None
BACK = {
    "to where it was": (2, 3.0, 1.0),
    "a second late": (2, 4.0, 2.0),
    "too early": (2, 2.9, None),
    "no way back": (2, 11.0, None),
    "too late to say": (5.1, 7.0, None),
}


@pytest.mark.parametrize(("after_s", "at_s", "lies_s"), BACK.values(), ids=BACK)
def test_a_leap_of_the_clock_is_taken_back(after_s, at_s, lies_s):
    track = Track()
    track.add(sound(1))
    track.lack(DAMAGED, 9 * RATE)
    track.add(sound(after_s, 0.25))
    assert track.take_back(round(at_s * RATE)) is (lies_s is not None)
    track.add(sound(1, 0.125))
    begins_s = 9 if lies_s is None else lies_s
    ends_s = begins_s + after_s
    assert laid(track) == [(0, 1, 0.5), (begins_s, ends_s, 0.25), (ends_s, ends_s + 1, 0.125)]
    assert holes(track) == [(1000, begins_s * 1000, DAMAGED)]


@pytest.mark.parametrize(
    ("ahead_s", "length_s"), [(0.019, 1.0), (0.021, 1.0 + 0.02), (0.01, 1.0), (-0.05, 1.0 - 0.02)], ids=str
)
def test_a_second_is_stretched_by_two_hundredths_at_most(ahead_s, length_s):
    track = Track()
    track.ahead_s = ahead_s
    track.add(sound(1))
    assert len(track.samples()) == round(length_s * RATE)


def test_a_change_of_channels_is_followed():
    track = Track()
    track.add(sound(0.5))
    track.add(np.repeat(sound(0.5), 2, axis=0))
    assert laid(track) == [(0, 1, 0.5)]
