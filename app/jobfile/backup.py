"""A second copy of a job at another place: checked before it counts, never in a better one's place.

The copy is made under a passing name, its chain is recomputed there, and only then it takes its
own name. What lies there under that name is replaced only where all its rows are ours too.
"""

import os
from collections.abc import Iterator
from glob import escape
from pathlib import Path
from tempfile import TemporaryFile
from typing import Literal
from uuid import uuid4

from app.jobfile.errors import JobFileError
from app.jobfile.reader import JobReader
from app.jobfile.share import copy_to
from app.jobfile.verify import verify_job
from app.system.atomic import settle

Relation = Literal["none", "shorter", "same", "longer", "other"]
MOST_NAMES = 1000
_TRIAL_BYTES = 65536  # more than a job of some minutes


def back_up(job: Path, folder: Path) -> Path:
    """Keep a second copy of a job in a folder.

    Where another job has the name there already, a number is added. Where the same job lies there
    with as many rows or more, nothing is written.

    Parameters
    ----------
    job
        Not being written to any more.
    folder
        Has to be there: a stick that is not plugged in must not be made up as a folder.

    Returns
    -------
    Path
        The copy.

    Raises
    ------
    JobFileError
        If there is none after this; the job itself is untouched.
    """
    folder = _home_of(folder)
    try:
        _check_place(folder, job.parent)
        return _back_up(job, folder)
    except OSError as error:
        raise _refusal(folder, error) from error


def check_place(folder: Path, jobs: Path) -> None:
    """Find out whether a folder takes second copies before there is a job to copy.

    Parameters
    ----------
    folder
        The second place.
    jobs
        Where the jobs themselves are.

    Raises
    ------
    JobFileError
        If it does not: it is not there, nothing may be written there, or it is the first place.
    """
    folder = _home_of(folder)
    try:
        _check_place(folder, jobs)
        with TemporaryFile(dir=folder) as file:
            file.write(bytes(_TRIAL_BYTES))
    except OSError as error:
        raise _refusal(folder, error) from error


def _check_place(folder: Path, jobs: Path) -> None:
    if not os.path.isdir(folder):  # nor where it may not be looked up
        raise JobFileError(f"No second copy: the folder {folder} is not there.")
    if folder.resolve() == jobs.resolve():
        raise JobFileError(f"No second copy: {folder} is where the job itself is.")


def _refusal(folder: Path, error: OSError) -> JobFileError:
    return JobFileError(f"No second copy in {folder}: {error.strerror or error}.")


def _back_up(job: Path, folder: Path) -> Path:
    with JobReader(job) as ours:
        last = ours.last
        target, relation = _place(ours, job, folder)
    if relation in ("same", "longer"):
        return target
    part = folder / f".{job.name}.{uuid4().hex[:8]}.part"
    for left in folder.glob(f".{escape(job.name)}.*.part"):  # by a program that was ended in it
        _remove(left)
    try:
        copy_to(job, part)
        verdict = verify_job(part)
        if not verdict.is_whole or (verdict.rows, verdict.last_hash) != last:
            raise JobFileError(f"No second copy: what {folder} took is not what was written.")
        settle(part, target)
    finally:
        _remove(part)
    return target


def _place(ours: JobReader, job: Path, folder: Path) -> tuple[Path, Relation]:
    for target in _names(job, folder):
        relation = _relation(ours, target)
        if relation != "other":
            return target, relation
    raise JobFileError(f"No second copy: {folder} is full of other jobs named {job.name}.")


def _names(job: Path, folder: Path) -> Iterator[Path]:
    yield folder / job.name
    for number in range(2, MOST_NAMES):
        yield folder / f"{job.stem}-{number}{job.suffix}"


def _relation(ours: JobReader, target: Path) -> Relation:
    """Tell what lies at the target: nothing, or how its rows are to ours."""
    if not target.exists():
        return "none"
    try:
        with JobReader(target) as theirs:
            (rows, last_hash), (their_rows, their_hash) = ours.last, theirs.last
            if (rows, last_hash) == (their_rows, their_hash):
                return "same"
            if ours.hash_of(their_rows) == their_hash:
                return "shorter"
            return "longer" if theirs.hash_of(rows) == last_hash else "other"
    except (JobFileError, OSError):
        return "other"  # not ours to replace, whatever it is


def _home_of(folder: Path) -> Path:
    try:
        return folder.expanduser()
    except RuntimeError:  # ~somebody who is not known here
        return folder


def _remove(part: Path) -> None:
    try:
        part.unlink(missing_ok=True)
    except OSError:  # the stick is gone, and the part with it
        return
