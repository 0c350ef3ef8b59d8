import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.jobfile.chain import row_hash
from app.jobfile.errors import JobFileError, JobInUseError
from app.jobfile.reader import JobReader
from app.jobfile.rows import Edit, encode_note
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from tests.app.small_disk import mounted_disk

NOTE = encode_note(Edit("volume_l", 3.2))


def write_until_it_fails(writer: JobWriter) -> None:
    for _ in range(1000):
        writer.append(*encode_note(Edit("text", "x" * 5000)))
        writer.commit()


def test_rows_are_chained_and_stamped(job: Path) -> None:
    with JobWriter(job) as writer:
        before = writer.last
        writer.append(*NOTE, utc="2030-01-31T10:00:00.000Z")
        writer.append(*NOTE)
        assert writer.last == before
        writer.commit()
        assert writer.last[0] == before[0] + 2
        assert writer.hash_of(writer.last[0]) == writer.last[1]
        assert writer.hash_of(99) is None
    with JobReader(job) as reader:
        rows = list(reader.rows())[2:]
    assert rows[0].utc == "2030-01-31T10:00:00.000Z"
    assert rows[0].hash == row_hash(before[1], 3, *(NOTE[0], rows[0].utc, NOTE[1]))
    assert verify_job(job).is_whole


def test_rows_not_committed_are_not_there(job: Path) -> None:
    with JobWriter(job) as writer:
        writer.append(*NOTE)
    with JobReader(job) as reader:
        assert reader.last[0] == 2


def test_nothing_is_left_beside_the_job(job: Path) -> None:
    with JobWriter(job) as writer:
        writer.append(*NOTE)
        writer.commit()
    writer.close()  # twice does no harm
    assert os.listdir(job.parent) == [job.name]


def test_what_is_written_cannot_be_altered(job: Path) -> None:
    with JobWriter(job) as writer:
        for statement in ("UPDATE entry SET utc = ''", "DELETE FROM entry"):
            with pytest.raises(sqlite3.IntegrityError, match="only ever added to"):
                writer.connection.execute(statement)


def test_every_commit_is_durable(job: Path) -> None:
    with JobWriter(job) as writer:
        modes = [
            writer.connection.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous", "busy_timeout", "trusted_schema")
        ]
    assert modes == ["truncate", 2, 5000, 0]


def test_a_second_writer_gets_one_clear_sentence(job: Path) -> None:
    with JobWriter(job), pytest.raises(JobInUseError, match="another Simmerdown"):
        JobWriter(job)
    with JobWriter(job):
        pass


def test_a_second_program_gets_one_clear_sentence(job: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from app.jobfile.writer import JobWriter\n"
        "from app.jobfile.errors import JobInUseError\n"
        "try:\n    JobWriter(Path(sys.argv[1])).close(); print('taken')\n"
        "except JobInUseError: print('in use')\n"
    )
    command = [sys.executable, "-c", script, str(job)]
    root = Path(__file__).parents[3]
    with JobWriter(job):
        done = subprocess.run(command, cwd=root, capture_output=True, text=True, check=True)
        assert done.stdout == "in use\n"
    done = subprocess.run(command, cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout == "taken\n"


def test_a_lock_left_by_a_killed_program_does_not_matter(job: Path) -> None:
    job.with_name(job.name + ".lock").touch()
    JobWriter(job).close()


def test_a_job_moved_away_is_not_written_into_the_void(job: Path) -> None:
    with JobWriter(job) as writer:
        writer.append(*NOTE)
        job.rename(job.with_name("elsewhere.simmerdown"))
        with pytest.raises(JobFileError, match="moved or removed"):
            writer.commit()


def test_a_folder_that_is_gone(job: Path) -> None:
    with JobWriter(job) as writer:
        writer.append(*NOTE)
        shutil.rmtree(job.parent)
        with pytest.raises(JobFileError, match="cannot be written"):
            writer.commit()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 256 KiB of its own."""
    with mounted_disk(tmp_path / "disk", kib=256) as disk:
        yield disk


def test_a_full_disk_keeps_what_was_written_and_takes_the_rest_later(
    small_disk: Path, job: Path
) -> None:
    path = small_disk / job.name
    shutil.copy(job, path)
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(160 << 10))
    with JobWriter(path) as writer:
        with pytest.raises(JobFileError, match="disk is full"):
            write_until_it_fails(writer)
        rows = writer.last[0]
        assert rows > 5
        assert verify_job(path).rows == rows
        ballast.unlink()
        writer.commit()
        assert writer.last[0] == rows + 1
    assert verify_job(path).is_whole


def test_a_limit_on_the_file_keeps_what_was_written(job: Path) -> None:
    resource = pytest.importorskip("resource")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    with JobWriter(job) as writer:
        try:
            resource.setrlimit(resource.RLIMIT_FSIZE, (64 << 10, hard))
            with pytest.raises(JobFileError, match="cannot be written"):
                write_until_it_fails(writer)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        rows = writer.last[0]
        assert rows > 5
        writer.commit()
        assert writer.last[0] == rows + 1
    assert verify_job(job).is_whole


def test_a_read_only_disk(small_disk: Path, job: Path) -> None:
    path = small_disk / job.name
    shutil.copy(job, path)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    with pytest.raises(JobFileError, match="cannot be written"):
        JobWriter(path)
    assert verify_job(path).is_whole  # reading it is no trouble


@pytest.mark.parametrize("at", [100, 8192])
def test_a_damaged_job_is_not_added_to_and_is_let_go(long_job: Path, at: int) -> None:
    data = bytearray(long_job.read_bytes())
    data[at : at + 2000] = bytes(2000)
    long_job.write_bytes(data)
    for _ in range(2):
        with pytest.raises(JobFileError, match="damaged"):
            JobWriter(long_job)
    assert os.listdir(long_job.parent) == [long_job.name]


def test_a_file_that_another_program_holds(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.jobfile.opening.BUSY_TIMEOUT_S", 0.0)
    holder = sqlite3.connect(job, isolation_level=None)
    with JobWriter(job) as writer:
        writer.append(*NOTE)
        writer.connection.execute("PRAGMA busy_timeout = 0")
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(JobFileError, match="another program holds it"):
            writer.commit()
        holder.execute("COMMIT")
        writer.commit()
        assert writer.last[0] == 3
    holder.close()


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder(job: Path) -> None:
    job.parent.chmod(0o500)
    try:
        with pytest.raises(JobFileError, match="cannot be written"):
            JobWriter(job)
    finally:
        job.parent.chmod(0o700)
