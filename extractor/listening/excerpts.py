"""What another model is asked about: the breaths a figure lies in, as many of a sound as go into one of its windows.

A model's window costs the same whatever is in it, and most of what is said has no figure. So breaths with figures are
cut out at the pauses beside them and laid end to end; what is heard there goes back to its own place in the sound.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Any

from extractor.listening.decode import RATE
from extractor.listening.recogniser import Spoken

#: (first, past last) of words -> stretches of sound.
Span = tuple[int, int]
Stretch = tuple[float, float]  # start_s, end_s

#: A pause that parts two breaths, and what of it goes with each at most; shorter ones may lie within a word.
_PAUSE_S, _MARGIN_S = 0.4, 0.2
#: What is shorter is hard to make out: the breaths beside it come with it.
_SHORTEST_S = 2.0


def breaths(spoken: Sequence[Spoken], spans: Iterable[Span], within: Stretch) -> list[Stretch]:
    """The stretches, in order and apart, that hold the words of the spans, cut at pauses between words."""
    found: list[Stretch] = []
    for first, past in spans:
        start_s, first = _edge(spoken, first, -1, within)
        end_s, past = _edge(spoken, past - 1, 1, within)
        while end_s - start_s < _SHORTEST_S and (first > 0 or past < len(spoken) - 1):
            start_s, first = _edge(spoken, max(first - 1, 0), -1, within)
            end_s, past = _edge(spoken, min(past + 1, len(spoken) - 1), 1, within)
        if found and start_s <= found[-1][1]:
            start_s, end_s = found[-1][0], max(end_s, found.pop()[1])
        found.append((start_s, end_s))
    return found


def _edge(spoken: Sequence[Spoken], at: int, step: int, within: Stretch) -> tuple[float, int]:
    """From a word on to the pause before (step -1) or after it (1): where to cut, and the last word on this side."""
    while 0 <= at + step < len(spoken) and _pause_s(spoken[at], spoken[at + step]) < _PAUSE_S:
        at += step
    if step < 0:
        return max(spoken[at].start_s - _MARGIN_S, within[0]), at
    return min(spoken[at].end_s + _MARGIN_S, within[1]), at


def _pause_s(one: Spoken, other: Spoken) -> float:
    return max(one.start_s, other.start_s) - min(one.end_s, other.end_s)


@dataclass(frozen=True)
class Window:
    """Stretches of one sound, laid end to end."""

    stretches: tuple[Stretch, ...]

    @property
    def length_s(self) -> float:
        return sum(end_s - start_s for start_s, end_s in self.stretches)

    def cut(self, samples: Any) -> Any:
        """The window's own samples."""
        import numpy as np

        return np.concatenate(
            [samples[round(start_s * RATE) : round(end_s * RATE)] for start_s, end_s in self.stretches]
        )

    def parts(self, pieces: Sequence[Spoken]) -> Iterator[list[Spoken]]:
        """What was heard in the window, by stretch, on the sound's clock. A piece belongs where its middle is."""
        edges = [0.0, *accumulate(end_s - start_s for start_s, end_s in self.stretches)]
        for (start_s, end_s), from_s, to_s in zip(self.stretches, edges, [*edges[1:-1], float("inf")], strict=False):
            shift_s = start_s - from_s
            yield [
                replace(
                    each,
                    start_s=min(max(each.start_s + shift_s, start_s), end_s),
                    end_s=min(max(each.end_s + shift_s, start_s), end_s),
                )
                for each in pieces
                if from_s <= (each.start_s + each.end_s) / 2 < to_s
            ]


def windows(stretches: Iterable[Stretch], longest_s: float) -> list[Window]:
    """As few windows as hold the stretches in their order, none longer than it may be."""
    laid: list[Window] = []
    for stretch in stretches:
        longer = Window((*laid[-1].stretches, stretch)) if laid else None
        if longer and longer.length_s <= longest_s:
            laid[-1] = longer
        else:
            laid.append(Window((stretch,)))
    return laid
