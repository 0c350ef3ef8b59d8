"""A whole run loaded from a file, CSV or job: told apart by the file's first bytes."""

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import cast

from analysis.sample import Mark, Sample
from app.job.rules import JobRules, rules_at_finding
from app.jobfile.errors import JobFileError
from app.jobfile.header import SQLITE_MAGIC
from app.jobfile.reader import JobReader
from app.jobfile.resume import LONGEST_S
from app.system.errors import UsageError
from sensors.csv_file import CsvError, read_csv
from sensors.series import Series


@dataclass(frozen=True, slots=True)
class Recording:
    """Readings of a run, what the technician did, in time order, and a job's fields.

    ``told`` is what a job's last finding was judged by.
    """

    series: Series
    marks: tuple[Mark, ...] = ()
    fields: Mapping[str, object] = field(default_factory=dict)
    told: JobRules | None = None

    def items(self) -> Iterator[Sample | Mark]:
        """Yield samples and marks in the order in which they happened."""
        marks = iter(self.marks)
        mark = next(marks, None)
        for reading in self.series.readings():
            while mark is not None and mark.time_s <= reading.time_s:
                yield mark
                mark = next(marks, None)
            yield reading
        while mark is not None:
            yield mark
            mark = next(marks, None)


def load(path: Path) -> Recording:
    """Load a CSV file or a job; time zero is the first reading.

    Of several settings that a job keeps, ``fields`` has those that its last finding was told with.

    Raises
    ------
    UsageError
        If it can't be read: one sentence that says what, where, and what was expected.
    """
    try:
        recording = load_job(path) if is_job(path) else Recording(read_csv(path))
    except OSError as error:
        raise UsageError(f"{path} cannot be read: {error.strerror or error}.") from error
    except (CsvError, JobFileError) as error:
        raise UsageError(str(error)) from error
    if not len(recording.series.time_s):
        raise UsageError(f"{path} holds no readings; at least one was expected.")
    time_s = recording.series.time_s
    if time_s[-1] - time_s[0] > LONGEST_S:
        raise UsageError(
            f"{path} spans more than a year; a recording of an evacuation was expected."
        )
    if recording.told is not None:
        told = recording.told.note()
        recording = replace(recording, fields={**recording.fields, told.key: told.value})
    return _from_zero(recording)


def is_job(path: Path) -> bool:
    """Tell whether a file is a database, so that it is read as a job and not as CSV."""
    if not os.path.isfile(path):  # what is read of a pipe would be missing afterwards
        return False
    try:
        with path.open("rb") as file:
            return file.read(len(SQLITE_MAGIC)) == SQLITE_MAGIC
    except OSError:
        return False  # the reader that is tried next says why


def load_job(path: Path) -> Recording:
    """Load a job as it is, its times on its own clock.

    Raises
    ------
    JobFileError
        If it can't be read.
    """
    with JobReader(path) as job:
        series = job.readings().series()
        marks = [cast("Mark", note) for _, note in job.notes("mark")]
        fields = job.fields()
        told = rules_at_finding(note for _, note in job.notes("edit", "finding"))
    return Recording(series, tuple(sorted(marks, key=lambda mark: mark.time_s)), fields, told)


def _from_zero(recording: Recording) -> Recording:
    """Count time from the first reading; a mark made before it happened then."""
    series = recording.series
    zero_s = float(series.time_s[0])
    marks = tuple(replace(m, time_s=max(m.time_s - zero_s, 0.0)) for m in recording.marks)
    return replace(recording, series=replace(series, time_s=series.time_s - zero_s), marks=marks)
