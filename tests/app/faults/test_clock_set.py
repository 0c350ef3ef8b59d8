"""The computer's wall clock is set, back and forth, while a job is recorded and between."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from analysis.sample import Mark
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.rows import Resumed
from app.jobfile.utc import utc_text
from app.jobfile.verify import verify_job
from app.live.recorder import Recorder
from app.report.record import read_record
from sensors.events import Reading

START = datetime(2030, 1, 31, 9, 5, tzinfo=UTC)
STEPS_S = (0.0, 3600.0, -7200.0, 0.25, -86400.0 * 400, 86400.0 * 400, 0.0)


class Clocks:
    """A steady clock, and a wall clock that is set ``ahead_s`` of it."""

    def __init__(self) -> None:
        self.steady_s = 50.0
        self.ahead_s = 0.0

    def steady(self) -> float:
        return self.steady_s

    def now(self) -> datetime:
        return START + timedelta(seconds=self.steady_s - 50.0 + self.ahead_s)


@pytest.fixture
def clocks() -> Clocks:
    return Clocks()


def record(job: Path, clocks: Clocks, steps_s: tuple[float, ...]) -> list[str]:
    """Record ten readings and a mark at each setting of the wall clock; give the marks' UTC."""
    stamped = []
    with Recorder(job, now=clocks.now, steady=clocks.steady, commit_every_s=1e6) as recorder:
        for ahead_s in steps_s:
            clocks.ahead_s = ahead_s
            for _ in range(10):
                clocks.steady_s += 1.0
                recorder.put(recorder.clock.to_job(Reading(clocks.steady_s, 40.0)))
            recorder.put(Mark(recorder.clock.now_s(), "note", f"{ahead_s:g}"))
            assert recorder.flush()
            stamped.append(utc_text(clocks.now()))
    return stamped


def test_job_time_goes_on_evenly_while_each_row_carries_the_clock(
    tmp_path: Path, clocks: Clocks
) -> None:
    job = new_job(tmp_path, now=clocks.now)
    stamped = record(job, clocks, STEPS_S)
    with JobReader(job) as reader:
        time_s = reader.readings().time_s
        marks = [(row.utc, note) for row, note in reader.notes("mark")]
        assert list(reader.notes("resumed")) == []
    assert np.array_equal(np.diff(time_s), np.ones(10 * len(STEPS_S) - 1))
    assert [utc for utc, _ in marks] == stamped
    assert stamped != sorted(stamped)  # the clock did go back
    assert verify_job(job).is_whole


@pytest.mark.parametrize(
    ("ahead_s", "is_clock_wrong"),
    [
        (3600.0, False),
        (-3600.0, True),  # now lies before the job's start
        (-30.0, True),  # ... before its last row
        (400 * 86400.0, True),  # no visit takes a year
        (-60 * 365 * 86400.0, True),
    ],
)
def test_a_job_gone_on_with_after_the_clock_was_set(
    tmp_path: Path, clocks: Clocks, ahead_s: float, is_clock_wrong: bool
) -> None:
    job = new_job(tmp_path, now=clocks.now)
    record(job, clocks, (0.0, 0.0, 0.0, 0.0))
    clocks.ahead_s = ahead_s
    record(job, clocks, (ahead_s,))
    with JobReader(job) as reader:
        time_s = reader.readings().time_s
        resumed = [note for _, note in reader.notes("resumed")]
    assert (np.diff(time_s) >= 0).all()
    last_s = time_s[39]
    expected_s = last_s if is_clock_wrong else ahead_s + 40.0
    assert resumed == [Resumed(expected_s, last_s, is_clock_wrong)]
    assert time_s[40] - expected_s == pytest.approx(1.0)
    assert verify_job(job).is_whole
    assert read_record(job).rows == verify_job(job).rows  # the record can still be printed


def test_a_job_begun_while_the_clock_stood_at_its_zero(tmp_path: Path, clocks: Clocks) -> None:
    clocks.ahead_s = -(START - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds()
    job = new_job(tmp_path, now=clocks.now)
    clocks.ahead_s = 0.0  # the network has put it right before the first reading
    record(job, clocks, (0.0,))
    record(job, clocks, (0.0,))
    with JobReader(job) as reader:
        assert reader.readings().time_s.max() < 60.0
    assert len(read_record(job).readings) == 20
