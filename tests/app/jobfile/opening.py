"""Ways to open a job and to spoil it."""

from collections.abc import Callable
from pathlib import Path

from app.jobfile.reader import JobReader

Alter = Callable[..., None]


def open_and_close(path: Path) -> None:
    JobReader(path).close()


def overwrite(path: Path, at: int, data: bytes) -> None:
    with path.open("rb+") as file:
        file.seek(at)
        file.write(data)
