"""Where there is voice in a sound: the detector's probability for each 32 ms, and what can be told from it.

It cuts nothing away. Measured with Silero VAD 6, which comes with faster-whisper: noise, hum, tones and beeps stay
below 0.45, mostly below 0.1; speech reaches 0.84 in every sentence, even under noise three times as strong (-5 dB).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import accumulate, groupby, pairwise

from extractor.listening.decode import RATE

#: The detector's step in samples, and steps in a second.
STEP = 512
PER_S = RATE / STEP

#: Above: surely voice. Below: none, if there is other evidence too.
SURE, NONE = 0.5, 0.3
_WORD_STEPS = 5

#: A chunk is parted at the best pause between these two; Whisper takes at most 30 s.
_SHORTEST_CHUNK_S, LONGEST_CHUNK_S = 14.0, 29.0
_PAUSE_STEPS = 19  # 0.6 s: a pause, not a breath
_QUIET = 0.1  # the mean over a pause as good as any
_CLOSURE_STEPS = 9  # 0.3 s: inside a word the voice stops no longer than this
#: Nobody seems to speak for this long, and a margin on either side.
_LONG_SILENCE_S, _MARGIN_S = 6.0, 1.0


@dataclass
class Voice:
    """The probability of voice of each step of one sound."""

    steps: list[float]

    def presence(self, start_s: float = 0.0, end_s: float = float("inf")) -> float:
        """The highest probability of voice over 0.16 s between two times: one step of it, noise has at times."""
        return max(_means(self._between(start_s, end_s), _WORD_STEPS), default=0.0)

    def seconds(self, start_s: float, end_s: float) -> float:
        """How long there is surely voice between two times."""
        return sum(each > SURE for each in self._between(start_s, end_s)) / PER_S

    def core(self, start_s: float, end_s: float) -> tuple[float, float] | None:
        """From the first to the last moment of voice between two times; None if there is none."""
        found = [
            i for i, each in enumerate(self._between(start_s, end_s), max(0, round(start_s * PER_S))) if each > SURE
        ]
        return (found[0] / PER_S, (found[-1] + 1) / PER_S) if found else None

    def longest(self, start_s: float, end_s: float) -> tuple[float, float] | None:
        """The longest run of voice between two times, short closures bridged; None if there is no voice."""
        first = max(0, round(start_s * PER_S))
        runs: list[tuple[int, int]] = []
        for from_step, to_step in _runs(each > SURE for each in self._between(start_s, end_s)):
            if runs and from_step - runs[-1][1] <= _CLOSURE_STEPS:
                runs[-1] = (runs[-1][0], to_step)
            else:
                runs.append((from_step, to_step))
        if not runs:
            return None
        from_step, to_step = max(runs, key=lambda run: run[1] - run[0])
        return (first + from_step) / PER_S, (first + to_step) / PER_S

    def chunks(self, length_s: float) -> Iterator[tuple[float, float, bool]]:
        """The whole sound in chunks of at most 29 s, nothing left out: (start_s, end_s, whether there may be voice)."""
        means = _means(self.steps, _WORD_STEPS)
        edges = [(0.0, True)]  # where a stretch begins, and whether there may be voice in it
        for first, past in _runs(each < NONE for each in means):
            from_s = first / PER_S + (_MARGIN_S if first else 0.0)
            to_s = past / PER_S - _MARGIN_S if past < len(means) else length_s
            if to_s - from_s >= _LONG_SILENCE_S:
                edges += [(from_s, False), (to_s, True)]
        pauses = _means(self.steps, _PAUSE_STEPS)
        for (start_s, is_voiced), (end_s, _) in pairwise([*edges, (length_s, True)]):
            at = start_s
            while end_s - at > LONGEST_CHUNK_S:
                first, past = int((at + _SHORTEST_CHUNK_S) * PER_S), int((at + LONGEST_CHUNK_S) * PER_S)
                # The last good pause, else the deepest: a chunk costs the same however long, and longer ones give the
                # decoder more to go by.
                cut = min(range(first, past), key=lambda i: (max(pauses[min(i, len(pauses) - 1)], _QUIET), -i)) / PER_S
                yield at, cut, is_voiced
                at = cut
            if end_s > at:
                yield at, end_s, is_voiced

    def outside(
        self, covered: Iterable[tuple[float, float]], start_s: float, end_s: float, at_least_s: float
    ) -> list[tuple[float, float]]:
        """Stretches between two times, outside what is covered, with more than ``at_least_s`` of voice in them."""
        first, past = int(start_s * PER_S), min(int(end_s * PER_S), len(self.steps))
        is_free = [True] * max(0, past - first)
        for from_s, to_s in covered:
            for i in range(max(0, int(from_s * PER_S) - first), min(len(is_free), int(to_s * PER_S) + 1 - first)):
                is_free[i] = False
        found = []
        for from_step, to_step in _runs(is_free):
            from_s, to_s = (first + from_step) / PER_S, (first + to_step) / PER_S
            core = self.core(from_s, to_s)
            if core and self.seconds(from_s, to_s) > at_least_s:
                found.append((max(from_s, core[0] - 0.25, start_s), min(to_s, core[1] + 0.25, end_s)))
        return found

    def _between(self, start_s: float, end_s: float) -> list[float]:
        past = len(self.steps) if end_s * PER_S >= len(self.steps) else max(0, round(end_s * PER_S))
        return self.steps[max(0, round(start_s * PER_S)) : past]


def _means(values: list[float], width: int) -> list[float]:
    """The mean of each value and its neighbours."""
    sums = [0.0, *accumulate(values)]
    half = width // 2
    spans = ((max(i - half, 0), min(i + half + 1, len(values))) for i in range(len(values)))
    return [(sums[past] - sums[first]) / (past - first) for first, past in spans]


def _runs(flags: Iterable[bool]) -> Iterator[tuple[int, int]]:
    """(first, past last) of each run of true flags."""
    at = 0
    for flag, run in groupby(flags):
        past = at + sum(1 for _ in run)
        if flag:
            yield at, past
        at = past
