"""A stream of pressure samples -> the inflations in it: when the peak was reached, how high, how long it was held.

Works on a median of each quarter second, which takes spikes and most of the noise. Built for what pumps log: steps on
the way up, a slow leak while it is held, a zero that drifts, a vacuum between inflations, samples that are missing.
The borders are common practice, no source; tests/audit measures what they find.
"""

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

#: Width of a cell, s; a log with fewer samples gets wider ones.
_CELL_S = 0.25
#: A stretch without samples up to this long is bridged, s (or three samples of a slow log).
_BRIDGED_S = 4.0
#: Resting levels within this are the sensor's zero; lower ones are a vacuum; higher ones up to the last are air, 1 atm.
_ZERO_ATM, _AIR_ATM = 0.6, 1.3
_ZERO_WINDOW_S = 120.0
#: An inflation begins above the first and ends below the second, and reaches the third.
_UP_ATM, _DOWN_ATM, _LEAST_ATM = 1.0, 0.7, 1.5
#: What differs more from sample to sample is no noise but a slow log.
_MOST_NOISE_ATM = 0.5
#: Between two inflations pressure falls below this share of the lower of them.
_VALLEY = 0.35
#: The peak is the median of so many seconds; it is reached within this of it.
_PEAK_S, _REACHED_ATM, _REACHED_SHARE = 2.0, 0.3, 0.03
#: It goes down where it falls below this share of the peak for good: leaks are above, deflation passes it quickly.
_HELD_SHARE = 0.5
#: A balloon that was up before and after a silence shorter than this was up throughout: on its way, held.
_SHORT_SILENCE_MS, _LONG_SILENCE_MS = 12_000, 120_000
#: Smoothing, s; a spike is one sample, so at least three cells, unless these are too long for it.
_SMOOTH_S, _SLOW_CELL_S = 1.0, 1.5
#: Shorter than this above the threshold is a knock on the line, s.
_SHORTEST_S = 1.0
#: Drift of the zero below this is not worth a word.
_WORTH_SAYING_ATM = 0.15


@dataclass(frozen=True)
class Inflation:
    """One logged inflation, on the log's clock. ``atm`` is its peak, ``hold_s`` from reaching it until it goes down.

    ``cut_start``, ``cut_end``: the log begins or falls silent, or ends, within it; ``silent``: it is silent in between.
    """

    start_ms: int
    peak_ms: int
    down_ms: int | None
    atm: float
    hold_s: float | None
    cut_start: bool = False
    cut_end: bool = False
    silent: bool = False

    @property
    def cut(self) -> bool:
        """Whether a piece of it is missing, so that its peak or its hold may be another."""
        return self.cut_start or self.cut_end or self.silent


@dataclass(frozen=True, eq=False)
class Samples:
    """Times in s, in order, and pressures in atm; the same length, nothing missing."""

    at_s: "Array"
    atm: "Array"


def find_inflations(samples: Samples, repairs: list[str]) -> tuple[list[Inflation], tuple[tuple[int, int], ...]]:
    """Samples -> inflations in order, and the silences (start_ms, end_ms). Adds to ``repairs`` what was put right."""
    import numpy as np

    steps = np.diff(samples.at_s)
    steps = steps[steps > 0]
    usual_s = float(np.median(steps)) if len(steps) else _CELL_S
    silent_s = max(_BRIDGED_S, 3.5 * usual_s)
    silences = [
        (round(float(samples.at_s[place]) * 1000), round(float(samples.at_s[place + 1]) * 1000))
        for place in np.flatnonzero(np.diff(samples.at_s) > silent_s)
    ]
    cell_s = max(_CELL_S, usual_s)
    at_s, atm = _cells(samples, cell_s)
    atm = atm - _zero(at_s, atm, repairs)
    found: list[Inflation] = []
    edges = np.flatnonzero(np.diff(at_s) > silent_s) + 1
    bounds = [0, *edges.tolist(), len(at_s)]
    for first, past in pairwise(bounds):
        for each in _in_stretch(at_s[first:past], atm[first:past], cell_s):
            if found and _goes_on(found[-1], each):
                each = _joined(found.pop(), each)
            found.append(each)
    return found, tuple(silences)


def _goes_on(before: Inflation, after: Inflation) -> bool:
    """Whether the log fell silent while one balloon was up: up at both ends of a short silence, alike of a long one."""
    silence_ms = after.start_ms - (before.peak_ms if before.down_ms is None else before.down_ms)
    alike = min(before.atm, after.atm) > _HELD_SHARE * max(before.atm, after.atm)
    return before.cut_end and after.cut_start and silence_ms < (_LONG_SILENCE_MS if alike else _SHORT_SILENCE_MS)


def _joined(before: Inflation, after: Inflation) -> Inflation:
    higher = before if before.atm >= after.atm - _REACHED_ATM else after
    down_ms = after.down_ms or after.peak_ms
    return replace(
        higher,
        start_ms=before.start_ms,
        down_ms=down_ms,
        hold_s=round((down_ms - higher.peak_ms) / 1000, 1),
        cut_start=before.cut_start,
        cut_end=after.cut_end,
        silent=True,
    )


def _cells(samples: Samples, cell_s: float) -> tuple["Array", "Array"]:
    """The median of every cell that holds a sample, and its middle, s."""
    import numpy as np

    cell = np.floor((samples.at_s - samples.at_s[0]) / cell_s + 1e-9).astype(np.int64)
    order = np.lexsort((samples.atm, cell))
    cell, sorted_atm = cell[order], samples.atm[order]
    known, first, count = np.unique(cell, return_index=True, return_counts=True)
    median = (sorted_atm[first + (count - 1) // 2] + sorted_atm[first + count // 2]) / 2
    at_s = np.bincount(cell - cell[0], weights=samples.at_s[order])[known - cell[0]] / count
    return at_s, median


def _smooth(atm: "Array", width: int) -> "Array":
    """Running median of an odd number of cells, the ends repeated."""
    import numpy as np

    width = max(1, width) | 1
    if width == 1:
        return atm
    padded = np.pad(atm, width // 2, mode="edge")
    smoothed: Array = np.median(np.lib.stride_tricks.sliding_window_view(padded, width), axis=1)
    return smoothed


def _zero(at_s: "Array", atm: "Array", repairs: list[str]) -> "Array | float":
    """What the sensor reads at rest, for every cell; 0 where it never rests near zero, as in a vacuum."""
    import numpy as np

    resting = atm[atm < _AIR_ATM]
    if len(resting) and 0.9 <= float(np.median(resting)) and float(np.quantile(atm, 0.01)) > 0.8:
        level = float(np.median(resting))
        repairs.append(
            f"The pressure at rest is {level:.2f} atm: the gauge counts from a vacuum, and that was taken off."
        )
        return level
    rest = np.abs(atm) < _ZERO_ATM
    # On the way up and down it passes zero too: rest is where it stays.
    still = np.abs(np.gradient(_smooth(atm, 5))) < 0.15 if len(atm) > 2 else np.zeros(len(atm), bool)
    rest &= still
    if rest.sum() < 8:
        return 0.0
    edges = np.arange(at_s[0], at_s[-1] + _ZERO_WINDOW_S, _ZERO_WINDOW_S)
    window = np.digitize(at_s[rest], edges)
    middles, levels = [], []
    for each in np.unique(window):
        inside = window == each
        if inside.sum() >= 4:
            middles.append(float(np.mean(at_s[rest][inside])))
            levels.append(float(np.median(atm[rest][inside])))
    if not levels:
        return 0.0
    zero: Array = np.interp(at_s, middles, levels)
    if max(map(abs, levels)) >= _WORTH_SAYING_ATM:
        repairs.append(
            f"The pressure at rest goes from {levels[0]:+.2f} to {levels[-1]:+.2f} atm: the sensor's zero, taken off."
        )
    return zero


def _in_stretch(at_s: "Array", atm: "Array", cell_s: float) -> list[Inflation]:
    """Cells without a silence among them -> their inflations."""
    import numpy as np

    smooth = _smooth(atm, max(round(_SMOOTH_S / cell_s), 3 if cell_s <= _SLOW_CELL_S else 1))
    noise = min(float(np.median(np.abs(np.diff(atm)))), _MOST_NOISE_ATM) if len(atm) > 1 else 0.0
    up, down = max(_UP_ATM, 5 * noise), max(_DOWN_ATM, 3.5 * noise)
    inside = smooth > down
    starts = np.flatnonzero(np.diff(inside.astype(np.int8), prepend=0) == 1)
    ends = np.flatnonzero(np.diff(inside.astype(np.int8), append=0) == -1) + 1
    found = []
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        if smooth[start:end].max() < max(up, _LEAST_ATM):
            continue
        for first, past in _parts(smooth, start, end):
            if at_s[past - 1] - at_s[first] >= _SHORTEST_S - cell_s:
                each = _inflation(at_s[first:past], atm[first:past], smooth[first:past], cell_s)
                found.append(replace(each, cut_start=first == 0, cut_end=past == len(atm)))
    return [each for each in found if each.atm >= _LEAST_ATM]


def _parts(smooth: "Array", start: int, end: int) -> list[tuple[int, int]]:
    """One stretch above rest -> the inflations in it: it is parted where pressure falls deep and rises again."""
    import numpy as np

    level = smooth[start:end]
    before = np.maximum.accumulate(level)
    after = np.maximum.accumulate(level[::-1])[::-1]
    lower = np.minimum(before, after)
    deep = (level < _VALLEY * lower) & (lower > _LEAST_ATM)
    if not deep.any():
        return [(start, end)]
    place = start + int(np.flatnonzero(deep)[np.argmin(level[deep] / lower[deep])])
    return [*_parts(smooth, start, place), *_parts(smooth, place, end)]


def _inflation(when: "Array", raw: "Array", level: "Array", cell_s: float) -> Inflation:
    """The cells of one inflation: their times, medians, and medians smoothed -> what it was."""
    import numpy as np

    # As many cells as the peak lasts, or a short peak would be averaged with its flanks.
    lasting = int((level > 0.9 * level.max()).sum())
    width = min(round(_PEAK_S / cell_s), lasting // 2)
    rough = float(_smooth(raw, max(width, 3 if cell_s <= _SLOW_CELL_S else 1)).max())
    reached = _reached(level, rough)
    high = np.flatnonzero(level >= _HELD_SHARE * rough)
    leave = int(high[-1])
    # The highest median is chosen for its noise; the median from where it is reached is not.
    at_peak = raw[reached : min(leave, reached + max(2, round(2 * _PEAK_S / cell_s))) + 1]
    at_peak = at_peak[at_peak >= rough - max(2 * _REACHED_ATM, 2 * _REACHED_SHARE * rough)]
    flat = int((level >= rough - max(_REACHED_ATM, _REACHED_SHARE * rough)).sum())
    peak = float(np.median(at_peak)) if len(at_peak) >= 5 and flat * cell_s > _PEAK_S else rough
    reached = min(reached, _reached(level, peak))
    return Inflation(
        start_ms=round(float(when[0]) * 1000),
        peak_ms=round(float(when[reached]) * 1000),
        down_ms=round(float(when[leave]) * 1000),
        atm=round(peak, 2),
        hold_s=round(float(when[leave] - when[reached]), 1),
    )


def _reached(level: "Array", peak: float) -> int:
    """The first cell that is at the peak but for noise."""
    return int((level >= peak - max(_REACHED_ATM, _REACHED_SHARE * peak)).argmax())
