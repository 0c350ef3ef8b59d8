"""A second gauge, at the pump: recorded, told and drawn; the far one alone decides."""

import asyncio
import io
import math
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from analysis.evacuation import Evacuation
from analysis.pump import two_gauges
from analysis.reason import Reason
from analysis.sample import Mark, Status
from app.gauge.link import AtPump, Ended
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.rows import LinkChange, PumpLinkChange, PumpRejections
from app.jobfile.verify import verify_job
from app.live.run import Run, Step
from app.output.terminal import Terminal
from app.output.watch_json import as_json
from app.rig.pump_side import PumpSide
from app.words.sentences import Words
from sensors.events import Connected, Emit, Lost, Reading, Rejected

WAIT_S = 30.0  # for a broken build only


class Spoken:
    """A gauge that says what a test makes it say, from the test's thread."""

    def __init__(self, name: str, zero_s: float = 0.0) -> None:
        self.name, self._zero_s = name, zero_s
        self._emit: Emit | None = None
        self._is_running, self._is_over = threading.Event(), False

    async def run(self, emit: Emit) -> None:
        self._emit = emit
        self._is_running.set()
        while not self._is_over:
            await asyncio.sleep(0.002)

    def say(self, *events: Any) -> None:
        assert self._is_running.wait(WAIT_S)
        assert self._emit is not None
        for event in events:
            self._emit(event)

    def read(self, time_s: float, pressure_pa: float) -> None:
        self.say(Reading(self._zero_s + time_s, pressure_pa))

    def end(self) -> None:
        self._is_over = True


@pytest.fixture
def run(tmp_path: Path) -> Iterator[Run]:
    run = Run(new_job(tmp_path), Evacuation())
    yield run
    run.close()


def drained(run: Run, until: Callable[[list[Step]], bool]) -> list[Step]:
    steps: list[Step] = []
    waited = threading.Event()
    for _ in range(int(WAIT_S / 0.005)):
        steps += run.drain()
        if until(steps):
            return steps
        waited.wait(0.005)
    raise AssertionError(f"it never came: {steps[-3:]}")


def count_at_pump(steps: list[Step]) -> int:
    return sum(isinstance(step.event, AtPump) for step in steps)


def test_both_are_recorded_apart_and_the_far_one_alone_is_analysed(run: Run) -> None:
    far, pump = Spoken("far", 5000.0), Spoken("pump", 70.0)
    run.start(far)
    run.start_at_pump(pump)
    far.say(Connected(5000.0, "far"))
    pump.say(Connected(70.0, "pump"), Rejected(70.0, b"?", "no number"))
    for step in range(40):
        far.read(0.5 * step, 300.0)
        pump.read(0.5 * step, 20.0)
    steps = drained(run, lambda steps: count_at_pump(steps) == 42 and len(steps) >= 83)
    assert run.snapshot is not None
    assert run.snapshot.pressure_pa == 300.0
    at_pump = [s.event.event for s in steps if isinstance(s.event, AtPump)]
    readings = [event for event in at_pump if isinstance(event, Reading)]
    assert [event.pressure_pa for event in readings] == [20.0] * 40
    assert readings[0].time_s < 60.0  # on the job's clock, whatever the gauge's own zero
    assert (run.rejected, run.pump_side.rejected) == (0, 1)
    assert run.close()
    path = run.recorder.path
    with JobReader(path) as job:
        assert job.version == 2
        assert job.readings().pressure_pa.tolist() == [300.0] * 40
        assert job.readings("pump").pressure_pa.tolist() == [20.0] * 40
        assert job.readings("pump").time_s.tolist() == [event.time_s for event in readings]
        notes = [note for _, note in job.notes("link", "pump-link", "pump-rejected")]
        assert job.fields()["gauge_at_pump"] == "pump"
    kinds = [type(note) for note in notes]
    assert set(kinds) == {LinkChange, PumpLinkChange, PumpRejections}
    assert verify_job(path).is_whole


def test_a_low_pump_side_never_stands_in_for_a_lost_far_gauge(run: Run) -> None:
    far, pump = Spoken("far"), Spoken("pump")
    run.start(far)
    run.start_at_pump(pump)
    far.say(Connected(0.0))
    far.read(0.0, 800.0)
    far.say(Lost(0.1, "the cable fell off"))
    for step in range(60):
        pump.read(0.1 * step, 5.0)
    drained(run, lambda steps: count_at_pump(steps) == 60)
    assert run.snapshot is not None
    assert run.snapshot.pressure_pa == 800.0
    assert run.snapshot.status == "ok"
    assert run.close()
    with JobReader(run.recorder.path) as job:
        assert len(job.readings()) == 1
        assert [type(note) for _, note in job.notes("link", "pump-link")] == [
            LinkChange,
            LinkChange,
        ]


def test_either_one_is_lost_or_ends_without_the_other(run: Run) -> None:
    far, pump = Spoken("far"), Spoken("pump")
    run.start(far)
    run.start_at_pump(pump)
    far.read(0.0, 800.0)
    pump.read(0.0, 5.0)
    pump.end()
    steps = drained(
        run,
        lambda s: any(
            isinstance(x.event, AtPump) and x.event.event == Ended(x.event.event.time_s) for x in s
        ),
    )
    assert not any(isinstance(step.event, Ended) for step in steps)
    assert run.pump_side.reading is None
    far.read(1.0, 700.0)
    drained(run, lambda s: any(isinstance(x.event, Reading) for x in s))
    assert run.snapshot is not None
    assert run.snapshot.pressure_pa == 700.0


def test_each_can_be_changed_in_mid_run_and_the_record_says_which(run: Run) -> None:
    far, pump, other = Spoken("far"), Spoken("pump", 900.0), Spoken("other", 3.0)
    run.start(far)
    run.start_at_pump(pump)
    far.read(0.0, 800.0)
    pump.read(50.0, 5.0)  # ahead of the far one's time
    drained(run, lambda steps: count_at_pump(steps) == 1)
    run.start_at_pump(other)
    other.read(0.0, 6.0)
    drained(run, lambda steps: count_at_pump(steps) == 1)
    run.start_at_pump(None)
    far.read(1.0, 700.0)
    drained(run, lambda steps: any(isinstance(step.event, Reading) for step in steps))
    assert run.pump_side.gauge == ""
    assert run.close()
    with JobReader(run.recorder.path) as job:
        assert job.readings("pump").pressure_pa.tolist() == [5.0, 6.0]
        texts = [note.text for _, note in job.notes("mark") if isinstance(note, Mark)]
        assert texts == ["another gauge at the pump: other", "no gauge at the pump"]
        assert job.fields()["gauge_at_pump"] == ""


def test_the_difference_is_told_by_its_code_and_not_while_cut_off(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(two_gauges, "FOLLOWS_S", 0.5)  # a minute is long for a test
    far, pump = Spoken("far"), Spoken("pump")
    run.start(far)
    run.start_at_pump(pump)
    for step in range(20):
        far.read(0.1 * step, 300.0 * 0.99**step)
        pump.read(0.1 * step, 0.5 * 0.99**step)
    drained(run, lambda _: run.pump_side.difference is not None)
    assert run.pump_side.difference is not None
    assert run.pump_side.difference.code == "far-restricted"
    run.mark("valve-closed")
    drained(run, lambda _: run.pump_side.difference is None)


@pytest.mark.parametrize("top_pa", [2e5, 2666.0])
def test_nitrogen_that_stands_in_the_circuit_blames_no_hose(top_pa: float) -> None:
    """Between the pulls the pump's side is down and the far side is not, as it should be."""
    evacuation, side = Evacuation(), PumpSide()
    side.change("pump")
    told = set()
    for second in range(1500):
        is_in = 900 <= second < 1300
        if second == 900:
            evacuation.update(Mark(900.0, "nitrogen-in"))
        true_pa = 1.15e5 if is_in else 40.0 + 1e5 * math.exp(-second / 9.0)
        status: Status = "over-range" if true_pa > top_pa else "ok"
        far = Reading(float(second), min(true_pa, top_pa), status=status)
        side.take_far(far)
        side.take(Reading(float(second), 4.0 if is_in else 0.7 * true_pa))
        side.judge(float(second), evacuation.update(far))
        told.add(None if side.difference is None else side.difference.code)
    assert told == {None}


def test_the_json_line_of_the_second_gauge_differs_by_one_field(run: Run) -> None:
    far, pump = Spoken("far"), Spoken("pump")
    run.start(far)
    run.start_at_pump(pump)
    far.read(0.0, 300.0)
    pump.say(Connected(0.0, "pump"), Reading(0.0, 20.0), Lost(1.0, "gone"), Rejected(1.0, b"", ""))
    steps = drained(run, lambda steps: count_at_pump(steps) == 4)
    told = [line for line in map(as_json, steps) if line is not None]
    by_far = [line for line in told if "at" not in line]
    by_pump = [{**line, "time_s": 0} for line in told if line.get("at") == "pump"]
    assert len(by_far) == 1
    assert by_far[0].keys() == {"time_s", "pressure_pa", "temperature_c", "status", "stage"}
    stage = by_far[0]["stage"]
    assert by_pump == [
        {"time_s": 0, "link": "connected", "at": "pump"},
        {
            **{"time_s": 0, "pressure_pa": 20.0, "temperature_c": None, "status": "ok"},
            **{"stage": stage, "at": "pump"},
        },
        {"time_s": 0, "link": "lost", "why": "gone", "at": "pump"},
    ]


def test_the_terminal_tells_the_two_apart_and_the_difference_once(run: Run) -> None:
    out = io.StringIO()
    terminal, side = Terminal(Words(), out), run.pump_side
    for event in (Connected(0.0, "x"), Lost(1.0, "gone"), Ended(2.0), Rejected(3.0, b"?", "odd")):
        terminal.show(Step(AtPump(event), None))
    side.difference = Reason(
        "far-restricted", {"far_pa": 40.0, "pump_pa": 4.0, "share": 0.1, "usual_share": 0.3}
    )
    for time_s in (10.0, 11.0, 12.0):
        terminal.pump_side(time_s, side)
        side.difference = None if time_s == 10.0 else side.difference
        side.difference = side.difference or Reason("far-restricted", {"share": 0.1})
    terminal.pump_side(2000.0, side)
    told = [text.split("  ", 1)[1] for text in out.getvalue().splitlines()]
    assert told[:4] == [
        "At the pump: Gauge connected: x",
        "At the pump: Gauge lost: gone",
        "At the pump: The readings have ended.",
        "At the pump: Bad frame (odd): b'?'",
    ]
    assert len(told) == 6
    assert "At the far side 300 micron, at the pump 30 micron: 10 % of the pump" in told[4]
