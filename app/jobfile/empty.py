"""Taking away a job in which nothing ever came: no reading, no mark, no edit by hand."""

from collections.abc import Collection
from pathlib import Path

from app.jobfile.errors import JobFileError
from app.jobfile.lock import JobLock
from app.jobfile.reader import JobReader
from app.jobfile.rows import ALL_READINGS, Edit, decode_row


def is_empty(path: Path, own_fields: Collection[str]) -> bool:
    """Tell whether a job holds nothing but what the program itself put there.

    Parameters
    ----------
    own_fields
        Fields that the program sets unasked.

    Raises
    ------
    JobFileError
        If it cannot be read.
    """
    with JobReader(path) as job:
        for row in job.rows():
            if row.kind in ALL_READINGS or row.kind == "mark":
                return False
            if row.kind == "edit":
                note = decode_row(row.kind, row.payload)
                if isinstance(note, Edit) and note.key not in own_fields:
                    return False
    return True


def remove_if_empty(path: Path, own_fields: Collection[str]) -> bool:
    """Take an empty job away, and say whether that was done.

    Anything that stands against it (another program has it, it cannot be read) leaves it there.
    """
    try:
        lock = JobLock(path.resolve())
    except JobFileError:
        return False
    try:
        if not is_empty(path, own_fields):
            return False
        path.unlink()
    except (JobFileError, OSError):
        return False
    finally:
        lock.release()
    return True
