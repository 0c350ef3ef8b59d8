"""One writer at a time: a lock that the operating system lets go when the program dies.

The lock sits on a small file beside the job (``NAME.lock``), not on the job itself: SQLite locks
that one by its own rules, and closing another handle on it would drop them on POSIX.
"""

import os
import sys
from pathlib import Path

from app.jobfile.errors import JobFileError, JobInUseError

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class JobLock:
    """Hold the right to write to a job from construction to :meth:`release`.

    Raises
    ------
    JobInUseError
        If somebody else holds it.
    JobFileError
        If the folder does not let us.
    """

    def __init__(self, job: Path) -> None:
        self._path = job.with_name(job.name + ".lock")
        self._handle: int | None = None
        while self._handle is None:
            handle = self._open(job)
            try:
                _lock(handle)
            except OSError:
                os.close(handle)
                raise JobInUseError(
                    f"{job.name} is being recorded by another Simmerdown: "
                    "close it there first, or open the job to read."
                ) from None
            # The last holder may have removed the file between our opening and our locking it:
            # then we hold a lock on nothing that anybody else can see.
            if _is_same_file(handle, self._path):
                self._handle = handle
            else:
                os.close(handle)

    def _open(self, job: Path) -> int:
        try:
            return os.open(self._path, os.O_RDWR | os.O_CREAT, 0o666)
        except OSError as error:
            raise JobFileError(
                f"{job.name} cannot be written in {job.parent}: {error.strerror}."
            ) from error

    def release(self) -> None:
        """Let go. Safe to call twice."""
        if self._handle is None:
            return
        handle, self._handle = self._handle, None
        if sys.platform == "win32":  # an open file cannot be removed there
            os.close(handle)
            _remove(self._path)
        else:
            _remove(self._path)
            os.close(handle)


def _is_same_file(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except OSError:
        return False


def _remove(path: Path) -> None:
    try:
        path.unlink()
    except OSError:  # another program took it, or the folder is gone: nothing is left to do
        return
