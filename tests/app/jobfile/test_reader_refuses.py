"""What is no job, or another one than ours, is refused in a clear error."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from app.jobfile.errors import JobDamagedError, JobFileError
from app.jobfile.header import MAX_FILE_BYTES
from app.jobfile.reader import JobReader
from app.jobfile.writer import JobWriter
from tests.app.jobfile.opening import Alter, open_and_close


def test_no_file(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="does not exist"):
        open_and_close(tmp_path / "none.simmerdown")


def test_a_folder(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="no file"):
        open_and_close(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes are POSIX")
def test_a_pipe_does_not_hang(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(JobFileError, match="no file"):
        open_and_close(tmp_path / "pipe")


def test_an_empty_file(tmp_path: Path) -> None:
    path = tmp_path / "empty.simmerdown"
    path.touch()
    with pytest.raises(JobFileError, match="empty"):
        open_and_close(path)


def test_a_text_file(tmp_path: Path) -> None:
    path = tmp_path / "text.simmerdown"
    path.write_text("time_s,pressure_pa\n" * 500)
    with pytest.raises(JobFileError, match="other kind of file"):
        open_and_close(path)


def test_a_file_too_large_for_a_job(job: Path) -> None:
    os.truncate(job, MAX_FILE_BYTES + 1)  # sparse
    with pytest.raises(JobFileError, match="larger than 1024 MiB"):
        open_and_close(job)


def test_a_foreign_sqlite_file(tmp_path: Path, alter: Alter) -> None:
    path = tmp_path / "other.db"
    alter(path, "CREATE TABLE entry (sequence INTEGER PRIMARY KEY)")
    with pytest.raises(JobFileError, match="no Simmerdown job"):
        open_and_close(path)


def test_a_newer_format(job: Path, alter: Alter) -> None:
    alter(job, "PRAGMA user_version = 3")
    with pytest.raises(JobFileError, match="newer") as error:
        open_and_close(job)
    assert str(error.value) == (
        f"{job.name} was made by a newer Simmerdown (format 3, this one reads 2): update to open "
        "it."
    )


def test_a_write_ahead_log(job: Path, alter: Alter) -> None:
    alter(job, "PRAGMA journal_mode = WAL")
    with pytest.raises(JobFileError, match="changed by another program"):
        open_and_close(job)


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TRIGGER more AFTER INSERT ON entry BEGIN SELECT 1; END",
        "CREATE VIEW more AS SELECT load_extension('x')",
        "CREATE TABLE more (x)",
        "CREATE INDEX more ON entry (kind)",
        "CREATE VIRTUAL TABLE more USING fts5(x)",
        "ALTER TABLE entry ADD COLUMN more TEXT",
        "ALTER TABLE entry RENAME COLUMN kind TO sort",
        "DROP TRIGGER entry_is_never_updated",
    ],
)
@pytest.mark.parametrize("opener", [open_and_close, lambda path: JobWriter(path).close()])
def test_another_layout_is_refused(
    job: Path, alter: Alter, statement: str, opener: Callable[[Path], None]
) -> None:
    alter(job, statement)
    with pytest.raises(JobFileError, match="not laid out"):
        opener(job)
    assert [name for name in os.listdir(job.parent) if name.endswith(".lock")] == []


def test_a_view_in_place_of_the_table_is_refused(job: Path, alter: Alter) -> None:
    alter(
        job,
        "DROP TABLE entry",
        "CREATE VIEW entry AS SELECT 1 sequence, 'job' kind, '' utc, x'' payload, x'' hash",
    )
    with pytest.raises(JobFileError, match="not laid out"):
        open_and_close(job)


def test_an_oversized_value_is_refused(job: Path, alter: Alter) -> None:
    alter(job, "INSERT INTO entry VALUES (3, 'edit', '', zeroblob(3000000), zeroblob(32))")
    with pytest.raises(JobDamagedError):
        with JobReader(job) as reader:
            list(reader.rows())
