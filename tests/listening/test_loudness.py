"""Phrases that are much fainter than the rest of a sound."""

import numpy as np
import pytest

from extractor.listening.loudness import faint

RATE = 16_000


def spoken(*levels_db: float) -> tuple[np.ndarray, list[tuple[float, float]]]:
    """Half a second of noise for each word, so loud."""
    noise = np.random.default_rng(3).standard_normal((len(levels_db), RATE // 2))
    sound = 0.05 * noise * 10 ** (np.array(levels_db)[:, None] / 20)
    return sound.ravel().astype(np.float32), [(at / 2, at / 2 + 0.5) for at in range(len(levels_db))]


@pytest.mark.parametrize(
    ("levels_db", "phrases"),
    [
        pytest.param([0.0] * 12, [], id="one voice"),
        pytest.param([0.0] * 8 + [-10.0] * 5 + [0.0] * 4, [(8, 13)], id="a second one between two sentences"),
        pytest.param([-12.0] * 4 + [0.0] * 9 + [-9.0] * 4, [(0, 4), (13, 17)], id="at the beginning and the end"),
        pytest.param([0.0] * 8 + [-10.0] * 2 + [0.0] * 4, [], id="two small words"),
        pytest.param([0.0, -6.0, 3.0, -3.0] * 5, [], id="one who stresses every other word"),
        pytest.param([0.0] * 9 + [-6.0] * 5, [], id="a sentence said more softly"),
        pytest.param([], [], id="no words"),
    ],
)
def test_phrases_much_fainter_than_the_rest(levels_db: list[float], phrases: list[tuple[int, int]]) -> None:
    assert list(faint(*spoken(*levels_db))) == phrases


def test_words_without_time_and_silence_are_no_error() -> None:
    assert list(faint(np.zeros(RATE, np.float32), [(0.0, 0.0), (0.5, 0.5), (0.9, 1.4)])) == []
