"""A whole run loaded from a file, CSV or job: told apart by the file's first bytes."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import cast

import numpy as np
import numpy.typing as npt

from analysis.sample import Mark, Sample, Status
from app.errors import UsageError
from app.jobfile.errors import JobFileError
from app.jobfile.reader import JobReader
from sensors.csv_file import CsvError, read_csv
from sensors.events import Reading

SQLITE_MAGIC = b"SQLite format 3\x00"
STATUSES: tuple[Status, ...] = ("ok", "over-range", "under-range")


@dataclass(frozen=True, slots=True)
class Series:
    """Readings and marks of a run; time zero is the first reading.

    Attributes
    ----------
    time_s, pressure_pa : (n,) float64, s and Pa
    temperature_c : (n,) float64, degrees Celsius, NaN where there is none; or ``None``
    status : (n,) uint8, index into ``STATUSES``
    marks
        What the technician did, in time order.
    """

    time_s: npt.NDArray[np.float64]
    pressure_pa: npt.NDArray[np.float64]
    temperature_c: npt.NDArray[np.float64] | None
    status: npt.NDArray[np.uint8]
    marks: tuple[Mark, ...] = ()

    def items(self) -> Iterator[Sample | Mark]:
        """Yield samples and marks in the order in which they happened."""
        marks = iter(self.marks)
        mark = next(marks, None)
        for reading in self.readings():
            while mark is not None and mark.time_s <= reading.time_s:
                yield mark
                mark = next(marks, None)
            yield reading
        while mark is not None:
            yield mark
            mark = next(marks, None)

    def readings(self) -> Iterator[Reading]:
        """Yield the readings."""
        times, pressures = self.time_s.tolist(), self.pressure_pa.tolist()
        statuses = [STATUSES[code] for code in self.status.tolist()]
        if self.temperature_c is None:
            for time_s, pressure_pa, status in zip(times, pressures, statuses, strict=True):
                yield Reading(time_s, pressure_pa, None, status)
            return
        degrees = [None if c != c else c for c in self.temperature_c.tolist()]
        for row in zip(times, pressures, degrees, statuses, strict=True):
            yield Reading(*row)


def load(path: Path) -> Series:
    """Load a CSV file or a job.

    Raises
    ------
    UsageError
        If it can't be read: one sentence that says what, where, and what was expected.
    """
    try:
        with path.open("rb") as file:
            is_job = file.read(len(SQLITE_MAGIC)) == SQLITE_MAGIC
        series = _job(path) if is_job else _csv(path)
    except OSError as error:
        raise UsageError(f"{path} cannot be read: {error.strerror or error}") from error
    except (CsvError, JobFileError) as error:
        raise UsageError(str(error)) from error
    if not len(series.time_s):
        raise UsageError(f"{path} holds no readings; at least one was expected")
    return series


def _csv(path: Path) -> Series:
    table = read_csv(path)
    return _from_zero(
        table.time_s, table.pressure_pa, table.temperature_c, np.zeros(len(table.time_s), np.uint8)
    )


def _job(path: Path) -> Series:
    with JobReader(path) as job:
        readings = job.readings()
        marks = [cast("Mark", note) for _, note in job.notes("mark")]
    return _from_zero(
        readings.time_s, readings.pressure_pa, readings.temperature_c, readings.status, marks
    )


def _from_zero(
    time_s: npt.NDArray[np.float64],
    pressure_pa: npt.NDArray[np.float64],
    temperature_c: npt.NDArray[np.float64] | None,
    status: npt.NDArray[np.uint8],
    marks: list[Mark] | None = None,
) -> Series:
    zero_s = float(time_s[0]) if len(time_s) else 0.0
    if temperature_c is not None and bool(np.all(np.isnan(temperature_c))):
        temperature_c = None
    shifted = sorted(
        (Mark(max(m.time_s - zero_s, 0.0), m.kind, m.text) for m in marks or ()),
        key=lambda mark: mark.time_s,
    )
    return Series(time_s - zero_s, pressure_pa, temperature_c, status, tuple(shifted))
