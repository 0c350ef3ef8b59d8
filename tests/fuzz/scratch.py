"""A folder for the files that a fuzzer tries, in memory where the system has such a place."""

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

_MEMORY = Path("/dev/shm")


@cache
def folder() -> Path:
    """Give the folder; it goes with the process."""
    where = _MEMORY if _MEMORY.is_dir() else None
    made = Path(tempfile.mkdtemp(prefix="simmerdown-fuzz-", dir=where))
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    return made
