"""Thinning a hold to a few hundred points, anchored in time, the same way live and afterwards.

Each reading is first replaced by the median of itself and its two neighbours, which removes
glitches of one reading, first and last ones too, and leaves steady rises alone. They then fall
into bins of equal width counted from the valve's closing; when there are too many bins,
neighbours are joined and the width doubles. So memory is bounded, and a live hold and a recorded
one give the same points.
"""

import math
from dataclasses import dataclass, replace
from itertools import islice
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from analysis.gauge.glitches import GlitchFilter, without_glitches
from analysis.hold.bins import HoldBins, bin_width_s
from analysis.hold.inrush import Inrush, Rush
from analysis.hold.stuck import StuckGauge

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_NORMAL_MAD: Final = 1.4826  # standard deviation over median absolute deviation, normal law
_GAP_SHARE: Final = 0.02  # of the hold: a longer silence is worth a reason


@dataclass(frozen=True)
class ThinnedHold:
    """A hold as the models see it; times from the valve's closing.

    Attributes
    ----------
    time_s, pressure_pa : (n,) float64
        Means of the readings in each bin that has any, n <= 256.
    temperature_c : (n,) float64 or None
        Mean temperature, where every bin has one.
    count : (n,) float64
        Readings in each bin.
    step_pa
        The gauge's rounding step; 0 where none is seen.
    duration_s
        From the valve's closing to the last reading, or to where the gauge got stuck.
    longest_gap_s
        Longest time between two readings.
    last_pa
        The last reading, be it the end of the gauge's range.
    stuck_for_s
        How long the gauge has been stuck at that, which is left out; 0 if it is not.
    rush
        Gas that rushed in and has not gone since, where any did.
    gone
        The last that has gone.
    opened_by
        ``pump`` or ``air`` where the circuit was opened to it before the end, and what came then
        is left out; else empty.
    """

    time_s: Floats
    pressure_pa: Floats
    temperature_c: Floats | None
    count: Floats
    step_pa: float
    duration_s: float
    longest_gap_s: float
    last_pa: float
    stuck_for_s: float = 0.0
    rush: Rush | None = None
    gone: Rush | None = None
    opened_by: Literal["", "pump", "air"] = ""

    @property
    def scatter_pa(self) -> float:
        """Standard deviation of a bin, Pa, by how far each lies off the one before."""
        return _NORMAL_MAD * float(np.median(np.abs(np.diff(self.pressure_pa)))) / math.sqrt(2.0)

    def until_stuck(self, since_s: float | None) -> "ThinnedHold":
        """Leave out what a stuck gauge shows since then."""
        if since_s is None:
            return self
        moved = self.only(self.time_s <= max(since_s, float(self.time_s[0])))
        return replace(moved, duration_s=since_s, stuck_for_s=self.duration_s - since_s)

    def only(self, keep: Bools) -> "ThinnedHold":
        """Keep these bins (n,) only."""
        return replace(
            self,
            time_s=self.time_s[keep],
            pressure_pa=self.pressure_pa[keep],
            temperature_c=None if self.temperature_c is None else self.temperature_c[keep],
            count=self.count[keep],
        )


class _Raw:
    """What is told from the readings themselves: gaps, the last one, and what the gauge is at."""

    def __init__(self) -> None:
        self._stuck = StuckGauge()
        self._inrush = Inrush()
        self._last_s = self._longest_gap_s = 0.0
        self.last_pa = 0.0

    def add(self, t: float, pressure_pa: float) -> None:
        """Take a reading."""
        self._stuck.add(t, pressure_pa)
        self._inrush.add(t, pressure_pa, was_stuck=self._stuck.has_let_go)
        if t - self._last_s > self._longest_gap_s:
            self._longest_gap_s = t - self._last_s
        self._last_s, self.last_pa = t, pressure_pa

    def add_beyond(self, t: float, pressure_pa: float) -> None:
        """Take the end of the gauge's range, where the pressure lies beyond it."""
        self._inrush.add(t, pressure_pa)
        self.last_pa = pressure_pa

    @property
    def rush(self) -> Rush | None:
        """Gas that rushed in and has not gone since."""
        return self._inrush.rush

    def hold(
        self, time_s: Floats, pressure_pa: Floats, temperature_c: Floats | None, count: Floats
    ) -> ThinnedHold:
        """Make the hold of these bins."""
        hold = ThinnedHold(
            time_s=time_s,
            pressure_pa=pressure_pa,
            temperature_c=temperature_c,
            count=count,
            step_pa=self._stuck.step_pa,
            duration_s=self._last_s,
            longest_gap_s=self._longest_gap_s,
            last_pa=self.last_pa,
            rush=self.rush,
            gone=self._inrush.gone,
        )
        return hold.until_stuck(self._stuck.since_s)


def thin(
    time_s: Floats,
    pressure_pa: Floats,
    temperature_c: Floats | None,
    is_beyond: Bools | None = None,
) -> ThinnedHold:
    """Thin a whole hold.

    Parameters
    ----------
    time_s : (n,) float64, s
        Never goes back; the first within the gauge's range is the valve's closing.
    pressure_pa : (n,) float64, Pa
    temperature_c : (n,) float64, Celsius, or None
        NaN where a reading has none.
    is_beyond : (n,) bool, or None
        Where the pressure is only the upper end of the gauge's range; not everywhere.
    """
    beyond = np.zeros(len(time_s), dtype=bool) if is_beyond is None else is_beyond
    first = int(np.argmin(beyond))
    t, raw = time_s - time_s[first], _Raw()
    readings = zip(t.tolist(), pressure_pa.tolist(), beyond.tolist(), strict=True)
    for at_s, pa, is_over in islice(readings, first, None):
        (raw.add_beyond if is_over else raw.add)(at_s, pa)
    if is_beyond is not None:
        t, pressure_pa = t[~beyond], pressure_pa[~beyond]
        temperature_c = None if temperature_c is None else temperature_c[~beyond]
    index = np.floor(t / bin_width_s(float(t[-1]))).astype(np.int64)
    starts = np.flatnonzero(np.diff(index, prepend=-1))
    count = np.diff(np.append(starts, len(t))).astype(np.float64)
    smooth = without_glitches(pressure_pa)
    return raw.hold(
        np.add.reduceat(t, starts) / count,
        np.add.reduceat(smooth, starts) / count,
        _mean_temperature(temperature_c, starts),
        count,
    )


def _mean_temperature(temperature_c: Floats | None, starts: NDArray[np.intp]) -> Floats | None:
    if temperature_c is None:
        return None
    known = np.isfinite(temperature_c)
    total = np.add.reduceat(np.where(known, temperature_c, 0.0), starts)
    count = np.add.reduceat(known.astype(np.float64), starts)
    return total / count if np.all(count > 0) else None


class HoldThinner:
    """The same thinning, one reading at a time, in bounded memory.

    State: the readings that are not settled yet, the sums of each bin, and what is told from the
    readings themselves.
    """

    def __init__(self) -> None:
        self._zero_s: float | None = None
        self._glitches = GlitchFilter()
        self._bins = HoldBins()
        self._raw = _Raw()

    @property
    def rush(self) -> Rush | None:
        """Gas that rushed in and has not gone since."""
        return self._raw.rush

    @property
    def last_pa(self) -> float:
        """The last reading, be it the end of the gauge's range."""
        return self._raw.last_pa

    def add(self, time_s: float, pressure_pa: float, temperature_c: float | None) -> None:
        """Take one reading; times never go back."""
        if self._zero_s is None:
            self._zero_s = time_s
        t = time_s - self._zero_s
        warmth = math.nan if temperature_c is None else temperature_c
        for settled in self._glitches.add((t, pressure_pa, warmth)):
            self._bins.put(*settled)
        self._raw.add(t, pressure_pa)

    def add_beyond(self, time_s: float, pressure_pa: float) -> None:
        """Take the upper end of the gauge's range, where the pressure lies beyond it."""
        if self._zero_s is not None:
            self._raw.add_beyond(time_s - self._zero_s, pressure_pa)

    def thinned(self) -> ThinnedHold | None:
        """Return the hold so far, or ``None`` before the first reading."""
        if self._zero_s is None:
            return None
        count, time, pressure, known, warmth = self._bins.sums_with(self._glitches.waiting()).T
        temperature_c = warmth / known if np.all(known > 0) else None
        return self._raw.hold(time / count, pressure / count, temperature_c, count.copy())
