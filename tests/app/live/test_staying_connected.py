"""Sleep, a clock set anew, and another gauge in mid-run, through link, record and analysis."""

import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from analysis.evacuation import Evacuation
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.rows import Gap
from app.jobfile.verify import verify_job
from app.live.recorder import Recorder
from app.live.run import Run, Step
from sensors.events import Connected, Emit, Reading
from tests.app.gauge.test_link import Scripted

WAIT_S = 20.0
NEVER = threading.Event()


class Told(Scripted):
    """Emits what it is given, then waits to be stopped."""

    def __init__(self, name: str, events: list[Connected | Reading]) -> None:
        super().__init__(name, goes_on=True)
        self._events = events

    async def run(self, emit: Emit) -> None:
        for event in self._events:
            emit(event)
        self.readings = 0
        await super().run(lambda event: None)


class Laptop:
    """Both clocks of a computer: the steady one counts through sleep, the wall clock is set."""

    def __init__(self) -> None:
        self.steady_s = 5000.0
        self.utc = datetime(2030, 1, 31, 9, 0, tzinfo=UTC)

    def now(self) -> datetime:
        return self.utc

    def steady(self) -> float:
        return self.steady_s


@pytest.fixture
def laptop() -> Laptop:
    return Laptop()


@pytest.fixture
def run(tmp_path: Path, laptop: Laptop, monkeypatch: pytest.MonkeyPatch) -> Run:
    def recorder(path: Path) -> Recorder:
        return Recorder(path, now=laptop.now, steady=laptop.steady)

    monkeypatch.setattr("app.live.run.Recorder", recorder)
    path = new_job(tmp_path, name="van.simmerdown", now=laptop.now)
    return Run(path, Evacuation())


def steps_until(run: Run, enough: Callable[[list[Step]], bool]) -> list[Step]:
    """Drain until enough came, as the window does: again and again."""
    steps: list[Step] = []
    ends_s = time.monotonic() + WAIT_S
    while not enough(steps):
        assert time.monotonic() < ends_s
        steps += list(run.drain())
        NEVER.wait(0.002)
    return steps


def readings(steps: list[Step]) -> list[Reading]:
    return [step.event for step in steps if isinstance(step.event, Reading)]


def falling(from_s: float, count: int, every_s: float = 0.1) -> list[Connected | Reading]:
    start: list[Connected | Reading] = [Connected(from_s, "gauge")]
    return start + [Reading(from_s + n * every_s, 500.0 - 0.1 * n) for n in range(count)]


def test_an_hour_of_sleep_is_a_marked_gap_whatever_the_wall_clock_did(
    run: Run, laptop: Laptop
) -> None:
    before, after = falling(5000.0, 300), falling(5030.0 + 3600.0, 300)[1:]
    run.start(Told("serial:a", before + after))
    laptop.utc -= timedelta(hours=5)  # a clock set back in the meantime
    steps = steps_until(run, lambda steps: len(readings(steps)) == 600)
    times = [reading.time_s for reading in readings(steps)]
    assert times == pytest.approx(
        [n / 10 for n in range(300)] + [3630 + n / 10 for n in range(300)]
    )
    gaps = [step.snapshot.gap for step in steps if step.snapshot and step.snapshot.gap]
    assert gaps == [pytest.approx((29.9, 3630.0))]
    assert run.close()
    with JobReader(run.recorder.path) as reader:
        kept = [note for _, note in reader.notes("gap")]
        assert reader.readings().time_s.tolist() == pytest.approx(times)
    assert [(note.from_s, note.until_s) for note in kept if isinstance(note, Gap)] == gaps
    assert verify_job(run.recorder.path).is_whole


def test_another_gauge_goes_on_in_the_same_job_with_a_mark_and_the_gap(
    run: Run, laptop: Laptop
) -> None:
    run.start(Told("serial:a", falling(5000.0, 300)))
    steps_until(run, lambda steps: len(readings(steps)) == 300)
    laptop.steady_s += 90.0  # the time it took to plug the other one in
    run.start(Told("tcp:b:1", falling(7.0, 300)))
    steps = steps_until(run, lambda steps: len(readings(steps)) == 300)
    times = [reading.time_s for reading in readings(steps)]
    assert times == pytest.approx([90.0 + n / 10 for n in range(300)])
    assert run.quality.report.readings == 300  # what was known of the first says nothing of this
    assert run.close()
    with JobReader(run.recorder.path) as reader:
        notes = [note for _, note in reader.notes()]
        assert len(reader.readings().time_s) == 600
    texts = [getattr(note, "text", "") for note in notes]
    assert "another gauge: tcp:b:1" in texts
    assert [note.from_s for note in notes if isinstance(note, Gap)] == [pytest.approx(29.9)]
