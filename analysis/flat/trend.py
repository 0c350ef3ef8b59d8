"""Are the lulls lengthening? Trend tests for a series of events.

Signs: a negative statistic of the Laplace and Lewis-Robinson tests, and more reversals than
expected, mean improvement (events getting rarer). Sources: NIST/SEMATECH e-Handbook 8.2.3.4;
Lewis and Robinson (1974); Kendall and Mann's reverse arrangement test.
"""

import math
from collections.abc import Sequence
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike


def laplace_statistic(
    event_s: ArrayLike, end_s: float, *, start_s: float = 0.0, ends_at_event: bool = False
) -> float:
    """Standardised mean of the event times; near N(0, 1) for a Poisson process without trend.

    Parameters
    ----------
    event_s : array_like, (n,)
        Event times in seconds, between ``start_s`` and ``end_s``.
    end_s, start_s
        The time watched.
    ends_at_event
        True when the watching ended because an event came: that one then tells nothing.

    Raises
    ------
    ValueError
        If there is no event to judge, or no time.

    Examples
    --------
    >>> round(laplace_statistic([5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], 1500), 5)
    -1.32695
    """
    times = np.asarray(event_s, dtype=np.float64)
    if ends_at_event:
        times = times[:-1]
    span = end_s - start_s
    if times.size == 0 or span <= 0.0:
        raise ValueError("a trend needs at least one event and some time")
    mean = float(times.mean()) - start_s
    return (mean / span - 0.5) * math.sqrt(12.0 * times.size)


def lewis_robinson_statistic(event_s: ArrayLike, end_s: float, *, start_s: float = 0.0) -> float:
    """Laplace's statistic divided by the spread of the lulls, for spacing that is not Poisson.

    The spread is the lulls' coefficient of variation, which a trend itself widens: the test is
    cautious for a strong trend.

    Raises
    ------
    ValueError
        If there are fewer than three lulls, or they are all equal.
    """
    times = np.asarray(event_s, dtype=np.float64)
    lulls = np.diff(times, prepend=start_s)
    if lulls.size < 3:
        raise ValueError("the spread of the lulls needs at least three")
    spread = float(lulls.std(ddof=1) / lulls.mean())
    if spread == 0.0:
        raise ValueError("the lulls are all equal")
    return laplace_statistic(times, end_s, start_s=start_s) / spread


def reversals(lull_s: Sequence[float] | ArrayLike) -> int:
    """Count pairs of lulls of which the later one is the longer."""
    lulls = np.asarray(lull_s, dtype=np.float64)
    return sum(int(np.count_nonzero(lulls[i + 1 :] > lulls[i])) for i in range(lulls.size - 1))


def reversal_p_value(count: int, lulls: int) -> float:
    """Probability of at least ``count`` reversals among ``lulls`` lulls without a trend.

    Exact up to 60 lulls (Mahonian numbers), the normal approximation with continuity correction
    beyond; there the two differ by less than 0.001.
    """
    if lulls > 60:
        mean = lulls * (lulls - 1) / 4.0
        variance = (2.0 * lulls + 5.0) * (lulls - 1.0) * lulls / 72.0
        return 1.0 - NormalDist().cdf((count - 0.5 - mean) / math.sqrt(variance))
    shares = np.ones(1)
    for size in range(2, lulls + 1):
        shares = np.convolve(shares, np.full(size, 1.0 / size))
    return min(1.0, float(shares[max(0, count) :].sum()))


def local_variation(lull_s: ArrayLike) -> float:
    """Irregularity of neighbouring lulls, hardly touched by a slow trend: 1 for Poisson.

    For gamma-distributed lulls of shape k its mean is 3 / (2 k + 1). Source: Shinomoto, Shima
    and Tanji, Neural Computation 15 (2003) 2823.

    Raises
    ------
    ValueError
        If there are fewer than two lulls.
    """
    lulls = np.asarray(lull_s, dtype=np.float64)
    if lulls.size < 2:
        raise ValueError("two lulls at least")
    ratio = np.diff(lulls) / (lulls[1:] + lulls[:-1])
    return float(3.0 * np.mean(ratio * ratio))
