"""Sound of a case -> the same with tones over what is taken out, and clips of it."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from extractor.listening.decode import RATE, Sound
from extractor.sound_file import PER_MS, OneClock

if TYPE_CHECKING:
    import numpy as np

    Samples = np.ndarray[Any, np.dtype[np.float32]]

#: Before and after a word: recognisers end words early.
_MARGIN_MS = 120
_TONE_HZ, _TONE_LOUDNESS = 800, 0.1


def mixed(sounds: Sequence[tuple[int, Sound]], tones: Iterable[tuple[int, int]]) -> "Samples":
    """Sounds with where each begins (ms), and stretches (ms) -> one sound, a tone in place of each stretch."""
    import numpy as np

    samples = OneClock([(offset_ms, sound.samples) for offset_ms, sound in sounds])[:]
    for start_ms, end_ms in tones:
        first = max(0, (start_ms - _MARGIN_MS) * PER_MS)
        past = min(len(samples), (end_ms + _MARGIN_MS) * PER_MS)
        if past > first:
            at = np.arange(first, past, dtype=np.float32) / RATE
            samples[first:past] = _TONE_LOUDNESS * np.sin(2 * np.pi * _TONE_HZ * at)
    return samples


def cut(samples: "Samples", start_ms: int, end_ms: int) -> "Samples":
    """A stretch of a sound, clipped to what there is."""
    return samples[max(0, start_ms) * PER_MS : max(0, end_ms) * PER_MS]
