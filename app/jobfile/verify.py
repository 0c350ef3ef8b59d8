"""Recomputing a job's chain of hashes, to name the first row that does not fit."""

from dataclasses import dataclass
from pathlib import Path

from app.jobfile.chain import FIRST, row_hash
from app.jobfile.reader import JobReader, Row
from app.jobfile.rows import version_needed


@dataclass(frozen=True, slots=True)
class Verdict:
    """What recomputing the chain found.

    Attributes
    ----------
    is_whole
        Every row fits onto the one before it.
    rows
        Rows that fit, counted from the first.
    last_hash
        Hash of the last row that fits (32 zero bytes when none does).
    bad_sequence
        The first row that does not fit or cannot be read, or ``None``.
    why
        In what way it does not, or ``None``.
    named_at
        The row that has the hash asked for, or ``None`` when no row that fits has it.
    """

    is_whole: bool
    rows: int
    last_hash: bytes
    bad_sequence: int | None = None
    why: str | None = None
    named_at: int | None = None


def verify_job(path: Path, named_hash: bytes | None = None) -> Verdict:
    """Recompute the chain of a job, damaged or not.

    Parameters
    ----------
    path
        The job.
    named_hash
        A hash kept elsewhere, as printed on a report: shows that nothing up to there is missing.

    Raises
    ------
    JobFileError
        If it is no job of ours or nothing of it can be read.
    """
    previous, sequence, named_at = FIRST, 0, None
    with JobReader(path, is_salvage=True) as job:
        version = job.version
        for row in job.rows():
            why = job.damage or _misfit(row, sequence, previous, version)
            if why:
                return Verdict(False, sequence, previous, sequence + 1, why, named_at)
            sequence, previous = row.sequence, row.hash
            if row.hash == named_hash:
                named_at = row.sequence
        if job.damage:
            return Verdict(False, sequence, previous, sequence + 1, job.damage, named_at)
    if sequence == 0:
        return Verdict(False, 0, previous, 1, "the first row is missing")
    return Verdict(True, sequence, previous, named_at=named_at)


def _misfit(row: Row, sequence: int, previous: bytes, version: int) -> str | None:
    if row.sequence != sequence + 1:
        return f"row {row.sequence} follows row {sequence}"
    if row_hash(previous, row.sequence, row.kind, row.utc, row.payload) != row.hash:
        return "its contents do not give its hash"
    if version_needed(row.kind) > version:  # the header, which no hash covers, was changed
        return f"format {version}, as the header says, has no rows of kind {row.kind!r}"
    return None
