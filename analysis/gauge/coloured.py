"""Noise that lasts from one reading to the next, which their differences do not tell."""

from collections import deque
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from analysis.ring import Ring

Floats = NDArray[np.float64]
Pending = Callable[[], list[float]]

# How far apart, in seconds, samples are compared: some gauges average over seconds, or show a new
# value once or twice a second. Over longer times a burst's fall is no straight line any more.
_NEAR_S, _FAR_S = 1.0, 2.0
# Memory of two minutes where readings come quickly; judged each so many samples.
_WINDOW, _FEWEST, _EVERY = 240, 60, 16
# Away from known bursts by trial at most twice the expected variance is told, a few seconds after
# an onset they have risen. Where crowded ones leave too little between, all counts, and they bring
# up to five times. What was seen once is believed for longer: a gauge keeps its ways.
_CLEARLY, _CLEARLY_AMONG, _STILL = 2.0, 5.0, 1.5
# Between these, lines tell that nothing lasts; less is told where the level bends.
_PLAIN = 0.5, 1.25
_RISING_S, _KNOWN = 3.0, 128
# Differences of noise grow at most with the time between; of a wander, with its square.
_NOISE_GROWTH, _MOST_GROWTH = 2.0, 3.0
# From half a second to two they grow fourfold, then; off a line through a smooth course up to 256
# times: crowded bursts behind a slow gauge are one.
_SMOOTH = 14.0
# A quarter of a standard normal law lies above this.
_QUARTILE = 0.6745


class ColouredNoise:
    """Variance of the samples over what the differences of neighbouring readings tell.

    A gauge that averages or filters, or is read more often than it measures, errs alike for some
    readings in a row. So it is asked how far samples lie off the line from one a second before to
    one a second after. Noise lies off to both sides alike; bursts do so at their onset and their
    peak only, so the quartiles, of which the smaller counts, take little notice of them. Four
    samples' deviation from any parabola, which the bend of a pull-down does not touch, tells less
    noise, away from known bursts. Blind where samples are a second apart, or nearly so.

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
        self._onsets_s: deque[float] = deque(maxlen=_KNOWN)
        self._expected: deque[float] = deque(maxlen=_WINDOW)
        self._since = 0

    def heed_event(self, onset_s: float) -> None:
        """Heed that a burst, a step or a bend began then."""
        self._onsets_s.append(onset_s)

    def update(
        self,
        samples: Ring,
        spacing_s: float,
        expected: float,
        pending_s: Pending = list,
        *,
        may_last: bool = True,
    ) -> float:
        """Heed the newest of the samples, Pa, ``expected`` to have this variance; give what lasts.

        They lie ``spacing_s`` apart, more or less. ``pending_s`` gives when events that are not
        certain yet may have begun. Without ``may_last`` bursts are crowded, and pass for noise.
        """
        self._expected.append(expected)
        self._since += 1
        if self._since == _EVERY:
            self._since = 0
            self.times = self._judge(samples, spacing_s, pending_s) if may_last else 1.0
        self.lasting_pa2 = (self.times - 1.0) * expected
        return self.lasting_pa2

    def _judge(self, samples: Ring, spacing_s: float, pending_s: Pending) -> float:
        """Variance over the expected one, 1 unless it is clearly more."""
        near_lag, far_lag = round(_NEAR_S / spacing_s), round(_FAR_S / spacing_s)
        if near_lag < 2 or len(samples) < _FEWEST + 2 * near_lag:
            return 1.0
        expected = np.fromiter(self._expected, float, len(self._expected))
        times, was_clear = 1.0, self.times > 1.0
        near = _over(samples, expected, near_lag, 2)
        if near >= (_STILL if was_clear else _CLEARLY_AMONG):
            far, half = (_over(samples, expected, lag, 2) for lag in (far_lag, near_lag // 2))
            if far <= _SMOOTH * half:
                times = max(near, min(far, _MOST_GROWTH * near))
        if not was_clear and _PLAIN[0] < near < _PLAIN[1]:
            return 1.0  # most of the time, and bends and bursts only add to it
        onsets_s = np.sort([*self._onsets_s, *pending_s()])
        near = _over(samples, expected, near_lag, 3, onsets_s)
        clearly = _STILL if was_clear else _CLEARLY
        if 0.5 * (1.0 + _NOISE_GROWTH) * near < clearly:
            return times
        far = _over(samples, expected, far_lag, 3, onsets_s)
        is_noise = 0.5 * (near + far) >= clearly and far <= _NOISE_GROWTH * near
        return max(times, near, far) if is_noise else times


def _over(
    samples: Ring, expected: Floats, lag: int, order: int, onsets_s: Floats | None = None
) -> float:
    """Variance over the expected one, by differences of this order of samples ``lag`` apart.

    Of those away from the onsets alone, if they are given; 0 where they are too few.
    """
    if len(samples) < _FEWEST + order * lag:
        return 0.0
    times, values = (kept[-_WINDOW - order * lag :] for kept in samples.all())
    size = min(times.size - order * lag, expected.size)
    off = _differences(times, values, lag, order)[-size:] / np.sqrt(expected[-size:])
    if onsets_s is not None:
        first_s, last_s = times[: -order * lag][-size:], times[-size:]
        began = np.searchsorted(onsets_s, [first_s - _RISING_S, last_s])
        off = off[began[0] == began[1]]
        if off.size < _FEWEST:
            return 0.0
    off.sort()
    quarter = off.size // 4
    return float(max(min(off[-1 - quarter], -off[quarter]), 0.0) / _QUARTILE) ** 2


def _differences(time_s: Floats, pressure_pa: Floats, lag: int, order: int) -> Floats:
    """Divided differences of samples ``lag`` apart, scaled to the deviation of one sample, Pa.

    Second or third ones; their weights are multiplied by all the times between the samples.
    """
    count = time_s.size - order * lag
    first, *later = (pressure_pa[k * lag : k * lag + count] for k in range(order + 1))
    step_s = time_s[lag:] - time_s[:-lag]
    a, b = step_s[:count], step_s[lag : lag + count]
    if order == 2:
        weights = [b, -(a + b), a]
    else:
        c = step_s[2 * lag :]
        ab, bc = a + b, b + c
        abc = ab + c
        weights = [-b * c * bc, c * ab * abc, -a * bc * abc, a * b * ab]
    off, square = np.zeros(count), weights[0] * weights[0]
    for weight, each in zip(weights[1:], later, strict=True):
        off += weight * (each - first)  # so that a large pressure costs no digits
        square += weight * weight
    return np.asarray(off / np.sqrt(square))
