"""Maximum-likelihood fits of the two classic laws of a falling burst rate, from event times.

Both are for a Poisson process watched without a break. The forecast does not stop there (sizes,
dead time, origin, spacing: ``analysis.flat.decline``), but must agree with these where they apply.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike


@dataclass(frozen=True, slots=True)
class ExponentialLaw:
    """Rate exp(alpha + beta t) per second, ``t`` in seconds."""

    alpha: float
    beta_per_s: float

    def rate_per_s(self, time_s: float) -> float:
        """Events per second at ``time_s``."""
        return math.exp(self.alpha + self.beta_per_s * time_s)

    def crossing_s(self, rate_per_s: float) -> float:
        """Time at which the rate has fallen to ``rate_per_s``; infinite when it never falls."""
        if self.beta_per_s >= 0.0:
            return math.inf
        return (math.log(rate_per_s) - self.alpha) / self.beta_per_s


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """Rate a b t^(b - 1) per second, ``t`` in seconds from the law's own origin."""

    a: float
    b: float

    def rate_per_s(self, time_s: float) -> float:
        """Events per second at ``time_s`` > 0."""
        return float(self.a * self.b * time_s ** (self.b - 1.0))

    def crossing_s(self, rate_per_s: float) -> float:
        """Time at which the rate has fallen to ``rate_per_s``; infinite when it never falls."""
        if self.b >= 1.0:
            return math.inf
        return float((rate_per_s / (self.a * self.b)) ** (1.0 / (self.b - 1.0)))


def fit_exponential(event_s: ArrayLike, end_s: float) -> ExponentialLaw:
    """Fit the exponential law to events in (0, ``end_s``] (Cox and Lewis 1966).

    The slope solves sum(t)/n = T e^(bT) / (e^(bT) - 1) - 1/b, whose right side grows with b.
    (The NIST e-Handbook 8.4.5.3 prints the level with e^(-bT), which cannot hold.)

    Raises
    ------
    ValueError
        If there are no events or no time.
    """
    times = np.asarray(event_s, dtype=np.float64)
    if times.size == 0 or end_s <= 0.0:
        raise ValueError("a fit needs at least one event and some time")
    share = min(max(float(times.mean()) / end_s, 1e-6), 1.0 - 1e-6)
    low, high = -2.0e6, 2.0e6
    for _ in range(200):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _mean_share(middle) < share else (low, middle)
    slope = 0.5 * (low + high)
    flat = abs(slope) < 1e-12
    total = 1.0 if flat else math.expm1(-abs(slope)) / -abs(slope)  # of e^(slope s), top at 1
    alpha = math.log(times.size / (end_s * total)) - max(slope, 0.0)
    return ExponentialLaw(alpha, slope / end_s)


def fit_power_law(event_s: ArrayLike, end_s: float, *, modified: bool = False) -> PowerLaw:
    """Fit the power law to events in (0, ``end_s``] (Crow 1974; MIL-HDBK-189 appendix C).

    ``modified`` takes n - 1 for n in the exponent, as the NIST e-Handbook 8.4.5.2 does.

    Raises
    ------
    ValueError
        If there are too few events, or one is not after the origin.
    """
    times = np.asarray(event_s, dtype=np.float64)
    count = times.size - 1 if modified else times.size
    if count < 1 or times.min() <= 0.0:
        raise ValueError("a fit needs events after the origin")
    total = float(np.log(end_s / times).sum())
    if total <= 0.0:
        raise ValueError("a fit needs an event before the end")
    b = count / total
    return PowerLaw(times.size / end_s**b, b)


def cramer_von_mises(event_s: ArrayLike, end_s: float) -> float:
    """Misfit of the power law, time-truncated (MIL-HDBK-189 appendix C, unbiased exponent)."""
    times = np.sort(np.asarray(event_s, dtype=np.float64))
    n = times.size
    b = fit_power_law(times, end_s).b * (n - 1) / n
    expected = (2.0 * np.arange(1, n + 1) - 1.0) / (2.0 * n)
    return float(1.0 / (12.0 * n) + np.sum(((times / end_s) ** b - expected) ** 2))


def _mean_share(slope: float) -> float:
    """Mean of s on (0, 1) under the density e^(slope s)."""
    if abs(slope) < 1e-4:
        return 0.5 + slope / 12.0
    if slope > 0.0:
        return 1.0 / -math.expm1(-slope) - 1.0 / slope
    return math.exp(slope) / math.expm1(slope) - 1.0 / slope
