"""A job left by a killed program."""

import os
import shutil
from pathlib import Path

import pytest

from app.jobfile.errors import JobFileError
from app.jobfile.reader import JobReader
from app.jobfile.share import share_job
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter


@pytest.fixture
def killed(job: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job with the journal of an unfinished commit beside it, as a kill leaves it."""
    folder = tmp_path_factory.mktemp("killed")
    with JobWriter(job) as writer:
        writer.connection.execute("PRAGMA cache_size = 2")  # spills, so that the file is touched
        writer.connection.execute("BEGIN IMMEDIATE")
        for sequence in range(3, 60):
            writer.connection.execute(
                "INSERT INTO entry VALUES (?, 'edit', '', zeroblob(900), zeroblob(32))", (sequence,)
            )
        for name in (job.name, job.name + "-journal"):
            shutil.copy(job.with_name(name), folder / name)
        writer.connection.execute("ROLLBACK")
    return folder / job.name


def test_a_killed_job_is_read_without_touching_it(killed: Path) -> None:
    journal = killed.with_name(killed.name + "-journal")
    before = [path.read_bytes() for path in (killed, journal)]
    for is_salvage in (False, True):
        with JobReader(killed, is_salvage=is_salvage) as reader:
            assert [row.sequence for row in reader.rows()] == [1, 2]
    assert verify_job(killed).is_whole
    share_job(killed, killed.with_name("copy"))
    assert [path.read_bytes() for path in (killed, journal)] == before


def test_a_killed_job_is_whole_again_when_it_is_gone_on_with(killed: Path) -> None:
    with JobWriter(killed) as writer:
        assert writer.last[0] == 2
    with JobReader(killed) as reader:
        assert [row.sequence for row in reader.rows()] == [1, 2]
    assert os.listdir(killed.parent) == [killed.name]


def test_a_journal_that_names_a_file_to_delete_is_not_played_back(killed: Path) -> None:
    journal = killed.with_name(killed.name + "-journal")
    with journal.open("ab") as file:
        file.write(bytes.fromhex("d9d505f920a163d7"))
    for opener in (JobReader, JobWriter):
        with pytest.raises(JobFileError, match="not written by Simmerdown"):
            opener(killed)
