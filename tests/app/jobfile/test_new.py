import errno
import os
import stat
from datetime import UTC, datetime
from pathlib import Path

import pytest

from app.jobfile import new
from app.jobfile.errors import JobFileError
from app.jobfile.lock import JobLock
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.schema import APPLICATION_ID
from app.jobfile.verify import verify_job

MOMENT = datetime(2030, 1, 31, 9, 5, 7, 250_000, UTC)
LOCAL = f"{MOMENT.astimezone():%Y-%m-%d-%H%M}"


def test_a_new_job_has_its_start_and_its_fields(tmp_path: Path) -> None:
    path = new_job(
        tmp_path / "new" / "folder", title="Van", fields={"volume_l": 3.2}, now=lambda: MOMENT
    )
    with JobReader(path) as reader:
        assert reader.start.utc_start == "2030-01-31T09:05:07.250Z"
        assert reader.fields() == {"title": "Van", "volume_l": 3.2}
    assert verify_job(path).rows == 3
    assert os.listdir(path.parent) == [path.name]
    assert int.from_bytes(path.read_bytes()[68:72], "big") == APPLICATION_ID


def test_jobs_of_one_minute_get_numbers(tmp_path: Path) -> None:
    names = [new_job(tmp_path, now=lambda: MOMENT).name for _ in range(3)]
    assert names == [f"job-{LOCAL}{end}.simmerdown" for end in ("", "-2", "-3")]


def test_a_name_that_another_program_is_taking_is_passed_over(tmp_path: Path) -> None:
    lock = JobLock(tmp_path / f"job-{LOCAL}.simmerdown")
    try:
        assert new_job(tmp_path, now=lambda: MOMENT).name == f"job-{LOCAL}-2.simmerdown"
    finally:
        lock.release()


def test_a_name_of_ones_own(tmp_path: Path) -> None:
    path = new_job(tmp_path, name="grey van.simmerdown")
    assert path == tmp_path / "grey van.simmerdown"
    with pytest.raises(JobFileError, match="exists already"):
        new_job(tmp_path, name="grey van.simmerdown")
    with pytest.raises(JobFileError, match="no file name"):
        new_job(tmp_path, name="../van")
    assert os.listdir(tmp_path) == [path.name]


def test_a_job_that_cannot_be_finished_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(part: Path, target: Path) -> None:
        assert part.stat().st_size > 0
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(new, "settle", fail)
    with pytest.raises(JobFileError, match="No space left"):
        new_job(tmp_path)
    assert os.listdir(tmp_path) == []


def test_a_field_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="JSON"):
        new_job(tmp_path, fields={"volume_l": float("nan")})
    assert os.listdir(tmp_path) == []


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(JobFileError, match="No new job can be made"):
        new_job(tmp_path / "file")
    assert stat.S_ISREG((tmp_path / "file").stat().st_mode)


@pytest.mark.skipif(os.name == "nt", reason="a path may be shorter there")
def test_a_folder_too_deep_for_a_job_is_told_as_that(tmp_path: Path) -> None:
    deep = tmp_path.joinpath(*["Werkstatt K\u00e4fer" * 5] * 8)
    with pytest.raises(JobFileError, match="longer than the 500 bytes"):
        new_job(deep)
    assert not list(deep.iterdir())


def test_a_disk_that_syncs_no_folder_takes_jobs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sync = os.fsync

    def only_files(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, "Invalid argument")
        sync(handle)

    monkeypatch.setattr("os.fsync", only_files)
    assert verify_job(new_job(tmp_path)).is_whole
