"""Two patterns of inflations, spoken and logged -> how far apart their clocks are, or why that cannot be said.

Only the pattern counts: gaps between inflations, and their pressures. For every offset that lays some spoken inflation
on some logged one the evidence is summed as log likelihood ratios against chance, inflations missing on either side
allowed for; an offset is believed when it beats both chance and every other offset by far. All of it is a small
Bayesian model of our own, its constants common practice, no source; tests/audit holds it to generated cases, and to
logs of other cases.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

#: Chance that an inflation of one side is on the other too, and that it is not.
_SHARED, _MISSED = 0.8, 0.2
#: What a logged inflation costs that falls among the spoken ones and was not spoken.
_UNSPOKEN = 0.35
#: How people time their words: (spread in s, power). 2 is the normal curve, 8 nearly flat: anywhere in those seconds.
_DELAYS = ((0.6, 2), (2.0, 2), (5.0, 16))
#: Said in passing, long before or after: the share of it, and its spread in s.
_LATE, _LATE_S = 0.03, 10.0
#: Beyond this many seconds nothing pairs.
_REACH_S = 24.0
_STEP_S = 0.5
#: Share of pressures misheard or misread, spread of the others in atm, and of what is logged at all.
_WRONG, _JITTER_ATM, _WIDTH_ATM, _HIGHEST_ATM = 0.15, 0.45, 1.0, 30.0
#: Share of pairs that fall together by chance once the offset is known.
_ASTRAY = 0.03
#: Within so many seconds, in all, most words fall.
_USUAL_S = 10.0
#: Share of last words of an inflation that tell its end.
_ENDS = 0.6
#: How quickly inflations follow one another is taken from this many seconds around each.
_AROUND_S = 300.0
#: Offsets closer than this are one; natural logarithms of the odds against chance and against the next best offset.
_SAME_S, _AGAINST_CHANCE, _AGAINST_OTHERS = 12.0, 5.0, 12.0
#: Fewer agreeing inflations than this are no pattern, and just as many have to be the clearer.
_FEWEST, _FEWEST_AGAINST_CHANCE = 3, 7.5
#: Spread of clocks' drift in parts per million, and how far is looked.
_DRIFT_PPM, _FARTHEST_PPM = 120.0, 400.0


@dataclass(frozen=True)
class Mark:
    """One inflation of one side: when its peak was said or reached, its pressure, how long it was held, when it ended.

    Times in s on that side's clock, None where it is not known. A logged one has a pressure.
    """

    at_s: float
    atm: float | None
    hold_s: float | None = None
    down_s: float | None = None


@dataclass(frozen=True)
class Clock:
    """``log = recording + offset + drift * recording``. Errors are standard deviations.

    ``odds``: natural logarithm of the odds against chance, ``lead``: against the next best offset.
    """

    offset_s: float
    drift_ppm: float
    offset_error_s: float
    drift_error_ppm: float
    odds: float
    lead: float
    fits: int

    def on_recording(self, log_s: float) -> float:
        """A time of the log's clock, s -> the recording's, s."""
        return (log_s - self.offset_s) / (1 + self.drift_ppm * 1e-6)


def find_clock(spoken: Sequence[Mark], logged: Sequence[Mark]) -> Clock | str:
    """Inflations of both sides, in any order -> their clock, or the sentence why none can be trusted."""
    import numpy as np

    if min(len(spoken), len(logged)) < _FEWEST:
        return (
            f"{len(spoken)} inflations were spoken and {len(logged)} are in the log: "
            f"a pattern needs at least {_FEWEST} of both"
        )
    said = _Side.of(spoken)
    log = _Side.of(logged)
    offsets, scores = _score_offsets(said, log)
    best = int(np.argmax(scores))
    prior_s = np.ptp(said.at) + np.ptp(log.at) + 2 * _REACH_S
    near = np.abs(offsets - offsets[best]) <= _SAME_S
    mass = np.logaddexp.reduce(scores[near]) + np.log(_STEP_S / prior_s)
    rest = np.logaddexp.reduce(scores[~near]) + np.log(_STEP_S / prior_s) if not near.all() else -np.inf
    clock = _refine(said, log, float(offsets[best]), odds=float(mass), lead=float(mass - rest))
    if clock.fits < _FEWEST or mass < (_AGAINST_CHANCE if clock.fits > _FEWEST else _FEWEST_AGAINST_CHANCE):
        return (
            f"no offset makes enough of the {len(spoken)} spoken and {len(logged)} logged inflations fall together "
            f"for it not to be chance"
        )
    if mass - rest < _AGAINST_OTHERS:
        return "more than one offset makes the inflations fall together: their pattern repeats"
    return clock


@dataclass(frozen=True, eq=False)
class _Side:
    """Marks in order of time as columns; NaN where a mark has None."""

    at: "Array"
    atm: "Array"
    hold: "Array"
    down: "Array"

    @classmethod
    def of(cls, marks: Sequence[Mark]) -> "_Side":
        import numpy as np

        rows = [(mark.at_s, mark.atm, mark.hold_s, mark.down_s) for mark in sorted(marks, key=lambda mark: mark.at_s)]
        return cls(*np.array(rows, float).T)


def _likeness(said: _Side, log: _Side) -> "Array":
    """How much likelier each pair is for one inflation than for two of any kind, times apart: spoken × logged."""
    import numpy as np

    holds = np.abs(np.log(np.maximum(said.hold[:, None], 1) / np.maximum(log.hold, 1)))
    # Held as long as was said: of four who say so, three do, within a fifth. Other holds are two- or threefold apart.
    alike = np.where(np.isnan(holds), 1.0, 0.25 + 0.75 * 4 * np.exp(-0.5 * (holds / 0.2) ** 2))
    return _pressure_ratios(said, log) * alike


def _pressure_ratios(said: _Side, log: _Side) -> "Array":
    import numpy as np

    spread = _JITTER_ATM + 0.0133 * log.atm  # a gauge in bar read out as atmospheres is 1.3 % off
    fits = np.exp(-0.5 * ((said.atm[:, None] - log.atm) / spread) ** 2) / (spread * np.sqrt(2 * np.pi))
    apart = (log.atm[:, None] - log.atm) / _WIDTH_ATM
    usual = np.exp(-0.5 * apart**2).mean(axis=0) / (_WIDTH_ATM * np.sqrt(2 * np.pi))
    ratio: Array = _WRONG + (1 - _WRONG) * fits / (0.9 * usual + 0.1 / _HIGHEST_ATM)
    ratio[np.isnan(ratio)] = 1.0
    return ratio


def _delay_densities(residuals: "Array") -> "Array":
    """Seconds between a word and its peak -> density per second for each way of timing words: ways × residuals."""
    from math import gamma

    import numpy as np

    late = np.exp(-0.5 * (residuals / _LATE_S) ** 2) / (_LATE_S * np.sqrt(2 * np.pi))
    rows = []
    for spread, power in _DELAYS:
        scale = spread * 2**0.5 if power == 2 else spread
        rows.append(np.exp(-((np.abs(residuals) / scale) ** power)) / (2 * scale * gamma(1 + 1 / power)))
    densities: Array = (1 - _LATE) * np.array(rows) + _LATE * late
    return densities


def _rates(log: _Side) -> "Array":
    """How many inflations a second there are around each logged one."""
    import numpy as np

    rates: Array = (np.abs(log.at[:, None] - log.at) < _AROUND_S).sum(axis=0) / (2 * _AROUND_S)
    return rates


def _score_offsets(said: _Side, log: _Side) -> tuple["Array", "Array"]:
    """Both sides -> every offset worth a thought, s, and its log likelihood ratio against chance."""
    import numpy as np

    worth = _likeness(said, log) / _rates(log)
    differences = log.at - said.at[:, None]
    steps = np.arange(-int(_REACH_S / _STEP_S), int(_REACH_S / _STEP_S) + 1)
    bins = np.round(differences / _STEP_S).astype(np.int64)[..., None] + steps
    known, place = np.unique(bins, return_inverse=True)
    place = place.reshape(bins.shape)
    offsets = known * _STEP_S
    inside = np.searchsorted(log.at, said.at[-1] + offsets + _REACH_S / 4) - np.searchsorted(
        log.at, said.at[0] + offsets - _REACH_S / 4
    )
    totals = np.zeros((len(_DELAYS), len(known)))
    paired = np.zeros((len(_DELAYS), len(known)))
    for each in range(len(said.at)):
        densities = _delay_densities(differences[each][:, None] - bins[each] * _STEP_S) * worth[each][:, None]
        for way in range(len(_DELAYS)):
            best = np.zeros(len(known))
            np.maximum.at(best, place[each].ravel(), densities[way].ravel())
            totals[way] += np.log(_MISSED + _SHARED * best)
            paired[way] += best > 1
    totals += np.log(_UNSPOKEN) * np.maximum(0, inside - paired)
    return offsets, np.logaddexp.reduce(totals, axis=0) - np.log(len(_DELAYS))


def _refine(said: _Side, log: _Side, offset: float, *, odds: float, lead: float) -> Clock:
    """A rough offset -> the clock: mean and spread of offset and drift over every way of timing words."""
    import numpy as np

    middle = said.at.mean()
    drifts = np.arange(-_FARTHEST_PPM, _FARTHEST_PPM + 1, 50.0)
    offsets = offset + np.arange(-6.0, 6.01, 0.05)
    worth = _likeness(said, log)
    reached = np.abs(log.at - said.at[:, None] - offset) < _REACH_S
    best = np.where(reached, worth * np.exp(-np.abs(log.at - said.at[:, None] - offset) / 4), 0)
    rows = np.flatnonzero(best.max(axis=1) > 0)
    partner = best.argmax(axis=1)[rows]
    # How likely the two are one, as far apart as words are: pressures that disagree make it less so, not impossible.
    one = _SHARED * worth[rows, partner] / _USUAL_S
    sure = one / (one + _MISSED * _rates(log)[partner])
    residuals = log.at[partner] - said.at[rows]
    ends = log.down[partner] - said.down[rows]
    told = ~np.isnan(ends)
    evidence = np.concatenate(
        [
            _closeness(residuals, said.at[rows] - middle, offsets, drifts, sure),
            _closeness(ends[told], said.down[rows][told] - middle, offsets, drifts, sure[told] * _ENDS),
        ],
        axis=1,
    )
    ways = evidence.sum(axis=1) - 0.5 * (drifts / _DRIFT_PPM) ** 2
    share = np.exp(ways - ways.max()).sum(axis=0)
    share /= share.sum()
    at_zero = offsets[:, None] - drifts * 1e-6 * middle
    mean, drift = float((share * at_zero).sum()), float((share * drifts).sum())
    return Clock(
        offset_s=mean,
        drift_ppm=drift,
        offset_error_s=float(np.sqrt((share * (at_zero - mean) ** 2).sum())),
        drift_error_ppm=float(np.sqrt((share * (drifts - drift) ** 2).sum())),
        odds=odds,
        lead=lead,
        fits=int(((np.abs(residuals - mean) < 6) & (worth[rows, partner] > 1)).sum()),
    )


def _closeness(residuals: "Array", since: "Array", offsets: "Array", drifts: "Array", weight: "Array") -> "Array":
    """Log minus spoken times in s, and since when -> log likelihoods: ways × residuals × offsets × drifts."""
    import numpy as np

    left = residuals[:, None, None] - offsets[:, None] - since[:, None, None] * 1e-6 * drifts
    share = weight[:, None, None] * (1 - _ASTRAY)
    found: Array = np.log((1 - share) / (2 * _REACH_S) + share * _delay_densities(left))
    return found
