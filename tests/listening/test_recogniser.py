"""The real recogniser: the same words whatever lies beside a stretch, in order, with times inside it."""

import numpy as np
import pytest

from extractor.listening.decode import decode
from extractor.listening.recogniser import load
from extractor.listening.speech_models import resolve

RATE = 16_000

pytestmark = pytest.mark.sound


@pytest.fixture(scope="module")
def stretches(request: pytest.FixtureRequest) -> list[np.ndarray]:
    """A shipped recording whole and in pieces, and noise."""
    samples = decode(request.config.rootpath / "fixtures" / "short-inflation" / "recording.opus").samples[:]
    noise = np.random.default_rng(1).standard_normal(3 * RATE).astype(np.float32) / 1000
    return [samples, noise, samples[: 4 * RATE], samples[3 * RATE :], samples[:1]]


def test_neighbours_change_nothing(stretches):
    recogniser = load(resolve("trade"))
    together = recogniser.hear(stretches)
    alone = [recogniser.hear([each])[0] for each in stretches]
    assert [[piece.text for piece in spoken] for spoken in together] == [
        [piece.text for piece in spoken] for spoken in alone
    ]


def test_times_go_up_and_stay_inside(stretches):
    for samples, spoken in zip(stretches, load(resolve("tiny.en")).hear(stretches), strict=True):
        times = [time for piece in spoken for time in (piece.start_s, piece.end_s)]
        assert times == sorted(times)
        assert not times or times[-1] <= max(len(samples) / RATE, 0.16) + 0.02
        assert all(0 <= piece.probability <= 1 and piece.logprob <= 0 for piece in spoken)


def test_no_more_is_written_than_asked_for(stretches):
    (spoken,) = load(resolve("trade")).hear(stretches[:1], most_tokens=3)
    assert 0 < len(spoken) <= 3


def test_nothing_to_hear():
    assert load(resolve("trade")).hear([]) == []
