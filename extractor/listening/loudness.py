"""Which words are spoken much fainter than the rest: by somebody further away, perhaps of something else.

What the recogniser writes between the operator's sentences may be another talk in the room. Who speaks, nothing here
tells; how loud it is, does. One person who reads or dictates keeps within 8 dB of his own median from phrase to phrase
(measured: 18 recordings of the benchmark, 5 voices of other cases, 6 recordings of real people; docs/validation.md).
"""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from extractor.listening.decode import RATE

#: A phrase so far below the median word, in dB, with no word in it above that; and the least words of a phrase: a small
#: word alone is always faint.
_PHRASE_DB, _WORD_DB, _LEAST_WORDS = 8.0, 6.0, 3


def faint(samples: Any, times_s: Sequence[tuple[float, float]]) -> Iterator[tuple[int, int]]:
    """A sound (float32 at 16 kHz) and when each of its words is spoken, in order -> the phrases (first word, past last)
    that are much fainter than the rest.
    """
    import numpy as np

    if not times_s:
        return

    def power(start_s: float, end_s: float) -> float:
        piece = samples[int(start_s * RATE) : int(end_s * RATE)]
        return float(np.mean(np.square(piece))) if len(piece) else 0.0

    powers = np.array([power(*times) for times in times_s])
    lengths = np.array([max(end_s - start_s, 1 / RATE) for start_s, end_s in times_s])
    usual = float(np.median(powers))
    below = usual * 10 ** (-_WORD_DB / 10)
    for is_low, run in groupby(range(len(powers)), lambda at: powers[at] < below):
        at = list(run)
        first, past = at[0], at[-1] + 1
        if not is_low or past - first < _LEAST_WORDS:
            continue
        of_phrase = float(np.average(powers[first:past], weights=lengths[first:past]))
        if of_phrase < usual * 10 ** (-_PHRASE_DB / 10):
            yield first, past
