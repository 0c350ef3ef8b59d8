"""Thinning a hold to a few hundred points, anchored in time, the same way live and afterwards.

Each reading is first replaced by the median of itself and its two neighbours, which removes
glitches of one reading, first and last ones too, and leaves steady rises alone. They then fall
into bins of equal width counted from the valve's closing; when there are too many bins,
neighbours are joined and the width doubles. So memory is bounded, and a live hold and a recorded
one give the same points.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from analysis.glitches import GlitchFilter, Taken, without_glitches
from analysis.hold_stuck import StuckGauge

Floats = NDArray[np.float64]

MOST_BINS: Final = 256
_FIRST_WIDTH_S: Final = 0.5
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
        The last reading.
    stuck_for_s
        How long the gauge has been stuck at that, which is left out; 0 if it is not.
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

    def only(self, keep: NDArray[np.bool_]) -> "ThinnedHold":
        """Keep these bins (n,) only."""
        return replace(
            self,
            time_s=self.time_s[keep],
            pressure_pa=self.pressure_pa[keep],
            temperature_c=None if self.temperature_c is None else self.temperature_c[keep],
            count=self.count[keep],
        )


def bin_width_s(duration_s: float) -> float:
    """Width with which a hold this long fills at most ``MOST_BINS`` bins: 0.5 s doubled often."""
    width = _FIRST_WIDTH_S
    while math.floor(duration_s / width) >= MOST_BINS:
        width *= 2.0
    return width


def thin(time_s: Floats, pressure_pa: Floats, temperature_c: Floats | None) -> ThinnedHold:
    """Thin a whole hold.

    Parameters
    ----------
    time_s : (n,) float64, s
        Never goes back; ``time_s[0]`` is the valve's closing.
    pressure_pa : (n,) float64, Pa
    temperature_c : (n,) float64, Celsius, or None
        NaN where a reading has none.
    """
    t = time_s - time_s[0]
    width = bin_width_s(float(t[-1]))
    index = np.floor(t / width).astype(np.int64)
    starts = np.flatnonzero(np.diff(index, prepend=-1))
    count = np.diff(np.append(starts, len(t))).astype(np.float64)
    smooth = without_glitches(pressure_pa)
    stuck = StuckGauge()
    for each in zip(t.tolist(), pressure_pa.tolist(), strict=True):
        stuck.add(*each)
    hold = ThinnedHold(
        time_s=np.add.reduceat(t, starts) / count,
        pressure_pa=np.add.reduceat(smooth, starts) / count,
        temperature_c=_mean_temperature(temperature_c, starts),
        count=count,
        step_pa=stuck.step_pa,
        duration_s=float(t[-1]),
        longest_gap_s=float(np.max(np.diff(t), initial=0.0)),
        last_pa=float(pressure_pa[-1]),
    )
    return hold.until_stuck(stuck.since_s)


def _mean_temperature(temperature_c: Floats | None, starts: NDArray[np.intp]) -> Floats | None:
    if temperature_c is None:
        return None
    known = np.isfinite(temperature_c)
    total = np.add.reduceat(np.where(known, temperature_c, 0.0), starts)
    count = np.add.reduceat(known.astype(np.float64), starts)
    return total / count if np.all(count > 0) else None


class _Bins:
    """Sums of count, time, pressure, temperatures and temperature in each bin that has readings."""

    def __init__(self) -> None:
        self._width_s = _FIRST_WIDTH_S
        self._index: list[int] = []
        self._sums: list[list[float]] = []

    def put(self, t: float, pressure_pa: float, warmth: float) -> None:
        """Take a reading."""
        index = int(t // self._width_s)
        if not self._index or index != self._index[-1]:
            while index >= MOST_BINS:
                self._double()
                index = int(t // self._width_s)
            if not self._index or index != self._index[-1]:
                self._index.append(index)
                self._sums.append([0.0, 0.0, 0.0, 0.0, 0.0])
        sums = self._sums[-1]
        sums[0] += 1.0
        sums[1] += t
        sums[2] += pressure_pa
        if warmth == warmth:  # not NaN
            sums[3] += 1.0
            sums[4] += warmth

    def _double(self) -> None:
        """Join neighbouring bins: the width doubles."""
        self._width_s *= 2.0
        index: list[int] = []
        sums: list[list[float]] = []
        for old, part in zip(self._index, self._sums, strict=True):
            if index and index[-1] == old // 2:
                sums[-1] = [a + b for a, b in zip(sums[-1], part, strict=True)]
            else:
                index.append(old // 2)
                sums.append(part)
        self._index, self._sums = index, sums

    def sums_with(self, more: Iterable[Taken]) -> Floats:
        """Give the sums, (n, 5), as they would be with some readings more."""
        bins = _Bins()
        bins._width_s = self._width_s
        bins._index = self._index.copy()
        bins._sums = [part.copy() for part in self._sums]
        for reading in more:
            bins.put(*reading)
        return np.array(bins._sums, dtype=np.float64)


class HoldThinner:
    """The same thinning, one reading at a time, in bounded memory.

    State: the readings that are not settled yet, the sums of each bin, the longest gap, and what
    a stuck gauge is told by.
    """

    def __init__(self) -> None:
        self._zero_s: float | None = None
        self._glitches = GlitchFilter()
        self._bins = _Bins()
        self._stuck = StuckGauge()
        self._last_t = self._last_pa = self._longest_gap_s = 0.0

    def add(self, time_s: float, pressure_pa: float, temperature_c: float | None) -> None:
        """Take one reading; times never go back."""
        if self._zero_s is None:
            self._zero_s = time_s
        t = time_s - self._zero_s
        warmth = math.nan if temperature_c is None else temperature_c
        for settled in self._glitches.add((t, pressure_pa, warmth)):
            self._bins.put(*settled)
        self._stuck.add(t, pressure_pa)
        if t - self._last_t > self._longest_gap_s:
            self._longest_gap_s = t - self._last_t
        self._last_t, self._last_pa = t, pressure_pa

    def thinned(self) -> ThinnedHold | None:
        """Return the hold so far, or ``None`` before the first reading."""
        if self._zero_s is None:
            return None
        count, time, pressure, known, warmth = self._bins.sums_with(self._glitches.waiting()).T
        hold = ThinnedHold(
            time_s=time / count,
            pressure_pa=pressure / count,
            temperature_c=warmth / known if np.all(known > 0) else None,
            count=count.copy(),
            step_pa=self._stuck.step_pa,
            duration_s=self._last_t,
            longest_gap_s=self._longest_gap_s,
            last_pa=self._last_pa,
        )
        return hold.until_stuck(self._stuck.since_s)
