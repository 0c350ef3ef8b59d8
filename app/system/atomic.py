"""Writing a file so that at every moment either the old or the new one is there, whole."""

import os
import tempfile
from contextlib import suppress
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
    descriptor, part = tempfile.mkstemp(dir=target.parent, prefix=target.name, suffix=".new")
    try:
        with open(descriptor, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        settle(Path(part), target)
    except BaseException:
        with suppress(OSError):
            os.remove(part)
        raise


def settle(part: Path, target: Path) -> None:
    """Give a finished file its name, after its bytes have reached the disk.

    Without that a power cut may leave an empty file.

    Raises
    ------
    OSError
        If the disk does not take it; what had the name is then untouched.
    """
    with part.open("rb+") as file:
        os.fsync(file.fileno())
    part.replace(target)
    with suppress(OSError):  # not every system, and not every disk, lets a folder be synced
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
