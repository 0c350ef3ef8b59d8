"""Appending rows to a job: one writer at a time, all of a commit or nothing."""

import sqlite3
from pathlib import Path

from app import __version__
from app.jobfile.chain import FIRST, row_hash
from app.jobfile.errors import SQLITE_ERRORS, STILL_READ, JobDamagedError, JobFileError
from app.jobfile.lock import JobLock
from app.jobfile.opening import open_to_write
from app.jobfile.rows import FormatChange, encode_note, version_needed
from app.jobfile.schema import check_schema, raise_version, version_of
from app.jobfile.utc import UtcNow, utc_now, utc_text

_INSERT = "INSERT INTO entry (sequence, kind, utc, payload, hash) VALUES (?, ?, ?, ?, ?)"
_LAST = "SELECT sequence, hash FROM entry ORDER BY sequence DESC LIMIT 1"


class JobWriter:
    """Append rows to an existing job.

    Rows wait in memory from :meth:`append` to :meth:`commit`; a commit that fails leaves the file
    as it was and the rows waiting. Use from one thread.

    Parameters
    ----------
    path
        A job made by :func:`app.jobfile.new.new_job`.
    now
        The clock that stamps the rows.

    Raises
    ------
    JobInUseError
        If another program writes to it.
    JobFileError
        If it is no job of ours, is damaged, or cannot be written.
    """

    def __init__(self, path: Path, *, now: UtcNow = utc_now) -> None:
        self.path = path.resolve()
        self._now = now
        self._waiting: list[tuple[str, str, bytes]] = []
        self._lock = JobLock(self.path)
        try:
            self._connection = self._open()
        except BaseException:
            self._lock.release()
            raise

    def __enter__(self) -> "JobWriter":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def last(self) -> tuple[int, bytes]:
        """Sequence and hash of the last row committed."""
        return self._last

    @property
    def connection(self) -> sqlite3.Connection:
        """The open connection, for reading back from the thread that writes."""
        return self._connection

    def hash_of(self, sequence: int) -> bytes | None:
        """Hash of a committed row, or ``None`` when there is none."""
        found = self._connection.execute("SELECT hash FROM entry WHERE sequence = ?", (sequence,))
        row = found.fetchone()
        return bytes(row[0]) if row else None

    def append(self, kind: str, payload: bytes, *, utc: str | None = None) -> None:
        """Put a row in line for the next commit, stamped now unless ``utc`` is given."""
        self._waiting.append((kind, utc or utc_text(self._now()), payload))

    def commit(self) -> None:
        """Write all waiting rows in one transaction that has reached the disk on return.

        Raises
        ------
        JobFileError
            If the disk does not take them; they keep waiting.
        """
        if not self._waiting:
            return
        try:
            self._connection.execute("BEGIN IMMEDIATE")
            last = _last_row(self._connection)
            rows = _chained(last, [*self._raised_version(), *self._waiting])
            self._connection.executemany(_INSERT, rows)
            self._connection.execute("COMMIT")
        except SQLITE_ERRORS as error:
            self._undo()
            raise JobFileError(f"{self.path.name} cannot be written: {_why(error)}.") from error
        self._last = (rows[-1][0], rows[-1][4])
        self._waiting.clear()

    def close(self) -> None:
        """Let go of the file, tidy the journal away. Rows not committed are lost. Safe twice."""
        try:
            # Leaves no empty journal beside the job; the next writer sets TRUNCATE again.
            self._connection.execute("PRAGMA journal_mode = DELETE").fetchone()
        except SQLITE_ERRORS:
            pass  # closed already, or the disk is gone: an empty journal does no harm
        self._connection.close()
        self._lock.release()

    def _open(self) -> sqlite3.Connection:
        try:
            connection = open_to_write(self.path)
        except SQLITE_ERRORS as error:
            raise _opening_error(self.path, error) from error
        try:
            check_schema(connection, self.path.name)
            problem = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
            if problem != "ok":
                raise JobDamagedError(f"{self.path.name} is damaged: {problem[:100]}. {STILL_READ}")
            self._last = _last_row(connection)
        except SQLITE_ERRORS as error:
            connection.close()
            raise _opening_error(self.path, error) from error
        except JobFileError:
            connection.close()
            raise
        return connection

    def _raised_version(self) -> list[tuple[str, str, bytes]]:
        """Raise the file's version where a waiting row needs it; give the row that says so.

        Both are in the transaction that brings the waiting row, so the file is at every moment
        either an older version's or a newer one's whole.
        """
        needed = max(version_needed(kind) for kind, _, _ in self._waiting)
        if needed <= version_of(self._connection):
            return []
        raise_version(self._connection, needed)
        kind, payload = encode_note(FormatChange(needed, f"simmerdown {__version__}"))
        return [(kind, utc_text(self._now()), payload)]

    def _undo(self) -> None:
        try:
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")
        except SQLITE_ERRORS:
            pass  # SQLite undoes it from the journal when the file is opened next


def _last_row(connection: sqlite3.Connection) -> tuple[int, bytes]:
    return connection.execute(_LAST).fetchone() or (0, FIRST)


def _chained(
    last: tuple[int, bytes], waiting: list[tuple[str, str, bytes]]
) -> list[tuple[int, str, str, bytes, bytes]]:
    sequence, previous = last
    rows = []
    for kind, utc, payload in waiting:
        sequence += 1
        previous = row_hash(previous, sequence, kind, utc, payload)
        rows.append((sequence, kind, utc, payload, previous))
    return rows


_PLAIN_WORDS = {
    "SQLITE_FULL": "the disk is full",
    "SQLITE_READONLY_DBMOVED": "the file was moved or removed",
    "SQLITE_CANTOPEN": "the folder is gone or does not allow it",
    "SQLITE_READONLY": "it is read-only",
    "SQLITE_BUSY": "another program holds it",
    "SQLITE_IOERR": "the disk does not answer properly",
}


def _why(error: Exception) -> str:
    name = getattr(error, "sqlite_errorname", "")
    while name:
        if name in _PLAIN_WORDS:
            return _PLAIN_WORDS[name]
        name = name.rpartition("_")[0]
    return str(error)


def _opening_error(path: Path, error: Exception) -> JobFileError:
    name = getattr(error, "sqlite_errorname", "")
    if not name or name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return JobDamagedError(
            f"{path.name} is damaged and cannot be added to: {error}. {STILL_READ}"
        )
    return JobFileError(f"{path.name} cannot be written: {_why(error)}.")
