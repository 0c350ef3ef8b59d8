"""Opening a job's SQLite connection, hardened the same way for reading and for writing.

What is done follows "Defense Against Dark Arts", sqlite.org/security.html: a stranger's file is
opened read-only, its layout is compared with ours, and nothing it could carry (functions in the
layout, virtual tables, oversized values) is trusted. A journal beside a stranger's file is never
played back in place: that would write.
"""

import shutil
import sqlite3
from pathlib import Path
from tempfile import TemporaryDirectory

from app.jobfile.errors import SQLITE_ERRORS
from app.jobfile.header import check_header, check_journal, journal_of

BUSY_TIMEOUT_S = 5.0
MAX_VALUE_BYTES = 1 << 20
"""Longest value in a file: 1 MiB, eight of the longest blocks written."""

_LIMITS = {
    sqlite3.SQLITE_LIMIT_LENGTH: MAX_VALUE_BYTES,
    sqlite3.SQLITE_LIMIT_SQL_LENGTH: 10_000,
    sqlite3.SQLITE_LIMIT_COLUMN: 20,
    sqlite3.SQLITE_LIMIT_EXPR_DEPTH: 20,
    sqlite3.SQLITE_LIMIT_COMPOUND_SELECT: 3,
    sqlite3.SQLITE_LIMIT_VDBE_OP: 25_000,
    sqlite3.SQLITE_LIMIT_FUNCTION_ARG: 8,
    sqlite3.SQLITE_LIMIT_ATTACHED: 1,  # VACUUM INTO attaches its target
    sqlite3.SQLITE_LIMIT_LIKE_PATTERN_LENGTH: 50,
    sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER: 20,
    sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH: 5,
    sqlite3.SQLITE_LIMIT_WORKER_THREADS: 0,
}


def open_to_read(path: Path) -> sqlite3.Connection:
    """Open a job so that nothing can be written to it or beside it.

    When a killed program left its journal, the last unfinished commit has to be undone first:
    that is done on a copy, and the copy is what is read.

    Raises
    ------
    JobFileError
        If it is no job of ours.
    OSError
        If that copy cannot be made.
    """
    check_header(path)
    connection = _connect(path, "mode=ro")
    try:
        connection.execute("SELECT 1 FROM sqlite_schema LIMIT 1")
    except SQLITE_ERRORS as error:
        if getattr(error, "sqlite_errorname", "") == "SQLITE_READONLY_ROLLBACK":
            connection.close()
            return _rolled_back(path)
        # Anything else is told by the layout and page checks of whoever opens.
    return connection


def open_to_write(path: Path) -> sqlite3.Connection:
    """Open an existing job to append to it; an unfinished commit is undone from its journal.

    Raises
    ------
    JobFileError
        If it is no job of ours.
    sqlite3.Error
        If SQLite cannot open it.
    """
    check_header(path)
    check_journal(path)
    connection = _connect(path, "mode=rw")
    try:
        set_durable(connection)
    except SQLITE_ERRORS:
        connection.close()
        raise
    return connection


def set_durable(connection: sqlite3.Connection) -> None:
    """Make every commit reach the disk, with the main file complete by itself."""
    connection.execute("PRAGMA journal_mode = TRUNCATE").fetchone()
    connection.execute("PRAGMA synchronous = FULL")


def _rolled_back(path: Path) -> sqlite3.Connection:
    """Undo the unfinished commit of a killed program in a copy, held in memory."""
    check_journal(path)
    with TemporaryDirectory() as folder:
        copy = Path(folder) / "job"
        shutil.copyfile(path, copy)
        shutil.copyfile(journal_of(path), journal_of(copy))
        connection = _connect(copy, "mode=rw")
        try:
            data = connection.serialize()  # reading the file plays the journal back
        finally:
            connection.close()
    memory = _connect(None, "mode=memory")
    memory.deserialize(data)
    return memory


def _connect(path: Path | None, how: str) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{path.resolve().as_uri() if path else 'file:'}?{how}",
        uri=True,
        timeout=BUSY_TIMEOUT_S,
        isolation_level=None,  # transactions are ours to begin and end
        check_same_thread=False,  # opened by one thread, then used by one other alone
    )
    for limit, value in _LIMITS.items():
        connection.setlimit(limit, value)
    for pragma in ("trusted_schema = OFF", "cell_size_check = ON", "mmap_size = 0"):
        connection.execute(f"PRAGMA {pragma}").fetchall()
    return connection
