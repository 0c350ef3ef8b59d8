"""Noise that lasts from one reading to the next, which their differences do not tell."""

from collections import deque

import numpy as np

from analysis.ring import Ring

# How far apart, in seconds, samples are compared: some gauges average over seconds, or show a new
# value once or twice a second. Over longer times a burst's fall is no straight line any more.
_NEAR_S, _FAR_S = 1.0, 2.0
# Memory of two minutes where readings come quickly; judged each so many samples.
_WINDOW, _FEWEST, _EVERY = 240, 60, 16
# Crowded bursts bring up to five times the expected variance, by trial. What was seen once is
# believed for longer: a gauge keeps its ways.
_CLEARLY, _STILL = 5.0, 1.5
# Differences of noise grow at most with the time between; of a wander, with its square.
_MOST_GROWTH = 3.0
# A quarter of a standard normal law lies above this.
_QUARTILE = 0.6745


class ColouredNoise:
    """Variance of the samples over what the differences of neighbouring readings tell.

    A gauge that averages or filters, or is read more often than it measures, errs alike for some
    readings in a row. So it is asked how far samples lie off the line from one a second before to
    one a second after. Noise lies off to both sides alike; bursts do so at their onset and their
    peak only, so the quartiles, of which the smaller counts, take little notice of them. Blind
    where samples are a second apart, or nearly so.

    Attributes
    ----------
    times
        Variance of a sample over the expected one; 1 unless it is by far larger.
    lasting_pa2
        The part of a reading's variance that lasts, Pa^2; none unless it is large.
    """

    def __init__(self) -> None:
        self.times = 1.0
        self.lasting_pa2 = 0.0
        self._expected: deque[float] = deque(maxlen=_WINDOW)
        self._since = 0

    def update(self, samples: Ring, spacing_s: float, expected: float) -> float:
        """Heed the newest of the samples, Pa, ``expected`` to have this variance; give what lasts.

        They lie ``spacing_s`` apart, more or less.
        """
        self._expected.append(expected)
        self._since += 1
        if self._since == _EVERY:
            self._since = 0
            near = self._over(samples, round(_NEAR_S / spacing_s))
            if near < (_CLEARLY if self.times == 1.0 else _STILL):
                self.times = 1.0
            else:
                far = self._over(samples, round(_FAR_S / spacing_s))
                self.times = max(near, min(far, _MOST_GROWTH * near))
        self.lasting_pa2 = (self.times - 1.0) * expected
        return self.lasting_pa2

    def _over(self, samples: Ring, lag: int) -> float:
        """Variance over the expected one, by samples that many apart."""
        if lag < 2 or len(samples) < _FEWEST + 2 * lag:
            return 0.0
        times, values = (kept[-_WINDOW - 2 * lag :] for kept in samples.all())
        share = (times[lag:-lag] - times[: -2 * lag]) / (times[2 * lag :] - times[: -2 * lag])
        line = values[: -2 * lag] + share * (values[2 * lag :] - values[: -2 * lag])
        size = min(line.size, len(self._expected))
        expected = np.array(self._expected)[-size:]
        weights = 1.0 + share * share + (1.0 - share) ** 2
        off = (values[lag:-lag] - line)[-size:] / np.sqrt(weights[-size:] * expected)
        off.sort()
        quarter = size // 4
        return float(max(min(off[-1 - quarter], -off[quarter]), 0.0) / _QUARTILE) ** 2
