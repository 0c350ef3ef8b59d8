"""Readings in blocks: little-endian float64, four to a reading, bit for bit.

Each reading is ``time_s`` (the job's own clock), ``pressure_pa``, ``temperature_c`` (NaN where the
gauge has none) and the status code, 32 bytes in all.
"""

import math
import struct
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.jobfile.errors import JobFileError
from sensors.csv_careful import ABSOLUTE_ZERO_C, LARGEST_TIME_S
from sensors.events import Reading, Status
from sensors.quantity import HIGHEST_PA, HOTTEST_C
from sensors.series import Series

STATUSES: tuple[Status, ...] = ("ok", "over-range", "under-range")
"""A status code is the place in this list."""

READING_BYTES = 32
MAX_BLOCK_READINGS = 4096
"""Longest block written: 128 KiB, an eighth of the longest payload that is read back."""

_READING = struct.Struct("<4d")
_CODES = {status: float(code) for code, status in enumerate(STATUSES)}


@dataclass(frozen=True, slots=True)
class Readings:
    """The readings of a job as columns.

    Attributes
    ----------
    time_s : (n,) float64, seconds of the job's own clock, never going back
    pressure_pa : (n,) float64, Pa, absolute
    temperature_c : (n,) float64, degrees Celsius, NaN where there is none
    status : (n,) uint8, place in ``STATUSES``
    """

    time_s: NDArray[np.float64]
    pressure_pa: NDArray[np.float64]
    temperature_c: NDArray[np.float64]
    status: NDArray[np.uint8]

    def believable(self) -> "Readings":
        """Tell what no vacuum gauge reads as over its range, and leave out absurd temperatures.

        Our own decoders reject both; a stranger's job may hold them, and the analysis and every
        screen reckon with what comes back from here.
        """
        is_wild = self.pressure_pa > HIGHEST_PA
        celsius = self.temperature_c
        is_absurd = (celsius < ABSOLUTE_ZERO_C) | (celsius > HOTTEST_C)
        if not is_wild.any() and not is_absurd.any():
            return self
        over = np.uint8(STATUSES.index("over-range"))
        return Readings(
            self.time_s,
            np.minimum(self.pressure_pa, HIGHEST_PA),
            np.where(is_absurd, np.nan, celsius),
            np.where(is_wild, over, self.status),
        )

    def series(self) -> Series:
        """Give them as a recording; without temperatures where no reading has one."""
        return Series(
            self.time_s,
            self.pressure_pa,
            None if np.isnan(self.temperature_c).all() else self.temperature_c,
            status=[STATUSES[code] for code in self.status.tolist()],
        )

    def __len__(self) -> int:
        return len(self.time_s)

    def __getitem__(self, index: int) -> Reading:
        temperature_c = float(self.temperature_c[index])
        return Reading(
            float(self.time_s[index]),
            float(self.pressure_pa[index]),
            None if math.isnan(temperature_c) else temperature_c,
            STATUSES[self.status[index]],
        )


def why_not(reading: Reading, last_time_s: float) -> str | None:
    """Say why a reading cannot be recorded, or ``None`` when it can."""
    if not abs(reading.time_s) <= LARGEST_TIME_S:
        return "time is no number"
    if reading.time_s < last_time_s:
        return "time went back"
    if not (math.isfinite(reading.pressure_pa) and reading.pressure_pa >= 0):
        return "pressure is no number from 0 up"
    if reading.temperature_c is not None and not math.isfinite(reading.temperature_c):
        return "temperature is no number"
    if reading.status not in _CODES:
        return "unknown status"
    return None


def encode_readings(readings: Iterable[Reading]) -> bytes:
    """Pack readings that :func:`why_not` has nothing against."""
    return b"".join(
        _READING.pack(
            reading.time_s,
            reading.pressure_pa,
            math.nan if reading.temperature_c is None else reading.temperature_c,
            _CODES[reading.status],
        )
        for reading in readings
    )


def decode_readings(payload: bytes) -> Readings:
    """Unpack and check a block (or several joined) of readings.

    Raises
    ------
    JobFileError
        If the length is not a whole number of readings or a value is out of its range.
    """
    if not payload or len(payload) % READING_BYTES:
        raise JobFileError(
            f"A block of readings is {len(payload)} bytes long, not a multiple of {READING_BYTES}."
        )
    table = np.frombuffer(payload, dtype="<f8").reshape(-1, 4).astype(np.float64)
    time_s, pressure_pa, temperature_c, code = (np.ascontiguousarray(column) for column in table.T)
    if not (np.abs(time_s) <= LARGEST_TIME_S).all() or (time_s[1:] < time_s[:-1]).any():
        raise JobFileError("A block of readings has a time that is no number or goes back.")
    if not np.isfinite(pressure_pa).all() or (pressure_pa < 0).any():
        raise JobFileError("A block of readings has a pressure that is no number from 0 up.")
    if np.isinf(temperature_c).any():
        raise JobFileError("A block of readings has an infinite temperature.")
    if not np.isin(code, range(len(STATUSES))).all():
        raise JobFileError("A block of readings has a status code other than 0, 1 or 2.")
    return Readings(time_s, pressure_pa, temperature_c, code.astype(np.uint8))
