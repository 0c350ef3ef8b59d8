"""Bins of equal width, anchored in time; where there are too many, neighbours are joined."""

import math
from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.gauge.glitches import Taken

MOST_BINS: Final = 256
_FIRST_WIDTH_S: Final = 0.5


def bin_width_s(duration_s: float) -> float:
    """Width with which a hold this long fills at most ``MOST_BINS`` bins: 0.5 s doubled often."""
    width = _FIRST_WIDTH_S
    while math.floor(duration_s / width) >= MOST_BINS:
        width *= 2.0
    return width


class HoldBins:
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

    def sums_with(self, more: Iterable[Taken]) -> NDArray[np.float64]:
        """Give the sums, (n, 5), as they would be with some readings more."""
        bins = HoldBins()
        bins._width_s = self._width_s
        bins._index = self._index.copy()
        bins._sums = [part.copy() for part in self._sums]
        for reading in more:
            bins.put(*reading)
        return np.array(bins._sums, dtype=np.float64)
