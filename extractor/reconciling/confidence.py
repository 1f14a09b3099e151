"""Signs of doubt -> how likely a value is right. The weights are data (``lexicons/doubt.toml``), fitted on speech.

A logistic model: each sign has a weight in log odds, they add up. Signs are the flags of reading and reconciling, how
sure the recogniser was of the least sure word, and what the other recognisers heard.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from itertools import takewhile

from extractor.lexicon import Lexicon
from extractor.model import CLOSE, SecondHearing, WordRange

#: The recogniser's probability of a word is never 0 or 1 in earnest.
_LEAST, _MOST = 0.02, 0.99
#: Pairs that sound alike, thirteen and thirty to nineteen and ninety.
_PAIRS = frozenset(frozenset({teen, 10 * (teen - 10)}) for teen in range(13, 20))
_SOUND_ALIKE = frozenset().union(*_PAIRS)

Signs = dict[str, float]


def signs(flags: Iterable[str], probability: float, hearings: Sequence[SecondHearing], asked: bool) -> Signs:
    """What speaks for or against a value: sign -> how much of it, mostly 0 or 1.

    ``probability``: of the least sure word. ``asked``: whether other recognisers were; ``hearings``: of its words.
    """
    found: Signs = {"always": 1.0, **dict.fromkeys(flags, 1.0)}
    if not asked:
        return found
    least = min(max(probability, _LEAST), _MOST)
    otherwise = max((each.otherwise for each in hearings), default=0)
    unheard = max((each.unheard for each in hearings), default=0)
    found["sound"] = 1.0
    found["word-odds"] = math.log(least / (1 - least))
    found["one-otherwise"] = float(otherwise == 1)
    found["more-otherwise"] = float(otherwise > 1)
    found["one-unheard"] = float(unheard == 1)
    found["more-unheard"] = float(unheard > 1)
    found["sounds-alike"] = float(any(each.value in _SOUND_ALIKE for each in hearings))
    return found


def close_call(hearings: Sequence[SecondHearing]) -> bool:
    """Whether a recogniser nearly wrote the figure that sounds alike, or wrote it where ours was nearly as likely."""
    return any(
        ratio is not None and ratio > CLOSE and {rival, each.value} in _PAIRS
        for each in hearings
        for rival, ratio in each.rivals
    )


def heard_in(hearings: Sequence[SecondHearing], words: WordRange) -> list[SecondHearing]:
    """Hearings in order, a range of words -> those of the figures that lie in it."""
    first = bisect_left(hearings, words[0], key=lambda hearing: hearing.words[1] - 1)
    on = (hearings[at] for at in range(first, len(hearings)))  # a slice would copy the rest of the case for every value
    return list(takewhile(lambda hearing: hearing.words[0] < words[1], on))


def confidence(found: Signs, weights: dict[str, float]) -> float:
    """The probability that a value with these signs is right. A sign without a weight counts nothing."""
    odds = sum(weights.get(sign, 0.0) * much for sign, much in found.items())
    return 1 / (1 + math.exp(-odds))


def weights(lexicon: Lexicon) -> dict[str, float]:
    """Sign -> its weight in log odds."""
    return {entry.name: entry.weight for entry in lexicon.sign}
