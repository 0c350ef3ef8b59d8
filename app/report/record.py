"""What a job file holds, gathered for the report; whole or damaged, ours or a stranger's."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TypeVar

import numpy as np

from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import CautionKind
from app.gauge.place import Place
from app.job.fields import JobFields, job_fields
from app.jobfile.errors import JobFileError
from app.jobfile.reader import JobReader
from app.jobfile.readings import Readings
from app.jobfile.resume import LONGEST_S
from app.jobfile.rows import (
    CautionChange,
    Edit,
    FindingNote,
    JobStart,
    Note,
)
from app.jobfile.utc import parse_utc
from app.jobfile.verify import Verdict, verify_job
from app.report.entries import Entry, entries
from app.report.hold_note import numbers
from app.system.errors import UsageError

_Kind = TypeVar("_Kind", bound=Note)


@dataclass(frozen=True, slots=True)
class CautionSpan:
    """A caution from its raising to its end; ``until_s`` is ``None`` when it never ended."""

    kind: CautionKind
    from_s: float
    until_s: float | None
    reason: Reason


@dataclass(frozen=True, slots=True)
class Record:
    """A job as recorded. Times are seconds of the job's own clock.

    ``edits`` are the fields as they were left, ``entries`` each value that they had, in order.
    ``readings`` are the far gauge's, on which all rests; ``at_pump`` those of a second gauge.

    ``last_hash`` is that of the last row, or of the last that fits when the record is not whole.
    """

    path: Path
    start: JobStart | None
    fields: JobFields
    edits: dict[str, object]
    entries: tuple[Entry, ...]
    readings: Readings
    at_pump: Readings
    notes: tuple[Note, ...]
    verdict: Verdict
    last_hash: bytes
    rows: int

    def of(self, kind: type[_Kind]) -> list[_Kind]:
        """List the notes of a kind, in the order in which they were written."""
        return [note for note in self.notes if isinstance(note, kind)]

    @property
    def zero_s(self) -> float:
        """Job time from which the page counts: the first reading."""
        return float(self.readings.time_s[0]) if len(self.readings) else 0.0

    @property
    def marks(self) -> list[Mark]:
        """Marks in the order of their times."""
        return sorted(self.of(Mark), key=lambda mark: mark.time_s)

    @property
    def findings(self) -> list[FindingNote]:
        """Findings of the holds, in order."""
        return self.of(FindingNote)

    @property
    def cautions(self) -> list[CautionSpan]:
        """Cautions with their ends, in the order of their raising."""
        spans: list[CautionSpan] = []
        for note in self.of(CautionChange):
            if note.is_standing:
                reason = Reason(note.code, numbers(note.values))
                spans.append(CautionSpan(note.caution, note.time_s, None, reason))
                continue
            for at in range(len(spans) - 1, -1, -1):
                span = spans[at]
                if span.kind == note.caution and span.until_s is None:
                    spans[at] = CautionSpan(span.kind, span.from_s, note.time_s, span.reason)
                    break
        return spans

    def moment(self, time_s: float) -> datetime | None:
        """Give a job time as UTC; ``None`` where the file does not tell."""
        if self.start is None:
            return None
        try:
            return parse_utc(self.start.utc_start) + timedelta(seconds=time_s)
        except (JobFileError, OverflowError):
            return None


def read_record(path: Path) -> Record:
    """Read a job, as far as it can be read.

    Raises
    ------
    UsageError
        If it is no job of ours, nothing of it can be read, or it spans more than a year.
    """
    with JobReader(path, is_salvage=True) as reader:
        readings, at_pump = _readings(reader, "far"), _readings(reader, "pump")
        notes = tuple(note for _, note in reader.notes())
        entered = entries(reader.rows())
        last_row, last_hash = reader.last if not reader.damage else (0, b"")
    verdict = verify_job(path, last_hash or None)  # read last: it covers all that is shown
    if not verdict.is_whole or not last_hash:
        last_row, last_hash = verdict.rows, verdict.last_hash
    if len(readings) and readings.time_s[-1] - readings.time_s[0] > LONGEST_S:
        raise UsageError(f"{path.name} spans more than a year: a visit was expected.")
    edits = {note.key: note.value for note in notes if isinstance(note, Edit)}
    start = next((note for note in notes if isinstance(note, JobStart)), None)
    return Record(
        path,
        start,
        job_fields(edits),
        edits,
        entered,
        readings,
        at_pump,
        notes,
        verdict,
        last_hash,
        last_row,
    )


def _readings(reader: JobReader, place: Place) -> Readings:
    try:
        return reader.readings(place)
    except JobFileError:  # not one block of them is as it should be
        nothing = np.empty(0)
        return Readings(nothing, nothing, nothing, nothing.astype(np.uint8))
