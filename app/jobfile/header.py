"""What the first bytes of a file say, read without SQLite: whether it is a job of ours at all.

Offsets: "Database File Format", section 1.3, sqlite.org/fileformat2.html.
"""

import stat
from pathlib import Path

from app.jobfile.errors import JobDamagedError, JobFileError
from app.jobfile.schema import APPLICATION_ID, OLDEST_VERSION, USER_VERSION

MAX_FILE_BYTES = 1 << 30
"""Largest file opened: 1 GiB, some 39 days of readings at 10 a second."""

_HEADER_BYTES = 100
SQLITE_MAGIC = b"SQLite format 3\0"
_SUPER_JOURNAL_MAGIC = bytes.fromhex("d9d505f920a163d7")


def check_header(path: Path) -> None:
    """Refuse what is no Simmerdown job before SQLite touches it.

    Raises
    ------
    JobFileError
        If it is missing, no plain file, too large, or not ours.
    JobDamagedError
        If it is shorter than the shortest job.
    """
    header, size = _first_bytes(path)
    if size > MAX_FILE_BYTES:
        raise JobFileError(f"{path.name} is larger than {MAX_FILE_BYTES >> 20} MiB: no job is.")
    if size == 0:
        raise JobFileError(f"{path.name} is empty: a Simmerdown job was expected.")
    if not header.startswith(SQLITE_MAGIC):
        raise JobFileError(f"{path.name} is no Simmerdown job: it is some other kind of file.")
    if len(header) < _HEADER_BYTES:
        raise JobDamagedError(f"{path.name} is cut off after {size} bytes.")
    if int.from_bytes(header[68:72], "big") != APPLICATION_ID:
        raise JobFileError(f"{path.name} is an SQLite file, but no Simmerdown job.")
    version = int.from_bytes(header[60:64], "big")
    if version > USER_VERSION:
        raise JobFileError(
            f"{path.name} was made by a newer Simmerdown (format {version}, this one reads "
            f"{USER_VERSION}): update to open it."
        )
    is_ours = version >= OLDEST_VERSION and header[18:20] == b"\1\1"
    if not is_ours or header[56:60] != b"\0\0\0\1":
        raise JobFileError(f"{path.name} was changed by another program: its header is not ours.")


def journal_of(path: Path) -> Path:
    """Where SQLite keeps what it needs to undo an unfinished commit."""
    return path.with_name(path.name + "-journal")


def check_journal(path: Path) -> None:
    """Refuse a left-over journal that names a further file.

    SQLite would delete that file while it rolls the journal back; ours never name one.
    """
    journal = journal_of(path)
    try:
        with journal.open("rb") as file:
            file.seek(0, 2)
            file.seek(max(0, file.tell() - len(_SUPER_JOURNAL_MAGIC)))
            end = file.read()
    except OSError:
        return
    if end == _SUPER_JOURNAL_MAGIC:
        raise JobFileError(f"{journal.name} was not written by Simmerdown: remove it to go on.")


def _first_bytes(path: Path) -> tuple[bytes, int]:
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise JobFileError(f"{path} is no file: a Simmerdown job was expected.")
        with path.open("rb") as file:
            return file.read(_HEADER_BYTES), found.st_size
    except FileNotFoundError:
        raise JobFileError(f"{path} does not exist.") from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise JobFileError(f"{path} cannot be read: {why}.") from error
