"""Writing a small file so that at every moment either the old or the new one is there, whole."""

import contextlib
import os
import tempfile
from pathlib import Path


def write_atomically(path: Path, text: str) -> None:
    """Replace ``path`` by ``text`` (UTF-8). Makes the folder; follows a symbolic link.

    Raises
    ------
    OSError
        If it cannot be written; the old file is then untouched.
    """
    target = path.resolve()
    target.parent.mkdir(parents=True, exist_ok=True)
    descriptor, temporary = tempfile.mkstemp(dir=target.parent, prefix=target.name, suffix=".new")
    try:
        with open(descriptor, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())  # without it a power cut may leave an empty file
        os.replace(temporary, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.remove(temporary)
        raise
    _sync_folder(target.parent)


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system lets a folder be synced."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
