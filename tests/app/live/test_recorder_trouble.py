"""The recorder beside a disk that fails, is full or does not answer."""

import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

import app.live.recorder
from analysis.sample import Mark
from app.jobfile.errors import JobFileError
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.rows import Gap
from app.jobfile.verify import verify_job
from app.live.recorder import STALLED_AFTER_S, Recorder
from sensors.events import Reading
from tests.app.recorded import NEVER_S, START, Disk, silent_disk, times
from tests.app.small_disk import mounted_disk

pytestmark = pytest.mark.usefixtures("no_recorder_survives")


def test_trouble_keeps_items_and_they_are_written_when_it_ends(job: Path) -> None:
    disk = Disk()
    moments = iter(START + timedelta(seconds=second) for second in range(1000))
    with Recorder(
        job, commit_every_s=NEVER_S, open_writer=disk.open, now=lambda: next(moments)
    ) as recorder:
        recorder.put(Reading(1.0, 5.0))
        assert recorder.flush()
        since_utc = recorder.state.since_utc
        away = job.parent.rename(job.parent.with_name("unplugged"))
        disk.trouble = JobFileError("The stick is gone.")
        recorder.put(Reading(2.0, 5.0))
        recorder.put(Mark(2.5, "heat"))
        assert not recorder.flush()
        assert not recorder.flush()
        state = recorder.state
        assert (state.is_saving, state.why, state.waiting) == (False, "The stick is gone.", 2)
        assert state.saved_until_s == 1.0
        assert state.since_utc > since_utc
        away.rename(job.parent)
        disk.trouble = None
        recorder.put(Reading(3.0, 5.0))
        assert recorder.flush()
        assert recorder.state.is_saving
        assert recorder.state.saved_until_s == 3.0
    assert times(job) == [1.0, 2.0, 3.0]
    assert verify_job(job).is_whole


def test_whatever_goes_wrong_the_thread_lives_on(
    job: Path, caplog: pytest.LogCaptureFixture
) -> None:
    disk = Disk()
    with Recorder(job, commit_every_s=NEVER_S, open_writer=disk.open) as recorder:
        disk.trouble = ZeroDivisionError("a fault of ours")
        job.rename(job.with_suffix(".away"))
        recorder.put(Reading(1.0, 5.0))
        assert not recorder.flush()
        assert not recorder.flush()
        assert recorder.state.why == "a fault of ours"
        disk.trouble = None
        job.with_suffix(".away").rename(job)
        assert recorder.flush()
    assert "saving failed" in caplog.text
    assert times(job) == [1.0]


def test_a_disk_that_does_not_answer_is_told_and_nothing_blocks(job: Path) -> None:
    steady = [0.0]
    with silent_disk(job, lambda: steady[0]) as (recorder, answer):
        recorder._state = replace(recorder._state, is_saving=True)
        for number in range(50):
            recorder.put(Reading(2.0 + number, 5.0))
        assert recorder.state.is_saving
        steady[0] = STALLED_AFTER_S + 1
        state = recorder.state
        assert not state.is_saving
        assert state.why is not None
        assert "has not answered for 11 s" in state.why
        assert state.waiting == 51
        answer()
        assert recorder.flush()
        assert recorder.state.is_saving
    assert len(times(job)) == 51


def test_a_queue_too_long_is_cut_and_the_gap_is_told(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(app.live.recorder, "MAX_QUEUED", 0)
    with Recorder(job, commit_every_s=NEVER_S) as recorder:
        for number in range(5):
            recorder.put(Reading(float(number), 5.0))
        assert recorder.flush()
    with JobReader(job) as reader:
        (gap,) = [note for _, note in reader.notes("gap")]
    assert isinstance(gap, Gap)
    assert gap.why.startswith("5 readings or notes")


def test_another_job_under_the_same_name_is_left_alone(job: Path) -> None:
    with Recorder(job, commit_every_s=NEVER_S) as recorder:
        job.rename(job.with_suffix(".away"))
        new_job(job.parent).rename(job)
        before = job.read_bytes()
        recorder.put(Reading(1.0, 5.0))
        assert not recorder.flush()
        assert not recorder.flush()
        assert "Another job lies at" in (recorder.state.why or "")
        assert job.read_bytes() == before
        job.unlink()
        job.with_suffix(".away").rename(job)
        assert recorder.flush()
    assert times(job) == [1.0]


def test_close_says_when_something_could_not_be_saved(job: Path) -> None:
    recorder = Recorder(job, commit_every_s=NEVER_S)
    recorder.put(Reading(1.0, 5.0))
    shutil.rmtree(job.parent)
    assert not recorder.close()
    assert not recorder.close()
    assert recorder.state.waiting == 1


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 256 KiB of its own."""
    with mounted_disk(tmp_path / "disk", kib=256) as disk:
        yield disk


@pytest.mark.parametrize("trouble", ["full", "read-only"])
def test_a_real_disk_in_trouble(small_disk: Path, job: Path, trouble: str) -> None:
    path = Path(shutil.copy(job, small_disk))
    ballast = small_disk / "ballast"
    with Recorder(path, commit_every_s=NEVER_S) as recorder:
        recorder.put(Reading(0.0, 5.0))
        assert recorder.flush()
        if trouble == "full":
            with pytest.raises(OSError, match="No space"):
                ballast.write_bytes(bytes(1 << 20))
        else:
            # An open file forbids to remount: as when a stick is pulled, the file is let go first.
            path.rename(path.with_suffix(".away"))
            recorder.put(Reading(0.5, 5.0))
            assert not recorder.flush()
            path.with_suffix(".away").rename(path)
            subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
        for number in range(1, 1001):
            recorder.put(Reading(float(number), 5.0))
        assert not recorder.flush()
        state = recorder.state
        assert not state.is_saving
        assert state.waiting >= 1000
        assert state.why is not None
        assert state.why.startswith(path.name)
        assert times(path)[0] == 0.0  # what was saved can be read all the while
        if trouble == "full":
            ballast.unlink()
        else:
            subprocess.run(["mount", "-o", "remount,rw", str(small_disk)], check=True)
        assert recorder.flush()
    assert times(path)[-1000:] == [float(number) for number in range(1, 1001)]
    assert verify_job(path).is_whole
