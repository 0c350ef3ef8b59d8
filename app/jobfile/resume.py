"""Opening a job to record: from its start, or going on after a stop with the gap marked."""

import math
from pathlib import Path

from app.jobfile.clock import JobClock
from app.jobfile.errors import JobDamagedError, JobFileError
from app.jobfile.readings import Readings
from app.jobfile.rows import (
    ALL_READINGS,
    JobStart,
    Note,
    Resumed,
    decode_row,
    encode_note,
)
from app.jobfile.utc import UtcNow, parse_utc, utc_now
from app.jobfile.writer import JobWriter
from sensors.clock import Clock, now_s

LONGEST_S = 366 * 86400.0
"""Longest a job can be: no visit takes a year, and judging each minute of more takes too long."""

_TIMES = ("time_s", "until_s", "from_s")


def continue_job(
    path: Path, *, now: UtcNow = utc_now, steady: Clock = now_s
) -> tuple[JobWriter, JobClock]:
    """Open a job to record in it.

    Job time goes on by UTC: seconds since the job's start. When the wall clock has been set
    back meanwhile, or is more than a year after the start (a clock that stood at 1970 and is
    right again leaps so), it goes on from the last time recorded, and the row says so.

    Returns
    -------
    JobWriter, JobClock
        If the job held any times, the ``resumed`` row is committed already.

    Raises
    ------
    JobFileError
        If the job cannot be opened to write (see :class:`app.jobfile.writer.JobWriter`).
    """
    writer = JobWriter(path, now=now)
    try:
        begun = parse_utc(job_start(writer).utc_start)
        by_utc_s = (now() - begun).total_seconds()
        last_s = last_time_s(writer)
        if last_s is None:
            is_clock_wrong = not 0.0 <= by_utc_s <= LONGEST_S
            return writer, JobClock(0.0 if is_clock_wrong else by_utc_s, steady=steady)
        is_clock_wrong = not last_s <= by_utc_s <= LONGEST_S
        resumed = Resumed(last_s if is_clock_wrong else by_utc_s, last_s, is_clock_wrong)
        writer.append(*encode_note(resumed))
        writer.commit()
    except BaseException:
        writer.close()
        raise
    return writer, JobClock(resumed.time_s, steady=steady)


def last_time_s(writer: JobWriter) -> float | None:
    """Latest job time in the file, looking back as far as each gauge's last block of readings."""
    last_s = max(_last_reading_s(writer, kind) for kind in ALL_READINGS)
    rows = writer.connection.execute(
        "SELECT kind, payload FROM entry WHERE sequence > 1 ORDER BY sequence DESC"
    )
    for kind, payload in rows:
        try:
            content = decode_row(kind, payload)
        except JobFileError:
            continue  # a row that cannot be used has no time; reading the job will name it
        if isinstance(content, Readings):
            break
        last_s = max(last_s, _latest_s(content))
    rows.close()
    return last_s if math.isfinite(last_s) else None


def _last_reading_s(writer: JobWriter, kind: str) -> float:
    rows = writer.connection.execute(
        "SELECT payload FROM entry WHERE kind = ? ORDER BY sequence DESC", (kind,)
    )
    for (payload,) in rows:
        try:
            content = decode_row(kind, payload)
        except JobFileError:
            continue
        rows.close()
        return _latest_s(content)
    return -math.inf


def _latest_s(content: Note | Readings) -> float:
    if isinstance(content, Readings):
        return float(content.time_s[-1])
    return max((getattr(content, name, -math.inf) for name in _TIMES), default=-math.inf)


def job_start(writer: JobWriter) -> JobStart:
    """Row 1 of a job.

    Raises
    ------
    JobFileError
        If the job does not begin with it.
    """
    row = writer.connection.execute("SELECT kind, payload FROM entry WHERE sequence = 1").fetchone()
    content = decode_row(*row) if row else None
    if not isinstance(content, JobStart):
        raise JobDamagedError(f"{writer.path.name} does not begin with the start of a job.")
    return content
