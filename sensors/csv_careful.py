"""A CSV file's rows line by line: finds the exact error, and reads what the fast way leaves."""

import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from sensors.csv_columns import Columns, unquoted
from sensors.quantity import HIGHEST_PA, HOTTEST_C
from sensors.sentence import one_line, some

_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
# Beyond this a float64 no longer tells milliseconds apart; it is 30 000 years.
LARGEST_TIME_S = 1e12
LONGEST_S = 366 * 86400.0  # no evacuation takes a year
ABSOLUTE_ZERO_C = -273.15
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_ZERO = timedelta(0)
_FIRST = datetime.min.replace(tzinfo=UTC) - _EPOCH
_LAST = datetime.max.replace(tzinfo=UTC) - _EPOCH


class LineError(ValueError):
    """What is wrong in one line."""

    def __init__(self, line: int, what: str) -> None:
        super().__init__(one_line(f"line {line}: {what}"))


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Arrays of (n,) float64; ``first_since_epoch`` belongs to ISO times, else it is zero."""

    time_s: NDArray[np.float64]
    pressure_pa: NDArray[np.float64]
    temperature_c: NDArray[np.float64] | None
    first_since_epoch: timedelta = _ZERO


def since_epoch(text: str) -> timedelta:
    """Read an ISO 8601 time; without an offset it is UTC.

    Raises
    ------
    ValueError
        If it is none.
    """
    moment = datetime.fromisoformat(text)
    since = (moment if moment.tzinfo else moment.replace(tzinfo=UTC)) - _EPOCH
    if not _FIRST <= since <= _LAST:  # in its own zone it has a date, in UTC none
        raise ValueError("outside the calendar")
    return since


def read_carefully(body: str, columns: Columns, longest_line: int) -> Rows:
    """Read the rows after the header.

    Raises
    ------
    LineError
        For the first line that is not as expected.
    """
    times: list[float] = []
    pressures: list[float] = []
    temperatures: list[float] = []
    first = _ZERO
    for number, line in enumerate(body.split("\n"), start=2):
        try:
            cells = _cells(line, columns, longest_line)
            time_text = cells[columns.time]
            if columns.is_iso_time:
                moment = _iso_time(time_text)
                first = first if times else moment
                time_s = (moment - first).total_seconds()
            else:
                time_s = _time(time_text, columns)
            if times and time_s < times[-1]:
                raise ValueError(f"the time '{time_text}' goes back; expected times in order")
            if times and time_s - times[0] > LONGEST_S:
                raise ValueError(
                    f"the time '{time_text}' is more than a year after the first; expected a "
                    "recording of an evacuation"
                )
            times.append(time_s)
            pressures.append(_pressure(cells[columns.pressure], columns))
            if columns.temperature is not None:
                temperatures.append(_temperature(cells[columns.temperature], columns))
        except ValueError as error:
            raise LineError(number, str(error)) from None
    return Rows(
        np.array(times),
        np.array(pressures),
        None if columns.temperature is None else np.array(temperatures),
        first,
    )


def _cells(line: str, columns: Columns, longest_line: int) -> list[str]:
    if len(line) > longest_line:
        raise ValueError(f"longer than {longest_line} characters; expected {columns.count} cells")
    if not line.strip():
        raise ValueError(f"an empty line; expected {columns.count} cells")
    cells = [unquoted(cell) for cell in line.split(columns.separator)]
    if len(cells) != columns.count:
        raise ValueError(
            f"{some(len(cells), 'cell')}; expected {columns.count} as in the header row"
        )
    return cells


def _number(text: str, columns: Columns, what: str) -> float:
    plain = text.replace(",", ".") if columns.is_decimal_comma else text
    if not text:
        raise ValueError(f"no {what}; expected a number")
    if not _NUMBER.fullmatch(plain) or not math.isfinite(float(plain)):
        raise ValueError(f"the {what} '{text[:40]}' is no finite number; expected one")
    return float(plain)


def _time(text: str, columns: Columns) -> float:
    time_s = _number(text, columns, "time")
    if abs(time_s) > LARGEST_TIME_S:
        raise ValueError(f"the time '{text[:40]}' is too large; expected seconds")
    return time_s


def _iso_time(text: str) -> timedelta:
    try:
        return since_epoch(text)
    except ValueError:
        raise ValueError(
            f"the time '{text[:40]}' is not ISO 8601; expected one such as 2026-01-31T08:30:00.5Z"
        ) from None


def _pressure(text: str, columns: Columns) -> float:
    pressure_pa = _number(text, columns, "pressure") * columns.pa_per_unit
    if pressure_pa < 0:
        raise ValueError(f"the pressure '{text[:40]}' is negative; expected an absolute pressure")
    if not pressure_pa <= HIGHEST_PA:
        raise ValueError(
            f"the pressure '{text[:40]}' is over {1e-5 * HIGHEST_PA:g} bar; expected what a vacuum "
            "gauge may read, in the unit that the header row names"
        )
    return abs(pressure_pa)  # "-0" is 0


def _temperature(text: str, columns: Columns) -> float:
    if not text:
        return math.nan
    temperature_c = _number(text, columns, "temperature")
    if temperature_c < ABSOLUTE_ZERO_C:
        raise ValueError(
            f"the temperature '{text[:40]}' lies below absolute zero; expected degrees Celsius"
        )
    if temperature_c > HOTTEST_C:
        raise ValueError(
            f"the temperature '{text[:40]}' is over {HOTTEST_C:g}; expected degrees Celsius"
        )
    return temperature_c
