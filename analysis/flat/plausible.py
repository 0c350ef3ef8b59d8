"""What is held plausible before the bursts speak: laws, origins, exponents, shrinking, duration.

Weak on purpose, and invented from common practice (no source). The time of flat carries the
prior of the circuit's history; everything else only keeps a handful of bursts from running away.
"""

import numpy as np
from numpy.typing import NDArray

from analysis.flat.decline import (
    ORIGIN_STEP,
    RATE_ORIGINS_S,
    RATIO,
    RATIO_SD,
    SIZE_ORIGINS_S,
    Decline,
    clock,
)
from analysis.flat.history import FlatPrior

Array = NDArray[np.float64]

# Exponents of falling rates: 1/2 for diffusion, 1 for desorption from sites of all strengths, and
# n / (n - 1) for a store that empties by a law of order n: 2 for second order, 3 for 3/2. The
# middle of all, give or take a factor of 2.5.
_POWER, _POWER_SD = 1.22, 0.9
# A prior flat in the slope leans to soon, one flat in the time of flat to late, most of all with
# the power law's slow end; a weighted geometric mean of the two held the truth best on invented
# runs.
_LEAN_LATE = 0.25
# The lean favours the power law by a quarter as much again: with it about one in six.
_POWER_SHARE = 0.15

_EVERY = np.arange(RATE_ORIGINS_S.size)
_IS_POWER = np.isfinite(RATE_ORIGINS_S)
_ORIGIN = np.where(_IS_POWER, RATE_ORIGINS_S, 1.0)
# The origin itself is left open: rate, exponent and time of flat tell it. So each has the share of
# the exponent's density that its step takes, the two clocks of the sizes half each; else steep
# power laws, whose origins lie hours back, would hardly be thought of.
_PER_ORIGIN = 0.5 * np.log(ORIGIN_STEP) / (_POWER_SD * np.sqrt(2.0 * np.pi))
_LOG_HYPOTHESIS: Array = np.log(np.where(_IS_POWER, _POWER_SHARE * _PER_ORIGIN, 1.0 - _POWER_SHARE))


def log_rough_prior(fit: Decline) -> Array:
    """Log prior weight of each hypothesis, taken at its best fit: (hypotheses,)."""
    lateness = np.where(_IS_POWER, np.log1p(fit.end_s / _ORIGIN), 1.0)
    slope = np.maximum(fit.best[:, 1], 0.05)
    result: Array = _LOG_HYPOTHESIS + np.log(lateness / slope)
    return result + _log_exponent(slope, _EVERY, fit.end_s)


def log_prior(
    points: Array,
    hypothesis: NDArray[np.intp],
    fit: Decline,
    crossing_s: Array,
    lateness: Array,
    *,
    first_s: float,
    duration: FlatPrior,
) -> Array:
    """Log prior density of points of the posterior, up to a constant: (points,).

    Parameters
    ----------
    points, hypothesis
        Parameters (points, 5) as in :class:`analysis.flat.decline.Decline`, and whose they are.
    crossing_s
        Each point's time of flat since the first burst.
    lateness
        How many e-folds later flat comes for a slope one e-fold less: (points,).
    first_s
        From the pull's start to the first burst, seconds.
    duration
        Prior of the time of flat since the pull's start.
    """
    b, delta, h = points[:, 1], points[:, 3], points[:, 4]
    slope = np.maximum(b, 0.02)
    at_s = np.maximum(crossing_s + first_s, 1.0)
    off = (np.log(at_s) - duration.log_mean) / duration.log_sd
    weight = _LOG_HYPOTHESIS[hypothesis] - np.log(slope) + _LEAN_LATE * np.log(lateness)
    weight -= 0.5 * off * off
    shrunk = delta / h * clock(SIZE_ORIGINS_S[hypothesis], crossing_s, fit.end_s)
    fallen = slope * clock(RATE_ORIGINS_S[hypothesis], crossing_s, fit.end_s)
    ratio = (shrunk / np.maximum(fallen, 0.05) - RATIO) / RATIO_SD
    weight -= 0.5 * np.minimum(ratio * ratio, 40.0)
    weight += _log_exponent(slope, hypothesis, fit.end_s)
    return np.where(b > 0.0, weight, -60.0)


def _log_exponent(slope: Array, hypothesis: NDArray[np.intp], end_s: float) -> Array:
    """Log density of the power law's exponent; 0 for the exponential law."""
    power = slope / np.log1p(end_s / _ORIGIN[hypothesis])
    off = np.where(_IS_POWER[hypothesis], np.log(power / _POWER) / _POWER_SD, 0.0)
    result: Array = -0.5 * off * off
    return result
