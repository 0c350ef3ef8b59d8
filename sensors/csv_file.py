"""Recordings as CSV files: strict about what they say, and fast on clean ones.

A clean file goes through ``csv_fast`` in blocks; whatever that will not vouch for goes line by
line through ``csv_careful``, which alone finds the exact error. Both give the same arrays.
"""

import math
import os
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from sensors.csv_careful import LineError, read_carefully
from sensors.csv_columns import parse_header
from sensors.csv_fast import read_fast
from sensors.sentence import one_line
from sensors.series import Series
from sensors.units import PA_PER_UNIT

# 24 h at 100 Hz is about 200 MB; more than this is no recording of an evacuation.
LARGEST_FILE_BYTES = 512 * 1024 * 1024
LONGEST_LINE = 4096


class CsvError(ValueError):
    """A file is no recording: one sentence with the file, the line and what was expected."""

    def __init__(self, text: str) -> None:
        super().__init__(one_line(text))


def read_csv(path: str | os.PathLike[str]) -> Series:
    """Read a recording.

    A header row names ``time_s`` (seconds from any zero) or ``time`` (ISO 8601; without an
    offset it is taken as UTC), one ``pressure_UNIT`` and optionally ``temperature_c``, whose cells
    may be empty. Comma, semicolon or tab; decimal comma where the separator is not a comma;
    UTF-8, or UTF-16 with a byte-order mark; cells may be quoted; lines with nothing
    but blanks may end the file.

    Returns
    -------
    Series
        ``time_s`` as written, or from 0 where the file has ``time``; then ``start_utc`` is set.

    Raises
    ------
    CsvError
        For anything else, with the line number and what was expected.
    """
    try:
        return parse_csv(_bytes_of(Path(path)))
    except OSError as error:
        raise CsvError(f"Cannot read {path}: {error.strerror or error}.") from None
    except ValueError as error:
        raise CsvError(f"{path}, {error}.") from None


def parse_csv(data: bytes) -> Series:
    """Read a recording from a file's bytes; like ``read_csv``, without the path in errors.

    Raises
    ------
    ValueError
        With the line number, what is wrong and what was expected.
    """
    header, newline, body = _text_from(data).partition("\n")
    try:
        if len(header) > LONGEST_LINE:
            raise ValueError(f"longer than {LONGEST_LINE} characters; expected a header row")
        columns = parse_header(header)
    except ValueError as error:
        raise LineError(1, str(error)) from None
    body = _without_blank_end(body)
    if not newline or not body.strip():
        raise LineError(2, "no reading; expected at least one after the header row")
    rows = read_fast(body, columns, LONGEST_LINE)
    if rows is None:
        rows = read_carefully(body, columns, LONGEST_LINE)
    time_s, start_utc = rows.time_s, None
    if columns.is_iso_time:
        start_utc = datetime.fromtimestamp(0, UTC) + rows.first_since_epoch
    return Series(time_s, rows.pressure_pa, rows.temperature_c, start_utc)


def write_csv(path: str | os.PathLike[str], series: Series, unit: str = "pa") -> None:
    """Write ``time_s``, ``pressure_UNIT`` and, where there is one, ``temperature_c``.

    The file appears whole or not at all. Statuses are not written: the format has none.

    Raises
    ------
    ValueError
        If the unit is unknown.
    OSError
        If the file cannot be written.
    """
    if unit not in PA_PER_UNIT:
        raise ValueError(f"unknown unit '{unit}'; expected one of {' '.join(PA_PER_UNIT)}")
    names = ["time_s", f"pressure_{unit}"]
    columns = [series.time_s, series.pressure_pa / PA_PER_UNIT[unit]]
    cells = [map(repr, np.asarray(column, np.float64).tolist()) for column in columns]
    if series.temperature_c is not None:
        names.append("temperature_c")
        cells.append(map(_cell, series.temperature_c.tolist()))
    target = Path(path)
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with part.open("w", encoding="ascii", newline="\n") as file:
            file.write(",".join(names) + "\n")
            file.writelines(",".join(row) + "\n" for row in zip(*cells, strict=True))
            file.flush()
            os.fsync(file.fileno())
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


def _cell(value: float) -> str:
    return "" if math.isnan(value) else repr(value)


def _bytes_of(path: Path) -> bytes:
    with path.open("rb") as file:
        data = file.read(LARGEST_FILE_BYTES + 1)
    if len(data) > LARGEST_FILE_BYTES:
        raise ValueError(
            f"line 1: the file is larger than {LARGEST_FILE_BYTES >> 20} MB; "
            "expected a recording of an evacuation"
        )
    return data


def _without_blank_end(body: str) -> str:
    """Cut off the lines at the end that hold nothing, or blanks only.

    Blanks at the end of the last row stay: a tab may part it from an empty cell.
    """
    end = body.find("\n", len(body.rstrip()))
    return body if end < 0 else body[:end]


def _text_from(data: bytes) -> str:
    if not data:
        raise LineError(1, "the file is empty; expected a header row")
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise LineError(line, "the bytes are no text; expected UTF-8") from None
    at = text.find("\0")
    if at >= 0:
        raise LineError(text.count("\n", 0, at) + 1, "the bytes are no text; expected UTF-8")
    return text.replace("\r\n", "\n").replace("\r", "\n")
