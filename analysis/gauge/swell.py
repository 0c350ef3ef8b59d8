"""A trace that swings all the time, as when a pump's hum beats with the gauge's pace."""

import numpy as np
from numpy.typing import NDArray

from analysis.ring import Ring

# Second differences over so many samples: one and two seconds where readings come quickly, so
# that swings of some 1.5 to 12 s show.
_LAGS = (2, 4)
# A minute or two of them, judged each so many samples.
_WINDOW, _FEWEST, _EVERY = 120, 40, 16
# Kurtosis is 1.5 for what swings evenly (the arcsine law of a sine), 3 for noise, and more for
# bursts, whose rises are rare and large. So low it is only where two thirds of the variance swing.
_KURTOSIS = 2.1
# Less than that share over the noise does no harm.
_CLEARLY = 2.0


class Swell:
    """Variance of the samples where they swing evenly, and by far more than their noise.

    A hum that a gauge reads too seldom comes through as a slow beat (aliasing): smooth from
    reading to reading, so no noise, and each swing begins like a burst. But it never rests, as
    bursts do between. Blind to swings much slower than its lags, and to rare ones.
    """

    def __init__(self) -> None:
        self._since = 0
        self._variance = 0.0

    def variance(self, samples: Ring, expected: float) -> float:
        """Variance of the newest sample, Pa^2, ``expected`` by its noise.

        The samples, Pa, are held to be evenly spaced.
        """
        self._since += 1
        if self._since == _EVERY:
            self._since = 0
            pressures = samples.all()[1][-_WINDOW - 2 * max(_LAGS) :]
            self._variance = max([_swinging(pressures, lag) for lag in _LAGS])
        return self._variance if self._variance > _CLEARLY * expected else expected


def _swinging(pressures_pa: NDArray[np.float64], lag: int) -> float:
    """Variance of these (n,) if they swing evenly, else none, by their second differences."""
    if pressures_pa.size < _FEWEST + 2 * max(_LAGS):
        return 0.0
    middle = pressures_pa[lag:-lag]
    off = (pressures_pa[2 * lag :] - 2.0 * middle + pressures_pa[: -2 * lag])[-_WINDOW:]
    squares = off * off
    # Sums by products: of so few numbers numpy's own mean takes five times as long.
    mean = float(off @ off) / off.size
    is_even = float(squares @ squares) / off.size < _KURTOSIS * mean * mean
    return mean / 6.0 if is_even else 0.0  # the weights' squares add up to 6
