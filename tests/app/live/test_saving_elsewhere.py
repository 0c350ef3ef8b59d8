"""When the job's own place takes nothing any more: going on in another file, told what is lost."""

import shutil
from pathlib import Path

import pytest

from app.jobfile.errors import JobFileError
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from app.live.recorder import Recorder
from sensors.events import Reading
from tests.app.recorded import NEVER_S, START, silent_disk, times


class Full:
    """A disk that takes nothing more, until it is told to."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *jobs: Path) -> None:
        self.jobs = [path.resolve() for path in jobs]
        commit = JobWriter.commit

        def failing(writer: JobWriter) -> None:
            if writer.path in self.jobs:
                raise JobFileError(f"{writer.path.name} cannot be written: the disk is full.")
            commit(writer)

        monkeypatch.setattr(JobWriter, "commit", failing)


def test_on_a_full_disk_all_goes_on_in_a_copy(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "other" / "van.simmerdown"
    target.parent.mkdir()
    with Recorder(job, commit_every_s=NEVER_S) as recorder:
        recorder.put(Reading(1.0, 5.0))
        assert recorder.flush()
        before = job.read_bytes()
        Full(monkeypatch, job)
        recorder.put(Reading(2.0, 5.0))
        assert not recorder.flush()
        recorder.save_elsewhere(target)
        assert recorder.path == target.resolve()
        assert recorder.state.is_saving
        assert recorder.state.waiting == 0
        assert times(target) == [1.0, 2.0]
        recorder.put(Reading(3.0, 5.0))
        assert recorder.flush()
    assert times(target) == [1.0, 2.0, 3.0]
    assert verify_job(target).is_whole
    assert verify_job(target, verify_job(job).last_hash).named_at == verify_job(job).rows
    assert job.read_bytes() == before
    assert [path.name for path in job.parent.iterdir()] == [job.name]


def test_where_the_folder_is_gone_a_new_file_names_the_old_job(job: Path, tmp_path: Path) -> None:
    target = tmp_path / "van.simmerdown"
    with Recorder(job, commit_every_s=NEVER_S, now=lambda: START) as recorder:
        recorder.put(Reading(1.0, 5.0))
        assert recorder.flush()
        last = verify_job(job)
        with JobReader(job) as reader:
            start = reader.start
        shutil.rmtree(job.parent)
        recorder.put(Reading(2.0, 5.0))
        assert not recorder.flush()
        recorder.save_elsewhere(target)
    assert times(target) == [2.0]
    assert verify_job(target).is_whole
    with JobReader(target) as reader:
        assert reader.start == start  # times go on from the same zero
        assert reader.fields()["continues"] == {
            **{"job": job.name, "rows": last.rows, "last_hash": last.last_hash.hex()}
        }


def test_a_place_that_takes_nothing_either_changes_nothing(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "van.simmerdown"
    with Recorder(job, commit_every_s=NEVER_S) as recorder:
        full = Full(monkeypatch, job, target)
        recorder.put(Reading(2.0, 5.0))
        assert not recorder.flush()
        with pytest.raises(JobFileError, match="the disk is full"):
            recorder.save_elsewhere(target)
        assert not target.exists()
        with pytest.raises(JobFileError, match=r"No new job|cannot be copied"):
            recorder.save_elsewhere(Path("/proc/nowhere/van.simmerdown"))
        taken = new_job(tmp_path, name="taken.simmerdown")
        with pytest.raises(JobFileError, match="exists already"):
            recorder.save_elsewhere(taken)
        assert recorder.path == job.resolve()
        assert recorder.state.waiting == 1
        full.jobs.clear()
        assert recorder.flush()
    assert times(job) == [2.0]
    assert len(times(taken)) == 0


def test_a_closed_recorder_says_how_much_is_lost(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    recorder = Recorder(job, commit_every_s=NEVER_S)
    Full(monkeypatch, job)
    for second in range(7):
        recorder.put(Reading(float(second), 5.0))
    assert not recorder.close()
    assert recorder.state.waiting == 7
    assert "the disk is full" in (recorder.state.why or "")


def test_a_move_that_was_given_up_does_not_happen_later(job: Path, tmp_path: Path) -> None:
    target = tmp_path / "van.simmerdown"
    with silent_disk(job) as (recorder, answer):
        with pytest.raises(JobFileError, match="has not answered"):
            recorder.save_elsewhere(target, within_s=0.01)
        answer()
        assert recorder.flush()
        assert recorder.path == job.resolve()
    assert not target.exists()
    assert times(job) == [1.0]


def test_a_place_that_cannot_be_looked_up_ends_no_recording(job: Path, tmp_path: Path) -> None:
    with Recorder(job, commit_every_s=NEVER_S) as recorder:
        recorder.put(Reading(1.0, 5.0))
        for name in ("a" * 300, "a" * 240):  # too long a name, too long for a passing one
            with pytest.raises(JobFileError, match="File name too long"):
                recorder.save_elsewhere(tmp_path / f"{name}.simmerdown", within_s=5.0)
        assert recorder.flush()
    assert times(job) == [1.0]
