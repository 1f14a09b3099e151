"""The real recogniser: the same words whatever lies beside a stretch, in order, with times inside it."""

import numpy as np
import pytest

from extractor.listening.decode import decode
from extractor.listening.recogniser import load
from extractor.listening.speech_models import resolve
from extractor.reading.numbers import read_numbers
from extractor.reading.opinions import FIGURE_WORDS
from extractor.reading.tokens import tokenise

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


def test_what_else_a_figure_may_be_is_told_and_nothing_of_other_words(stretches):
    recogniser = load(resolve("base"))
    (spoken,) = recogniser.hear(stretches[:1], number_words=FIGURE_WORDS)
    assert [piece.text for piece in spoken] == [piece.text for piece in recogniser.hear(stretches[:1], beam=1)[0]]
    assert any(piece.rivals for piece in spoken)
    for piece in spoken:
        assert all(ratio <= 0 for _, ratio in piece.rivals)  # without a beam the likeliest is written
        assert not piece.rivals or read_numbers(tokenise([piece.text]))


def test_no_more_is_written_than_asked_for(stretches):
    (spoken,) = load(resolve("trade")).hear(stretches[:1], most_tokens=3)
    assert 0 < len(spoken) <= 3


def test_nothing_to_hear():
    assert load(resolve("trade")).hear([]) == []
