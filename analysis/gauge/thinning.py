"""Fast readings gathered into bins that are anchored to time, so that cost follows seconds."""

from math import floor
from typing import NamedTuple


class Bin(NamedTuple):
    """One thinned sample: mean time, central pressure, and how many readings it stands for."""

    time_s: float
    pressure_pa: float
    readings: int


class Thinner:
    """Turn readings into at most one bin per ``width_s``; a slower trace passes as it is.

    A gauge that lags by some tenths of a second tells nothing new at 20 readings a second. A bin
    of three or more gives the mean without its lowest and highest, which drops a single-reading
    glitch. Bins lie at multiples of the width from ``zero_s``, so that a trace cut into any
    chunks gives the same bins, and one shifted in time the same too when it begins there.

    Parameters
    ----------
    width_s
        Width of a bin in seconds, > 0.

    Raises
    ------
    ValueError
        If ``width_s`` is not positive.
    """

    def __init__(self, *, width_s: float = 0.5) -> None:
        if not width_s > 0.0:
            raise ValueError(f"width_s must be positive, got {width_s}")
        self._width_s = width_s
        self._zero_s: float | None = None
        self._ends_s = 0.0
        self._times: list[float] = []
        self._values: list[float] = []

    def update(self, time_s: float, pressure_pa: float) -> Bin | None:
        """Take one reading; return the bin it closes, if any."""
        if self._zero_s is None:
            self._zero_s = time_s
            self._ends_s = time_s + self._width_s
        done = None
        if time_s >= self._ends_s:
            done = self.close()
            count = floor((time_s - self._zero_s) / self._width_s) + 1
            self._ends_s = self._zero_s + count * self._width_s
        self._times.append(time_s)
        self._values.append(pressure_pa)
        return done

    def close(self) -> Bin | None:
        """End the open bin, if it holds anything."""
        values, count = self._values, len(self._values)
        if count == 0:
            return None
        if count == 1:  # slower than the bins: each reading is one
            return Bin(self._times.pop(), values.pop(), 1)
        time_s = sum(self._times) / count
        total = sum(values)
        if count >= 3:
            pressure = (total - min(values) - max(values)) / (count - 2)
        else:
            pressure = total / count
        self._times, self._values = [], []
        return Bin(time_s, pressure, count)
