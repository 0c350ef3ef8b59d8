"""A whole recording in memory: what a file holds and what a replay plays."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from sensors.events import Reading, Status


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """Readings as arrays.

    Attributes
    ----------
    time_s
        (n,) float64, seconds from any zero, never going back.
    pressure_pa
        (n,) float64, absolute, Pa, finite and >= 0.
    temperature_c
        (n,) float64, degrees Celsius, NaN where a reading has none; ``None`` without a column.
    start_utc
        The moment of the first reading (time zone aware), where the file tells it.
    status
        (n,) one status a reading, or ``None`` when all are ok.
    """

    time_s: NDArray[np.float64]
    pressure_pa: NDArray[np.float64]
    temperature_c: NDArray[np.float64] | None = None
    start_utc: datetime | None = None
    status: Sequence[Status] | None = None

    def readings(self) -> Iterator[Reading]:
        """Yield them one by one."""
        count = len(self.time_s)
        degrees: list[float | None] = [None] * count
        if self.temperature_c is not None:
            degrees = [None if c != c else c for c in self.temperature_c.tolist()]
        status: Sequence[Status] = self.status or ["ok"] * count
        columns = (self.time_s.tolist(), self.pressure_pa.tolist(), degrees, status)
        for row in zip(*columns, strict=True):
            yield Reading(*row)
