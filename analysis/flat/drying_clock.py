"""The forecast on a clock that stands still while nobody knows whether the pump draws.

A valve that is closed, a gauge that is not read for a night: no water may have left meanwhile.
Taken for drying, such a time makes flat look past as soon as the first lull is over.
"""

from collections import deque
from dataclasses import replace
from typing import NamedTuple, Protocol

from analysis.flat.forecast import FlatForecast
from analysis.flat.history import History
from analysis.snapshot import FlatEstimate

# Of each such stretch so much counts as drying all the same: a pause of the radio or a laptop that
# slept for a moment leaves the pump running, and a short isolation is soon over [chosen].
COUNTED_S = 600.0
_REMEMBERED = 64  # stretches; a burst is told minutes after its onset, not stretches


class Sharpness(Protocol):
    """What the detector could tell; see :class:`analysis.burst.detector.BurstDetector`."""

    @property
    def smallest_burst_pa(self) -> float | None:
        """Rise of the smallest burst that is visible now, Pa."""

    @property
    def apart_s(self) -> float:
        """Bursts nearer than this count as one, s."""


class _Stop(NamedTuple):
    """From when until when the clock stood, and how much it had stood before."""

    from_s: float
    until_s: float
    before_s: float


class DryingForecast:
    """Forecasts the time of flat; see :class:`analysis.flat.forecast.FlatForecast`.

    Parameters
    ----------
    flat_interval_s, history
        Those of the forecast.
    """

    def __init__(self, flat_interval_s: float = 600.0, history: History | None = None) -> None:
        self._forecast = FlatForecast(flat_interval_s=flat_interval_s, history=history)
        self._stops: deque[_Stop] = deque(maxlen=_REMEMBERED)
        self._stood_s = 0.0  # in all
        self._drew_s: float | None = None
        self._told: tuple[FlatEstimate, FlatEstimate] | None = None

    @property
    def has_trend(self) -> bool:
        """Whether the lulls are seen to lengthen."""
        return self._forecast.has_trend

    def set_history(self, history: History) -> None:
        """Take another past of the circuit."""
        self._forecast.set_history(history)

    def add_burst(self, onset_s: float, rise_pa: float, smallest_burst_pa: float) -> None:
        """Tell a confirmed visible burst."""
        self._forecast.add_burst(self._inside(onset_s), rise_pa, smallest_burst_pa)

    def watch(
        self, time_s: float, detector: Sharpness, is_observing: bool, *, is_drawing: bool
    ) -> None:
        """Tell what could be seen; ``is_drawing`` where the gauge is read with the valve open."""
        if is_drawing:
            stood_s = 0.0 if self._drew_s is None else time_s - self._drew_s - COUNTED_S
            if stood_s > 0.0:
                self._stops.append(_Stop(time_s - stood_s, time_s, self._stood_s))
                self._stood_s += stood_s
            self._drew_s = time_s
        smallest_pa, apart_s = detector.smallest_burst_pa, detector.apart_s
        self._forecast.observe(self._inside(time_s), smallest_pa, is_observing, apart_s)

    def estimate(self, time_s: float) -> FlatEstimate:
        """Give the forecast at ``time_s``; the same object while nothing changed."""
        inner = self._forecast.estimate(self._inside(time_s))
        if not self._stops or inner.flat_at_s is None:
            return inner
        if self._told is None or self._told[0] is not inner:
            self._told = inner, self._outside_of(inner)
        return self._told[1]

    def is_flat(self, time_s: float) -> bool:
        """Whether flat may be called."""
        return self._forecast.is_flat(self._inside(time_s))

    def _inside(self, time_s: float) -> float:
        """Give the clock's time at a time of the caller's."""
        if self._drew_s is not None and time_s > self._drew_s + COUNTED_S:
            return self._drew_s + COUNTED_S - self._stood_s
        stood_s = self._stood_s
        for stop in reversed(self._stops):
            if time_s >= stop.until_s:
                break
            stood_s = stop.before_s + max(time_s - stop.from_s, 0.0)
        return time_s - stood_s

    def _outside(self, clock_s: float) -> float:
        """Give the caller's time at a time of the clock's: after a stop, where it fell into one."""
        for stop in reversed(self._stops):
            if clock_s >= stop.from_s - stop.before_s:
                return clock_s + stop.before_s + stop.until_s - stop.from_s
        return clock_s

    def _outside_of(self, inner: FlatEstimate) -> FlatEstimate:
        at_s, low_s, high_s = inner.flat_at_s, inner.flat_low_s, inner.flat_high_s
        assert at_s is not None
        assert low_s is not None
        assert high_s is not None
        curve = [replace(point, time_s=self._outside(point.time_s)) for point in inner.curve]
        return replace(
            inner,
            flat_at_s=self._outside(at_s),
            flat_low_s=self._outside(low_s),
            flat_high_s=self._outside(high_s),
            curve=tuple(curve),
        )
