"""What tests of the recorder share: a disk that fails as told, and what is in the file."""

from datetime import UTC, datetime
from pathlib import Path

from app.jobfile.reader import JobReader
from app.jobfile.writer import JobWriter

NEVER_S = 3600.0  # commits only when a test asks for one


START = datetime(2030, 1, 31, 9, 5, tzinfo=UTC)


class Disk:
    """Opens writers, or fails the way it is told to; a commit can be held up."""

    def __init__(self) -> None:
        self.trouble: Exception | None = None
        self.opened = 0

    def open(self, path: Path) -> JobWriter:
        self.opened += 1
        if self.trouble:
            raise self.trouble
        return JobWriter(path)


def times(job: Path) -> list[float]:
    with JobReader(job) as reader:
        return list(map(float, reader.readings().time_s))
