import math
import os
import shutil
import subprocess
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

import app.recorder
from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import Caution
from app.jobfile.errors import JobFileError, JobInUseError
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.rows import CautionChange, Edit, Gap, LinkChange, Rejections, Resumed
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from app.link import Ended, Failed
from app.recorder import STALLED_AFTER_S, Recorder
from sensors.events import Connected, Lost, Reading, Rejected
from tests.app.small_disk import mounted_disk

NEVER_S = 3600.0  # commits only when a test asks for one
START = datetime(2030, 1, 31, 9, 5, tzinfo=UTC)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = tmp_path / "jobs"
    return new_job(folder, title="Invented van", now=lambda: START)


@pytest.fixture(autouse=True)
def no_thread_survives() -> Iterator[None]:
    yield
    names = [thread.name for thread in threading.enumerate()]
    assert "simmerdown-recorder" not in names


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


def test_all_that_is_put_is_in_the_file_after_close(job: Path) -> None:
    recorder = Recorder(job, commit_every_s=NEVER_S)
    recorder.put(Connected(0.5, "gauge"))
    for number in range(100):
        recorder.put(Reading(number / 10, 100.0, 20.0))
    recorder.put(Rejected(9.95, b"\xff", "no number"))
    recorder.put(Mark(10.0, "valve-closed"))
    recorder.put(Edit("volume_l", 3.2))
    recorder.put(Caution("ice", 4.0, None, Reason("near-ice", {"pressure_pa": 300.0})))
    recorder.put(Lost(11.0, "unplugged"))
    recorder.put(Failed(12.0, "no such port"))
    recorder.put(Ended(13.0))
    assert recorder.close()
    with JobReader(job) as reader:
        assert len(reader.readings()) == 100
        notes = [note for _, note in reader.notes()][2:]
    assert notes == [
        LinkChange(0.5, "connected", "gauge"),
        Mark(10.0, "valve-closed"),
        Edit("volume_l", 3.2),
        CautionChange(4.0, "ice", True, "near-ice", {"pressure_pa": 300.0}),
        LinkChange(11.0, "lost", "unplugged"),
        LinkChange(12.0, "failed", "no such port"),
        LinkChange(13.0, "ended"),
        Rejections(9.95, 9.95, 1, ({"time_s": 9.95, "raw_hex": "ff", "why": "no number"},)),
    ]
    assert verify_job(job).is_whole


def test_it_commits_by_itself(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    is_committed = threading.Event()

    def commit(writer: JobWriter) -> None:
        plain_commit(writer)
        if writer.last[0] > 2:
            is_committed.set()

    plain_commit = JobWriter.commit
    monkeypatch.setattr(JobWriter, "commit", commit)
    with Recorder(job, commit_every_s=0.01) as recorder:
        recorder.put(Reading(1.0, 5.0))
        assert is_committed.wait(60)
        assert times(job) == [1.0]


def test_state_says_up_to_when_all_is_saved(job: Path) -> None:
    with Recorder(job, commit_every_s=NEVER_S) as recorder:
        before = recorder.state
        assert (before.is_saving, before.why, before.saved_until_s) == (True, None, None)
        recorder.put(Reading(1.0, 5.0))
        recorder.put(Reading(2.0, 5.0))
        assert recorder.flush()
        after = recorder.state
        assert (after.is_saving, after.waiting, after.saved_until_s) == (True, 0, 2.0)
        assert after.since_utc == before.since_utc
        assert after.last_hash == verify_job(job).last_hash


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
    is_held, go_on = threading.Event(), threading.Event()

    def slow(path: Path) -> JobWriter:
        is_held.set()
        go_on.wait(60)
        return JobWriter(path)

    with Recorder(
        job, commit_every_s=NEVER_S, open_writer=slow, steady=lambda: steady[0]
    ) as recorder:
        job.rename(job.with_suffix(".away"))
        recorder.put(Reading(1.0, 5.0))
        assert not recorder.flush()
        job.with_suffix(".away").rename(job)
        asker = threading.Thread(target=recorder.flush)
        asker.start()
        assert is_held.wait(60)
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
        go_on.set()
        asker.join()
        assert recorder.flush()
        assert recorder.state.is_saving
    assert len(times(job)) == 51


def test_a_queue_too_long_is_cut_and_the_gap_is_told(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(app.recorder, "MAX_QUEUED", 0)
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


def test_a_note_that_cannot_be_written_is_refused_at_once(job: Path) -> None:
    with Recorder(job, commit_every_s=NEVER_S) as recorder:
        with pytest.raises(JobFileError):
            recorder.put(Edit("volume_l", math.nan))
        recorder.put(Lost(math.nan, "a sensor gone mad"))
        recorder.put(Reading(math.nan, 5.0))
        assert recorder.flush()
    with JobReader(job) as reader:
        notes = [note for _, note in reader.notes("link", "rejected")]
    assert notes[0] == LinkChange(0.0, "lost", "a sensor gone mad")
    assert isinstance(notes[1], Rejections)


def test_two_recorders_on_one_job(job: Path) -> None:
    with Recorder(job), pytest.raises(JobInUseError, match="another Simmerdown"):
        Recorder(job)
    with Recorder(job):
        pass


def test_what_is_no_job_is_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "text"
    path.write_text("text")
    with pytest.raises(JobFileError):
        Recorder(path)
    assert os.listdir(tmp_path) == ["text"]


def test_a_job_gone_on_with_marks_the_gap_and_time_increases(job: Path) -> None:
    steady = [1000.0]
    with Recorder(job, now=lambda: START, steady=lambda: steady[0]) as recorder:
        for sensor_s in (77.0, 78.0):
            recorder.put(recorder.clock.to_job(Reading(sensor_s, 5.0)))
    later = START + timedelta(hours=1)
    steady[0] = 3.0
    with Recorder(job, now=lambda: later, steady=lambda: steady[0]) as recorder:
        for sensor_s in (5.0, 6.0):
            recorder.put(recorder.clock.to_job(Reading(sensor_s, 5.0)))
    assert times(job) == [0.0, 1.0, 3600.0, 3601.0]
    with JobReader(job) as reader:
        assert [note for _, note in reader.notes("resumed")] == [Resumed(3600.0, 1.0, False)]
    assert verify_job(job).is_whole


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
