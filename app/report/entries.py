"""When each field of a job was written down: an edit has no time of its own, its row's place has.

The row's UTC is no help where the computer's clock was set, or a circuit is simulated faster than
time goes: the rows before it tell how far the job was.
"""

import math
import struct
from collections.abc import Iterable
from dataclasses import dataclass

from app.jobfile.errors import JobFileError
from app.jobfile.reader import Row
from app.jobfile.readings import READING_BYTES
from app.jobfile.rows import ALL_READINGS, Edit, decode_row

_TIME = struct.Struct("<d")


@dataclass(frozen=True, slots=True)
class Entry:
    """A field that got a value, at a time of the job's own clock."""

    time_s: float
    key: str
    value: object


def entries(rows: Iterable[Row]) -> tuple[Entry, ...]:
    """List the edits of a job, each at the latest time in the rows before it."""
    found: list[Entry] = []
    latest_s = 0.0
    for row in rows:
        if row.kind in ALL_READINGS:
            if row.payload and len(row.payload) % READING_BYTES == 0:
                (time_s,) = _TIME.unpack_from(row.payload, len(row.payload) - READING_BYTES)
                latest_s = max(latest_s, time_s if math.isfinite(time_s) else 0.0)
            continue
        try:
            note = decode_row(row.kind, row.payload)
        except JobFileError:
            continue  # a row that cannot be used: the verdict names it
        if isinstance(note, Edit):
            found.append(Entry(latest_s, note.key, note.value))
        else:
            latest_s = max(latest_s, getattr(note, "time_s", 0.0))
    return tuple(found)
