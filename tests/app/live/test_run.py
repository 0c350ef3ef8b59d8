"""A run joins sensor, record and analysis, and outlives a fault of the analysis."""

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from analysis.evacuation import Evacuation
from analysis.sample import Mark, Sample, Silence
from analysis.snapshot import Snapshot
from app.gauge.link import Ended
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.live.run import Run, Step
from app.system.log import FaultReporter
from sensors.events import Reading
from sensors.sim.sensor import SimSensor


class FailsOn(Evacuation):
    """An analysis with a fault of ours, from one reading on or at one of them."""

    def __init__(self, is_faulty: Callable[[float], bool]) -> None:
        super().__init__()
        self._is_faulty = is_faulty

    def update(self, item: Sample | Mark | Silence) -> Snapshot:
        if self._is_faulty(item.time_s):
            raise ZeroDivisionError("made for this test")
        return super().update(item)


def played(run: Run) -> list[Step]:
    """Play a short simulated run to its end."""
    sensor = SimSensor("hold-held", speed=float("inf"), rate_hz=1.0)
    run.start(sensor)
    steps: list[Step] = []
    while not any(isinstance(step.event, Ended) for step in steps):
        steps += run.drain()
    return steps


@pytest.mark.parametrize("from_s", [0.0, 300.0])
def test_a_fault_of_the_analysis_is_told_once_and_recording_goes_on(
    from_s: float, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    monkeypatch.setattr(sys, "excepthook", FaultReporter(told.append).report)
    path = new_job(tmp_path)
    run = Run(path, FailsOn(lambda time_s: time_s >= from_s))
    try:
        steps = played(run)
    finally:
        assert run.close()
    read = [step for step in steps if isinstance(step.event, Reading)]
    assert len(read) > 1000
    assert len(told) == 1
    assert "ZeroDivisionError" in told[0]
    assert (read[-1].snapshot is None) == (from_s == 0.0)
    with JobReader(path) as job:
        assert len(job.readings()) == len(read)


def test_every_reading_is_recorded_once_and_analysed_in_order(tmp_path: Path) -> None:
    path = new_job(tmp_path)
    run = Run(path, Evacuation())
    try:
        steps = played(run)
        run.mark("note", "looked at the sight glass")
        steps += run.drain()
    finally:
        assert run.close()
    times = [step.event.time_s for step in steps if isinstance(step.event, Reading)]
    with JobReader(path) as job:
        assert job.readings().time_s.tolist() == times
        marks = [note for _, note in job.notes("mark")]
        assert {row.kind for row, _ in job.notes()} >= {"stage", "link", "mark", "edit"}
    assert [mark.text for mark in marks if isinstance(mark, Mark)] == ["looked at the sight glass"]
    assert times == sorted(times)


class Clock:
    """A clock that is moved by hand."""

    def __init__(self) -> None:
        self.at_s = 0.0

    def now_s(self) -> float:
        return self.at_s


def test_readings_that_come_while_a_mark_is_analysed_make_no_gap(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To judge a hold takes a tenth of a second: seven seconds of a simulation at speed 70."""
    clock = Clock()

    def comes(until_s: int) -> None:
        for at_s in range(int(clock.at_s) + 1, until_s + 1):
            run.link.events.put(Reading(float(at_s), 20.0))
        clock.at_s = until_s + 0.5

    class Slow(Evacuation):
        def update(self, item: Sample | Mark | Silence) -> Snapshot:
            snapshot = super().update(item)
            if isinstance(item, Mark):
                comes(127)
            return snapshot

    run = Run(new_job(tmp_path), Slow())
    monkeypatch.setattr(run.link, "clock", clock)
    try:
        comes(120)
        steps = list(run.drain())
        run.mark("heat")
        steps += run.drain()
        steps += run.drain()
    finally:
        run.close()
    assert len([step for step in steps if isinstance(step.event, Reading)]) == 127
    assert [step.snapshot.gap for step in steps if step.snapshot and step.snapshot.gap] == []


def test_a_mark_comes_before_the_readings_that_are_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many wait: a hold ends where it was ended, on a slow machine too."""
    run, clock = Run(new_job(tmp_path), Evacuation()), Clock()
    clock.at_s = 40.0
    monkeypatch.setattr(run.link, "clock", clock)
    try:
        for at_s in range(1, 41):
            run.link.events.put(Reading(float(at_s), 20.0))
        steps: list[Step] = []
        for step in run.drain():
            steps.append(step)
            if step.event == Reading(10.0, 20.0):
                run.mark("heat", at_s=20.5)
    finally:
        run.close()
    at = [type(step.event) for step in steps].index(Mark)
    assert (steps[at - 1].event, steps[at + 1].event) == (Reading(20.0, 20.0), Reading(21.0, 20.0))
