"""Are bursts crowded? They climb at once and fall slowly; noise climbs as quickly as it falls."""

import numpy as np

from analysis.ring import Ring

# What the level gains in a second is compared with what it gains around that, four seconds to both
# sides: a pull-down's bend and a swell do not show. Over two minutes, judged each so many samples.
_LAG_S, _AROUND_S, _WINDOW, _FEWEST, _EVERY = 1.0, 4.0, 240, 40, 16
# Kelly's skewness from which bursts are told, and down to which they still are, for crowds do not
# end at once; and the same where they must be no noise that lasts. In nine of ten looks swells of
# 15 to 90 s came to 0.11 at most, gauges that average or filter to 0.17, mostly to under 0.12; in
# the middle look crowds came to 0.2 to 0.4.
_CROWDED, _PLAINLY, _TAIL = (0.15, 0.0), (0.2, 0.05), 20


class Crowd:
    """Whether so many bursts come that differences of readings tell more of them than of noise.

    Attributes
    ----------
    is_crowded
        Since the last look; false before the first.
    is_plain
        Whether they are too plain at the last look to be noise that lasts.
    """

    def __init__(self) -> None:
        self.is_crowded = self.is_plain = False
        self._since = 0

    def update(self, samples: Ring, spacing_s: float) -> None:
        """Heed that a sample came; each so many it is looked anew."""
        self._since += 1
        if self._since < _EVERY:
            return
        self._since = 0
        lag, around = (max(1, round(long_s / spacing_s)) for long_s in (_LAG_S, _AROUND_S))
        skewness = _skewness(samples, lag, around)
        self.is_crowded = skewness > _CROWDED[self.is_crowded]
        self.is_plain = skewness > _PLAINLY[self.is_plain]


def _skewness(samples: Ring, lag: int, around: int) -> float:
    """How much farther the largest gains lie off the middle one than the largest losses.

    Kelly's measure (Kelley 1923, *Statistical Method*, from memory) of the 5, 50 and 95 % points:
    0 for what is as much gained as lost, 1 for gains alone.
    """
    wide = lag + 2 * around
    values = samples.all()[1][-_WINDOW - wide :]
    count = values.size - wide
    if count < _FEWEST:
        return 0.0
    gained = values[around + lag :][:count] - values[around:][:count]
    gains = np.sort(gained - (values[wide:] - values[:count]) * (lag / wide))
    tail = count // _TAIL
    low, middle, high = (float(gains[place]) for place in (tail, count // 2, -1 - tail))
    return (low + high - 2.0 * middle) / (high - low) if high > low else 0.0
