"""What tests of the recorder share: a disk that fails as told, and what is in the file."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from app.jobfile.reader import JobReader
from app.jobfile.writer import JobWriter
from app.live.recorder import Recorder
from sensors.clock import now_s
from sensors.events import Reading

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


@contextmanager
def silent_disk(
    job: Path, steady: Callable[[], float] = now_s
) -> Iterator[tuple[Recorder, Callable[[], None]]]:
    """Give a recorder with one reading whose disk does not answer, and what makes it answer."""
    is_held, go_on = threading.Event(), threading.Event()

    def slow(path: Path) -> JobWriter:
        is_held.set()
        go_on.wait(60)
        return JobWriter(path)

    with Recorder(job, commit_every_s=NEVER_S, open_writer=slow, steady=steady) as recorder:
        job.rename(job.with_suffix(".away"))
        recorder.put(Reading(1.0, 5.0))
        assert not recorder.flush()
        job.with_suffix(".away").rename(job)
        asker = threading.Thread(target=recorder.flush)
        asker.start()
        assert is_held.wait(60)

        def answer() -> None:
            go_on.set()
            asker.join()

        yield recorder, answer
