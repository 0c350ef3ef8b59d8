"""The layout of a job file, versions 1 and 2, and the identity in its header.

One table, append-only: two triggers refuse any change, so a correction can only be a new row.
Any change of this layout, of a payload or of the set of kinds raises ``USER_VERSION``. Version 2
has the kinds of a second gauge; the layout is that of version 1. A job of version 1 that is gone
on with stays one until a row comes that only version 2 has (:func:`raise_version`).
"""

import sqlite3

from app.jobfile.errors import JobFileError

APPLICATION_ID = 0x536D646E
"""The ASCII letters ``Smdn``, at offset 68 of the file's header."""

USER_VERSION = 2
OLDEST_VERSION = 1
"""All versions from this one on are read and gone on with."""

EXTENSION = ".simmerdown"

_TABLE = """CREATE TABLE entry (
    sequence INTEGER PRIMARY KEY,
    kind TEXT NOT NULL,
    utc TEXT NOT NULL,
    payload BLOB NOT NULL,
    hash BLOB NOT NULL
) STRICT"""

_NO_UPDATE = """CREATE TRIGGER entry_is_never_updated BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'a job file is only ever added to'); END"""

_NO_DELETE = """CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'a job file is only ever added to'); END"""

EXPECTED = frozenset(
    {
        ("table", "entry", "entry", _TABLE),
        ("trigger", "entry_is_never_updated", "entry", _NO_UPDATE),
        ("trigger", "entry_is_never_deleted", "entry", _NO_DELETE),
    }
)


def create_schema(connection: sqlite3.Connection) -> None:
    """Lay out an empty file. Identity and tables come in one transaction."""
    connection.execute("BEGIN IMMEDIATE")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {USER_VERSION}")
    for statement in (_TABLE, _NO_UPDATE, _NO_DELETE):
        connection.execute(statement)
    connection.execute("COMMIT")


def version_of(connection: sqlite3.Connection) -> int:
    """Version that a file's header says."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def raise_version(connection: sqlite3.Connection, version: int) -> None:
    """Set the header's version, as part of the transaction that stands open.

    The header is not part of the chain of hashes; the ``format`` row written with it is.
    """
    connection.execute(f"PRAGMA user_version = {version:d}")


def check_schema(connection: sqlite3.Connection, name: str) -> None:
    """Refuse a file whose layout is not exactly ours.

    Raises
    ------
    JobFileError
        If a table, index, trigger or view is missing, changed or added.
    sqlite3.Error
        If the layout cannot be read.
    """
    rows = connection.execute(
        "SELECT type, name, tbl_name, sql FROM sqlite_schema LIMIT ?", (len(EXPECTED) + 1,)
    ).fetchall()
    found = frozenset(rows)
    if len(rows) == len(EXPECTED) and found == EXPECTED:
        return
    odd = sorted(f"{row[0]} {row[1]}"[:60] for row in found ^ EXPECTED)
    raise JobFileError(
        f"{name} is not laid out as a Simmerdown job (versions 1 to {USER_VERSION}): "
        f"{', '.join(odd)} is added, changed or missing."
    )
