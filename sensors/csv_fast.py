"""A clean CSV file's rows in blocks; says nothing about unclean ones."""

from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from sensors.csv_careful import ABSOLUTE_ZERO_C, LARGEST_TIME_S, LONGEST_S, Rows, since_epoch
from sensors.csv_columns import Columns
from sensors.quantity import HIGHEST_PA, HOTTEST_C

_BLOCK_CHARACTERS = 1 << 20
_NEWLINE = ord("\n")


def read_fast(body: str, columns: Columns, longest_line: int) -> Rows | None:
    """Read the rows, or give ``None`` where anything is not plainly as expected.

    ``None`` does not mean an error: quoted cells, empty temperatures and the like are left to
    ``read_carefully``, which gives the same arrays for whatever is read here.
    """
    # float() also takes "1_000" and other scripts' digits, which are no numbers in a CSV file.
    if not body.isascii() or "_" in body:
        return None
    blocks: list[list[NDArray[np.float64]]] = []
    firsts: list[timedelta] = []
    at = 0
    while at < len(body):
        end = body.find("\n", at + _BLOCK_CHARACTERS)
        end = len(body) if end < 0 else end
        block = body[at:end]
        at = end + 1
        if not _is_regular(block, columns, longest_line):
            return None
        try:
            cells = block.replace("\n", columns.separator).split(columns.separator)
            times = cells[columns.time :: columns.count]
            if columns.is_iso_time:
                firsts = firsts or [since_epoch(times[0])]
                first = firsts[0]
                time_s = np.array([(since_epoch(t) - first).total_seconds() for t in times])
            else:
                time_s = _numbers(times, columns)
            blocks.append([time_s, _numbers(cells[columns.pressure :: columns.count], columns)])
            if columns.temperature is not None:
                blocks[-1].append(_numbers(cells[columns.temperature :: columns.count], columns))
        except ValueError:
            return None
    if not blocks:
        return None
    arrays = [np.concatenate(parts) for parts in zip(*blocks, strict=True)]
    time_s = arrays[0]
    with np.errstate(over="ignore"):  # an infinite product is found below
        pressure_pa = np.abs(arrays[1] * columns.pa_per_unit)
    temperature_c = arrays[2] if columns.temperature is not None else None
    is_good = (
        bool((pressure_pa <= HIGHEST_PA).all())
        and bool((arrays[1] >= 0).all())
        and bool((np.abs(time_s) <= LARGEST_TIME_S).all())
        and bool((np.diff(time_s) >= 0).all())
        and bool(time_s[-1] - time_s[0] <= LONGEST_S)
        and (
            temperature_c is None
            or bool(((temperature_c >= ABSOLUTE_ZERO_C) & (temperature_c <= HOTTEST_C)).all())
        )
    )
    if not is_good:
        return None
    return Rows(time_s, pressure_pa, temperature_c, *firsts)


def _numbers(cells: list[str], columns: Columns) -> NDArray[np.float64]:
    if columns.is_decimal_comma:
        return np.array([float(cell.replace(",", ".")) for cell in cells])
    return np.array(list(map(float, cells)))


def _is_regular(block: str, columns: Columns, longest_line: int) -> bool:
    """Whether every line has the header's number of cells and none is too long."""
    characters = np.frombuffer(block.encode("ascii"), np.uint8)
    is_newline = characters == _NEWLINE
    ends = np.flatnonzero(is_newline)
    lengths = np.diff(ends, prepend=-1, append=len(block))
    if int(lengths.max()) > longest_line:
        return False
    marks = characters[is_newline | (characters == ord(columns.separator))]
    marks = np.append(marks, np.uint8(_NEWLINE))
    if len(marks) % columns.count:
        return False
    rows = marks.reshape(-1, columns.count)
    return bool((rows[:, -1] == _NEWLINE).all()) and not bool((rows[:, :-1] == _NEWLINE).any())
