"""Making a compact copy of a job, complete or not there at all."""

import os
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

from app.jobfile.errors import SQLITE_ERRORS, JobFileError
from app.jobfile.opening import open_to_read
from app.jobfile.reader import JobReader
from app.system.atomic import settle


def share_job(path: Path, target: Path) -> None:
    """Copy a job, also while it is being recorded, with ``VACUUM INTO``.

    The copy is made under a passing name in the target's folder and takes the target's name in
    one step when it is whole.

    Raises
    ------
    JobFileError
        If the job cannot be read, the target exists or its folder does not take it.
    """
    if os.path.exists(target):
        raise JobFileError(f"{target} exists already: choose another name.")
    with JobReader(path):
        pass  # refuses what is no job, or a damaged one, in its own words
    part = target.with_name(f".{target.name}.{uuid4().hex[:8]}.part")
    try:
        copy_to(path, part)
        settle(part, target)
    except OSError as error:
        why = error.strerror or str(error)
        raise JobFileError(f"{path.name} cannot be copied to {target}: {why}.") from error
    finally:
        with suppress(OSError):  # it has its own name by now, or never came to be
            part.unlink()


def copy_to(path: Path, part: Path) -> None:
    """Copy a job under a passing name, compact and by itself.

    Raises
    ------
    JobFileError
        If the job cannot be read or the folder does not take the copy.
    """
    try:
        connection = open_to_read(path)
        try:
            connection.execute("VACUUM INTO ?", (os.fspath(part),))
        finally:
            connection.close()
    except (*SQLITE_ERRORS, OSError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise JobFileError(f"{path.name} cannot be copied to {part.parent}: {why}.") from error
