"""A trace that swings all the time, as when a pump's hum beats with the gauge's pace."""

from collections import deque

# Second differences over so many samples: one and two seconds where readings come quickly, so
# that swings of some 1.5 to 12 s show.
_LAGS = (2, 4)
# A minute or two of them, judged every so many samples: not summed up as they come, for a fall by
# decades would leave its rounding in the sums.
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
        self._recent: deque[float] = deque(maxlen=2 * max(_LAGS) + 1)
        self._squares = tuple([deque[float](maxlen=_WINDOW) for _ in _LAGS])
        self._since = 0
        self._variance = 0.0

    def update(self, pressure_pa: float) -> None:
        """Take a sample's pressure, Pa; samples are held to be evenly spaced."""
        recent = self._recent
        recent.append(pressure_pa)
        if len(recent) < 2 * max(_LAGS) + 1:
            return
        for lag, squares in zip(_LAGS, self._squares, strict=True):
            off = pressure_pa - 2.0 * recent[-1 - lag] + recent[-1 - 2 * lag]
            squares.append(off * off / 6.0)  # the weights' squares add up to 6
        self._since += 1
        if self._since >= _EVERY and len(self._squares[0]) >= _FEWEST:
            self._since = 0
            self._variance = max([_swinging(squares) for squares in self._squares])

    def variance(self, expected: float) -> float:
        """Variance of a sample, Pa^2, ``expected`` by its noise."""
        return self._variance if self._variance > _CLEARLY * expected else expected


def _swinging(squares: deque[float]) -> float:
    """Mean of the squares if they are those of an even swing, else none."""
    mean = sum(squares) / len(squares)
    fourth = sum([square * square for square in squares]) / len(squares)
    return mean if fourth < _KURTOSIS * mean * mean else 0.0
