import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from analysis.sample import Mark
from app.jobfile.new import new_job
from app.jobfile.readings import encode_readings
from app.jobfile.rows import READINGS, encode_note
from app.jobfile.writer import JobWriter
from sensors.events import Reading

START = datetime(2030, 1, 31, 9, 5, 0, 0, UTC)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of one start, one field and nothing else."""
    return new_job(tmp_path, title="Invented van", now=lambda: START)


@pytest.fixture(scope="session")
def made_job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job of 402 rows on many pages: 200 blocks of 40 readings, a mark after each."""
    job = new_job(tmp_path_factory.mktemp("made"), title="Invented van", now=lambda: START)
    with JobWriter(job, now=lambda: START) as writer:
        for block in range(200):
            times = [block * 4 + step / 10 for step in range(40)]
            writer.append(READINGS, encode_readings(Reading(t, 100.0 + t) for t in times))
            writer.append(*encode_note(Mark(times[-1], "note", f"block {block}")))
        writer.commit()
    return job


@pytest.fixture
def long_job(made_job: Path, tmp_path: Path) -> Path:
    """A copy of that job to do anything with."""
    return Path(shutil.copy(made_job, tmp_path))


@pytest.fixture
def alter() -> Callable[..., None]:
    """Change a file behind Simmerdown's back, as another program would."""
    import sqlite3

    def change(path: Path, *statements: str) -> None:
        connection = sqlite3.connect(path, isolation_level=None)
        try:
            for statement in statements:
                connection.execute(statement)
        finally:
            connection.close()

    return change
