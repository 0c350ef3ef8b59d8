"""Reading a job, ours or a stranger's, whole or damaged. Nothing is ever written."""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from app.gauge.place import Place
from app.jobfile.chain import FIRST
from app.jobfile.errors import SQLITE_ERRORS, STILL_READ, JobDamagedError, JobFileError
from app.jobfile.opening import open_to_read
from app.jobfile.readings import Readings, decode_readings
from app.jobfile.rows import ALL_READINGS, READINGS_AT, Edit, JobStart, Note, decode_row
from app.jobfile.schema import check_schema, version_of

_CHUNK_ROWS = 64
"""Rows per query: between queries a slow reader holds no lock that the recorder would wait for."""

_COLUMNS = "SELECT sequence, kind, utc, payload, hash FROM entry"
_FORWARD = f"{_COLUMNS} WHERE sequence > ? ORDER BY sequence LIMIT ?"
_FROM_END = f"{_COLUMNS} WHERE sequence > ? AND sequence < ? ORDER BY sequence DESC LIMIT 1"
_NO_ROW = 1 << 62
_FORMS = (int, str, str, bytes, bytes)


class Row(NamedTuple):  # a dataclass takes three times as long to make, and a day has 86400
    """One row as it lies in the file."""

    sequence: int
    kind: str
    utc: str
    payload: bytes
    hash: bytes


class JobReader:
    """Open a job to read.

    Parameters
    ----------
    path
        The file.
    is_salvage
        Read what can be read of a damaged file.

    Attributes
    ----------
    damage
        Why rows could not be read, once :meth:`rows` came to a damaged place.

    Raises
    ------
    JobDamagedError
        If it is damaged (unless ``is_salvage``, and then only if nothing can be read).
    JobFileError
        If it cannot be opened or is no job of ours.
    """

    def __init__(self, path: Path, *, is_salvage: bool = False) -> None:
        self.path = path
        self.damage = ""
        self._is_salvage = is_salvage
        try:
            self._connection = open_to_read(path)
        except (*SQLITE_ERRORS, OSError) as error:
            raise JobFileError(f"{path.name} cannot be opened: {error}.") from error
        try:
            self._check()
        except BaseException:
            self._connection.close()
            raise

    def __enter__(self) -> "JobReader":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    @property
    def version(self) -> int:
        """Version of the job file."""
        return version_of(self._connection)

    @property
    def start(self) -> JobStart:
        """Row 1, with the job's UTC zero."""
        for row in self._forward(0):
            note = _decoded(row)
            if isinstance(note, JobStart):
                return note
            break
        raise JobDamagedError(f"{self.path.name} does not begin with the start of a job.")

    @property
    def last(self) -> tuple[int, bytes]:
        """Sequence and hash of the last row (0 and zeros when there is none)."""
        row = self._from_end(0, _NO_ROW)
        return (row.sequence, row.hash) if row else (0, FIRST)

    def hash_of(self, sequence: int) -> bytes | None:
        """Hash of a row, or ``None`` where there is none."""
        row = self._from_end(sequence - 1, sequence + 1)
        return row.hash if row else None

    def rows(self) -> Iterator[Row]:
        """Yield the rows in order, as they lie in the file.

        Raises
        ------
        JobDamagedError
            Where a row cannot be read. With ``is_salvage`` the rows behind the damage follow
            instead and :attr:`damage` is set.
        """
        last = 0
        try:
            for row in self._forward(0):
                last = row.sequence
                yield row
        except JobDamagedError as error:
            if not self._is_salvage:
                raise
            self.damage = str(error).rstrip(".")
            yield from reversed(self._tail(last))

    def notes(self, *kinds: str) -> Iterator[tuple[Row, Note]]:
        """Yield all rows but readings, decoded; only these kinds if any are named.

        Raises
        ------
        JobFileError
            If a payload is not what its kind has; the row is named. With ``is_salvage`` such a
            row is passed over.
        """
        for row in self.rows():
            if row.kind in ALL_READINGS or (kinds and row.kind not in kinds):
                continue
            try:
                note = _decoded(row)
            except JobFileError:
                if self._is_salvage:
                    continue
                raise
            if not isinstance(note, Readings):
                yield row, note

    def fields(self) -> dict[str, object]:
        """Return the job's fields as last edited."""
        return {note.key: note.value for _, note in self.notes("edit") if isinstance(note, Edit)}

    def readings(self, place: Place = "far") -> Readings:
        """Return all readings of one gauge as columns, as far as they are believable.

        Raises
        ------
        JobFileError
            If a block is not as it should be or time goes back; the row is named. With
            ``is_salvage`` such a block is passed over.
        """
        rows = [row for row in self.rows() if row.kind == READINGS_AT[place]]
        if not rows:
            nothing = np.empty(0)
            return Readings(nothing, nothing, nothing, nothing.astype(np.uint8))
        try:
            held = decode_readings(b"".join(row.payload for row in rows))
        except JobFileError:
            held = decode_readings(b"".join(self._good_blocks(rows)))
        return held.believable()

    def _good_blocks(self, rows: list[Row]) -> Iterator[bytes]:
        last_s = -np.inf
        for row in rows:
            try:
                block = _decoded(row)
                if isinstance(block, Readings):
                    if block.time_s[0] < last_s:
                        raise JobFileError(f"Row {row.sequence}: time goes back.")
                    last_s = block.time_s[-1]
                    yield row.payload
            except JobFileError:
                if not self._is_salvage:
                    raise

    def _check(self) -> None:
        """Compare the layout with ours, then let SQLite check every page."""
        name = self.path.name
        try:
            if self._is_salvage:
                # Lets SQLite open a file that is shorter than its header says (cut off in the
                # middle of a commit). Nothing can be written: the file is open read-only.
                self._connection.execute("PRAGMA writable_schema = ON")
            self._connection.execute("PRAGMA query_only = ON")
            check_schema(self._connection, name)
            if not self._is_salvage:
                problem = self._connection.execute("PRAGMA quick_check(1)").fetchone()[0]
                if problem != "ok":
                    raise JobDamagedError(f"{name} is damaged: {str(problem)[:100]}. {STILL_READ}")
        except SQLITE_ERRORS as error:
            if getattr(error, "sqlite_errorname", "").startswith(("SQLITE_BUSY", "SQLITE_CANT")):
                raise JobFileError(f"{name} cannot be opened now: {error}.") from error
            raise JobDamagedError(f"{name} is damaged: {error}. {STILL_READ}") from error

    def _forward(self, after: int) -> Iterator[Row]:
        limit = _CHUNK_ROWS
        while True:
            chunk: list[Row] = []
            trouble: JobDamagedError | None = None
            try:
                for values in self._connection.execute(_FORWARD, (after, limit)):
                    chunk.append(_row(values, after, _NO_ROW))
                    after = chunk[-1].sequence
            except (*SQLITE_ERRORS, JobDamagedError) as error:
                trouble = JobDamagedError(
                    f"{self.path.name} is damaged: the row after {after} cannot be read ({error})."
                )
            yield from chunk
            if trouble and limit == 1:
                raise trouble
            if trouble:
                # sqlite3 reads one row ahead, so that damage takes the sound row before it along:
                # one at a time there is nothing ahead.
                limit = 1
            elif len(chunk) < limit:
                return

    def _tail(self, after: int) -> list[Row]:
        """Rows behind a damaged place, last first, as far as they can be read."""
        tail: list[Row] = []
        before = _NO_ROW
        try:
            while row := self._from_end(after, before):
                tail.append(row)
                before = row.sequence
        except JobDamagedError:
            pass  # this is where the damage ends
        return tail

    def _from_end(self, after: int, before: int) -> Row | None:
        try:
            values = self._connection.execute(_FROM_END, (after, before)).fetchone()
            return _row(values, after, before) if values else None
        except SQLITE_ERRORS as error:
            raise JobDamagedError(f"{self.path.name} is damaged: {error}.") from error


def _row(values: tuple[object, ...], after: int, before: int) -> Row:
    """Check a row from SQLite; a damaged file's pages may lead in circles."""
    if tuple(map(type, values)) != _FORMS:
        raise JobDamagedError("a value has the wrong type")
    row = Row._make(values)
    if not after < row.sequence < before:
        raise JobDamagedError("rows are out of order")
    return row


def _decoded(row: Row) -> Note | Readings:
    try:
        return decode_row(row.kind, row.payload)
    except JobFileError as error:
        raise JobFileError(f"Row {row.sequence}: {error}") from error
