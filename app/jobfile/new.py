"""Making a new job: a file that is there whole, with its first rows, or not at all."""

import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from pathlib import Path
from uuid import uuid4

from app import __version__
from app.jobfile.chain import FIRST, row_hash
from app.jobfile.errors import JobFileError, JobInUseError
from app.jobfile.lock import JobLock
from app.jobfile.opening import set_durable
from app.jobfile.rows import Edit, JobStart, Note, encode_note
from app.jobfile.schema import EXTENSION, create_schema
from app.jobfile.utc import UtcNow, utc_now, utc_text
from app.system.atomic import settle

_MAX_PER_MINUTE = 1000
_LONGEST_PATH = 500  # bytes; SQLite takes 512, with what it adds for its journal


def new_job(
    folder: Path,
    *,
    name: str = "",
    title: str = "",
    fields: Mapping[str, object] | None = None,
    start: JobStart | None = None,
    now: UtcNow = utc_now,
) -> Path:
    """Make a job with its first rows.

    Parameters
    ----------
    folder
        Made when missing.
    name
        A file name chosen by the user, used as it is or refused; without it the name is
        ``job-2030-01-31-0905.simmerdown``, from the local time, with ``-2`` when that is taken.
    title
        The job's title, kept as the field ``title``.
    fields
        Further fields known from the start (vehicle, volume, ...), kept as edits.
    start
        Row 1 of the job that this one goes on with; without it the job starts now.

    Raises
    ------
    JobFileError
        If the name is taken, or the folder cannot be made or written.
    """
    if name and Path(name).name != name:
        raise JobFileError(f"{name!r} is no file name: give the folder apart.")
    moment = now()
    begun = start or JobStart(uuid4().hex, utc_text(moment), f"simmerdown {__version__}")
    notes: list[Note] = [begun]
    if title:
        notes.append(Edit("title", title))
    notes.extend(Edit(key, value) for key, value in (fields or {}).items())
    part = folder / f".{uuid4().hex}.part"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _fill(part, notes, utc_text(moment))
        return _settle(part, folder, [name] if name else _names(moment))
    except (sqlite3.Error, OSError) as error:
        raise JobFileError(f"No new job can be made in {folder}: {_why(error, part)}.") from error
    finally:
        _remove(part)


def _why(error: sqlite3.Error | OSError, part: Path) -> str:
    if isinstance(error, FileExistsError | NotADirectoryError):
        return "it is no folder"
    if isinstance(error, OSError):
        return error.strerror or str(error)
    if len(os.fsencode(part.absolute())) > _LONGEST_PATH:
        return f"its path is longer than the {_LONGEST_PATH} bytes that a job can have"
    return "nothing can be written there" if "unable to open" in str(error) else str(error)


def _fill(part: Path, notes: list[Note], utc: str) -> None:
    connection = sqlite3.connect(part, isolation_level=None)
    try:
        set_durable(connection)
        create_schema(connection)
        previous = FIRST
        connection.execute("BEGIN IMMEDIATE")
        for sequence, note in enumerate(notes, start=1):
            kind, payload = encode_note(note)
            previous = row_hash(previous, sequence, kind, utc, payload)
            connection.execute(
                "INSERT INTO entry (sequence, kind, utc, payload, hash) VALUES (?, ?, ?, ?, ?)",
                (sequence, kind, utc, payload, previous),
            )
        connection.execute("COMMIT")
        connection.execute("PRAGMA journal_mode = DELETE").fetchone()
    finally:
        connection.close()


def _names(moment: datetime) -> Iterator[str]:
    stem = f"job-{moment.astimezone():%Y-%m-%d-%H%M}"
    yield stem + EXTENSION
    for number in range(2, _MAX_PER_MINUTE):
        yield f"{stem}-{number}{EXTENSION}"


def _settle(part: Path, folder: Path, names: Iterable[str]) -> Path:
    """Take the first free name. The lock keeps two programs from taking the same one."""
    for name in names:
        path = folder / name
        try:
            lock = JobLock(path.resolve())
        except JobInUseError:
            continue
        try:
            if not path.exists():
                settle(part, path)
                return path
        finally:
            lock.release()
    raise JobFileError(f"{name} exists already in {folder}: choose another name.")


def _remove(part: Path) -> None:
    for path in (part, part.with_name(part.name + "-journal")):
        if os.path.lexists(path):
            path.unlink()
