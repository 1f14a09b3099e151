"""Two ways of measuring one thing -> how far they agree: the mean of the differences and their limits.

Bland and Altman 1986, Lancet i:307-310, "Statistical methods for assessing agreement between two methods of clinical
measurement": limits of agreement are the mean difference and 1.96 standard deviations to both sides; the standard error
of the mean is s / sqrt(n), that of a limit sqrt(3 s² / n), and the intervals take Student's t with n - 1 degrees of
freedom. The tests hold it to the paper's own worked peak-flow figures (from memory, the paper was not at hand).

Every pair counts for itself. Several pairs of one case are more alike than pairs of many cases, and then the limits
come out a little narrow: the paper's later sequel (1999) treats that, this does not.
"""

from collections.abc import Sequence
from dataclasses import dataclass

#: Standard deviations from the mean to a limit that holds 95 % of what is normally spread.
_SPREAD = 1.96
#: Fewer pairs than this have no limits worth the name (common practice, no source).
FEWEST = 3

Interval = tuple[float, float]


@dataclass(frozen=True)
class Agreement:
    """``n`` pairs; differences are second less first, in their unit. Each figure with its 95 % interval."""

    n: int
    mean: float
    sd: float
    lower: float
    upper: float
    mean_95: Interval
    lower_95: Interval
    upper_95: Interval


def agree(first: Sequence[float], second: Sequence[float]) -> Agreement | None:
    """Two measurements of the same things, in the same order -> Agreement; None for fewer than ``FEWEST`` pairs."""
    import numpy as np
    from scipy.stats import t

    if len(first) < FEWEST:
        return None
    differences = np.array(second, float) - np.array(first, float)
    n, mean, sd = len(differences), float(differences.mean()), float(differences.std(ddof=1))
    quantile = float(t.ppf(0.975, n - 1))
    of_mean, of_limit = quantile * sd / n**0.5, quantile * sd * (3 / n) ** 0.5
    lower, upper = mean - _SPREAD * sd, mean + _SPREAD * sd
    return Agreement(
        n=n,
        mean=mean,
        sd=sd,
        lower=lower,
        upper=upper,
        mean_95=(mean - of_mean, mean + of_mean),
        lower_95=(lower - of_limit, lower + of_limit),
        upper_95=(upper - of_limit, upper + of_limit),
    )
