"""Going on with a job at another place, when its own takes nothing any more."""

import os
from pathlib import Path

from app.jobfile.errors import JobFileError
from app.jobfile.new import new_job
from app.jobfile.rows import JobStart
from app.jobfile.share import share_job

CONTINUES = "continues"
"""Field of a job that could not take the rows before it along: which job, and its last hash."""


def begin_elsewhere(path: Path, target: Path, start: JobStart, last: tuple[int, bytes]) -> None:
    """Make a job at ``target`` in which the recording of ``path`` can go on.

    It is a copy with all rows where the old file can be read. Where it cannot (the stick is
    pulled out), it is a new job with the same start, so that times go on, and a field that
    names the old one.

    Parameters
    ----------
    path, target
        The job and the new place.
    start
        Row 1 of the job.
    last
        Sequence and hash of the last row that is in the old file.

    Raises
    ------
    JobFileError
        If the target exists or its folder does not take it.
    """
    try:
        share_job(path, target)
    except JobFileError:
        if os.path.exists(target):
            raise
        sequence, last_hash = last
        named = {"job": path.name, "rows": sequence, "last_hash": last_hash.hex()}
        new_job(target.parent, name=target.name, fields={CONTINUES: named}, start=start)
