"""An exported record read back beside its CSV file: marks, fields, and what was out of range."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

from analysis.sample import Mark, MarkKind, Status
from app.job.recording import Recording, load
from app.output.export_json import VERSION
from app.system.errors import UsageError
from sensors.csv_careful import LARGEST_TIME_S

_LARGEST_BYTES = 64 * 1024 * 1024  # a day's marks and cautions take some hundred kB


def load_told(path: Path, record: Path | None) -> Recording:
    """Load a CSV file or a job, and the exported record beside it if there is one.

    Raises
    ------
    UsageError
        If either can't be read.
    """
    recording = load(path)
    return recording if record is None else with_record(recording, record)


def with_record(recording: Recording, path: Path) -> Recording:
    """Give a CSV file's readings what the exported record says of them.

    Raises
    ------
    UsageError
        If the file is no record of this version, or not of these readings.
    """
    told = _object(path)
    count = len(recording.series.time_s)
    if told.get("version") != VERSION or told.get("samples") != count:
        raise UsageError(
            f"{path} is no record of these readings: version {VERSION} and {count} samples were "
            "expected."
        )
    try:
        marks = sorted(_marks(told["marks"]), key=lambda mark: mark.time_s)
        status = _status(told["out_of_range"], count)
    except (KeyError, TypeError, ValueError, OverflowError) as error:
        raise UsageError(f"{path} is not as simmerdown export writes it: {error}.") from error
    fields = told.get("fields")
    return replace(
        recording,
        series=replace(recording.series, status=status),
        marks=tuple(marks),
        fields=fields if isinstance(fields, Mapping) else {},
    )


def _object(path: Path) -> Mapping[str, Any]:
    try:
        if not path.is_file():
            raise UsageError(f"{path} is no file: an exported record was expected.")
        if path.stat().st_size > _LARGEST_BYTES:
            raise UsageError(f"{path} is too large for an exported record.")
        # Whole numbers as floats: one of 400 digits then is infinite, and not an overflow.
        told = json.loads(path.read_text("utf-8"), parse_int=float)
    except OSError as error:
        raise UsageError(f"{path} cannot be read: {error.strerror or error}.") from error
    except (ValueError, RecursionError) as error:
        raise UsageError(f"{path} holds no JSON: an exported record was expected.") from error
    if not isinstance(told, Mapping):
        raise UsageError(f"{path} holds no JSON object: an exported record was expected.")
    return told


def _marks(told: Iterable[Mapping[str, Any]]) -> Iterable[Mark]:
    for item in told:
        kind, time_s = item["kind"], float(item["time_s"])
        if kind not in get_args(MarkKind) or not abs(time_s) <= LARGEST_TIME_S:
            raise ValueError("a mark of a known kind at a time was expected")
        yield Mark(max(time_s, 0.0), kind, str(item["text"]))


def _status(told: Iterable[Mapping[str, Any]], count: int) -> list[Status]:
    status: list[Status] = ["ok"] * count
    next_free = 0  # spans in order and apart, as they are written: each reading is set once
    for span in told:
        first, last, given = int(span["first"]), int(span["last"]), span["status"]
        if given not in get_args(Status) or not next_free <= first <= last < count:
            raise ValueError("a span of readings with its status was expected")
        next_free = last + 1
        status[first : last + 1] = [given] * (last - first + 1)
    return status
