"""Single wild readings taken out by the median of three, the same way live and afterwards.

The two ends have one neighbour only, so there the straight line through the two settled readings
beside them, drawn on by one reading, stands in for the other (Tukey, *Exploratory Data Analysis*,
1977, chapter 7: the end-point rule [memory]). It leaves a steady rise as it is up to its ends.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Taken = tuple[float, float, float]  # time, pressure, temperature or NaN

_FEWEST: Final = 4  # readings in which both ends have two settled neighbours


def middle_of(a: float, b: float, c: float) -> float:
    """Give the median of three."""
    if a < b:
        return b if b < c else max(a, c)
    return b if b > c else min(a, c)


def median_of_three(values: Floats) -> Floats:
    """Replace each value but the first and last by the median of it and its neighbours."""
    out = values.copy()
    if len(values) > 2:
        left, middle, right = values[:-2], values[1:-1], values[2:]
        out[1:-1] = np.maximum(
            np.minimum(left, middle), np.minimum(np.maximum(left, middle), right)
        )
    return out


def without_glitches(values: Floats) -> Floats:
    """Replace each value by the median of three, and the ends by the end-point rule.

    Of fewer than four the ends stay as they are.
    """
    out = median_of_three(values)
    if len(values) >= _FEWEST:
        out[0] = _end(float(values[0]), float(out[1]), float(out[2]))
        out[-1] = _end(float(values[-1]), float(out[-2]), float(out[-3]))
    return out


def _end(value: float, beside: float, beyond: float) -> float:
    return middle_of(value, beside, 3.0 * beside - 2.0 * beyond)


class GlitchFilter:
    """The same, one reading at a time: each is given once the next one has settled it.

    The first waits for three more. State: the first three, or the last two settled values and
    the last two readings.
    """

    def __init__(self) -> None:
        self._first: list[Taken] = []  # until they are settled
        self._last: Taken | None = None  # the newest reading, as it came; then the others' state:
        self._before_pa = self._beyond_pa = self._beside_pa = 0.0

    def add(self, reading: Taken) -> tuple[Taken, ...]:
        """Take a reading; give those that are settled by it, the oldest first."""
        last = self._last
        if last is None:
            return self._begin(reading)
        settled_pa = middle_of(self._before_pa, last[1], reading[1])
        self._beyond_pa, self._beside_pa = self._beside_pa, settled_pa
        self._before_pa, self._last = last[1], reading
        return ((last[0], settled_pa, last[2]),)

    def _begin(self, reading: Taken) -> tuple[Taken, ...]:
        self._first.append(reading)
        if len(self._first) < _FEWEST:
            return ()
        waiting = self.waiting()
        self._before_pa, self._last = self._first[-2][1], reading
        self._beyond_pa, self._beside_pa = waiting[1][1], waiting[2][1]
        self._first.clear()
        return waiting[:-1]

    def waiting(self) -> tuple[Taken, ...]:
        """Give what is not settled yet as it would be were the newest reading the last."""
        last = self._last
        if last is not None:
            return ((last[0], _end(last[1], self._beside_pa, self._beyond_pa), last[2]),)
        settled = without_glitches(np.array([pa for _, pa, _ in self._first], dtype=np.float64))
        return tuple(
            (t, pa, w) for (t, _, w), pa in zip(self._first, settled.tolist(), strict=True)
        )
