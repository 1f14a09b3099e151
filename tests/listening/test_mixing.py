"""Several channels become one that loses no voice: measured against the voice alone, and against plain adding up."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from extractor.listening.decode import decode
from extractor.listening.mixing import RATE, Mixer

SECONDS = 30


@pytest.fixture(scope="module")
def voice(request: pytest.FixtureRequest) -> np.ndarray:
    """A synthetic voice that tells an invented case."""
    path = Path(request.config.rootpath) / "fixtures" / "calf-claudication" / "recording.opus"
    return decode(path).samples[: SECONDS * RATE]


def hiss(level: float, seed: int = 1) -> np.ndarray:
    return np.random.default_rng(seed).standard_normal(SECONDS * RATE).astype(np.float32) * level


def mix(channels: np.ndarray) -> np.ndarray:
    mixer = Mixer()
    return np.concatenate([mixer.mix(channels[:, at : at + RATE]) for at in range(0, channels.shape[1], RATE)])


def clearness(sound: np.ndarray, voice: np.ndarray) -> float:
    """How far the voice stands above the rest, in dB; how loud it is made, and turned round or not, is no matter."""
    kept, rest = 1e-12, 1e-9
    for at in range(0, len(voice) - RATE // 4, RATE // 4):
        heard, said = sound[at : at + RATE // 4], voice[at : at + RATE // 4]
        if said.std() > 0.02:
            part = (heard @ said) / (said @ said) * said
            kept += part @ part
            rest += (heard - part) @ (heard - part)
    return float(10 * np.log10(kept / rest))


Make = Callable[[str, float], np.ndarray]

#: id: (voice, make) -> the channels; how clear the voice is at least, and at most where channels are added up, in dB
CASES = {
    "two alike": (lambda voice, _: [voice + hiss(0.001, 1), voice + hiss(0.001, 2)], 35, 999),
    "the other is mute": (lambda voice, _: [voice, 0 * voice], 60, 999),
    "the other hisses": (lambda voice, _: [voice + hiss(0.001), hiss(0.1, 2)], 30, 0),
    "the other rumbles, much louder": (lambda voice, make: [voice + hiss(0.001), make("pink noise", SECONDS)], 30, -5),
    "the other has music": (lambda voice, make: [make("chords", SECONDS) / 2, voice + hiss(0.001)], 30, 5),
    "opposite phase": (lambda voice, _: [voice, -voice], 60, -20),
    "opposite phase in hiss": (lambda voice, _: [voice + hiss(0.02), hiss(0.02, 2) - voice], 10, -10),
    "one of six": (lambda voice, make: [make("chords", SECONDS) / 4] * 3 + [0 * voice, voice, hiss(0.001)], 30, 0),
}  # fmt: skip


@pytest.mark.parametrize(("channels", "ours", "added"), CASES.values(), ids=CASES)
def test_no_voice_is_lost(voice, make, channels, ours, added):
    several = np.stack([np.asarray(each, np.float32) for each in channels(voice, make)])
    assert clearness(mix(several), voice) >= ours
    assert clearness(several.mean(axis=0), voice) <= added


def test_two_people_each_in_a_channel_are_both_heard(voice):
    """They take turns, half a minute each: neither channel is chosen for good."""
    half = len(voice) // 2
    first, second = hiss(0.001), hiss(0.001, 2)
    first[:half] += voice[:half]
    second[half:] += voice[half:]
    assert clearness(mix(np.stack([first, second])), voice) > 25


def test_one_channel_is_left_as_it_is(voice):
    np.testing.assert_array_equal(mix(voice[None]), voice)


@pytest.mark.parametrize("samples", [1, 7, 1599, 1601])
def test_the_shortest_stretches_are_no_trouble(samples):
    assert mix(np.ones((2, samples), np.float32)).shape == (samples,)
