import math
import os
import threading
from datetime import timedelta
from pathlib import Path

import pytest

from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import Caution
from app.gauge.link import Ended, Failed
from app.jobfile.errors import JobFileError, JobInUseError
from app.jobfile.reader import JobReader
from app.jobfile.rows import CautionChange, Edit, LinkChange, Rejections, Resumed
from app.jobfile.verify import verify_job
from app.jobfile.writer import JobWriter
from app.live.recorder import Recorder
from sensors.events import Connected, Lost, Reading, Rejected
from tests.app.recorded import NEVER_S, START, times

pytestmark = pytest.mark.usefixtures("no_recorder_survives")


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
