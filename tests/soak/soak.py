"""Days of simulated time through sensors, recorder, analysis and window, with faults all along."""

import asyncio
import ctypes
import gc
import hashlib
import os
import statistics
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from app.jobfile.reader import JobReader
from app.jobfile.rows import Rejections, Resumed
from app.jobfile.verify import verify_job
from sensors.keep_alive import KeepAlive
from tests.soak.circuit import Circuit
from tests.soak.faulty_gauge import FaultyGauge, Sent
from tests.soak.simulated_loop import SimulatedLoop
from tests.soak.simulated_run import SimulatedRun

HOUR_S = 3600.0


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What is simulated. Cycles, faults and paintings come again and again."""

    cycles: int
    cycle_s: float = 12 * HOUR_S
    rate_hz: int = 20
    paint_every_min: int = 5
    fault_every_min: int = 15
    disk_every_min: int = 240
    seed: int = 1


@dataclass
class Part:
    """What one cycle cost: medians, in microseconds or milliseconds of processor."""

    sensor_us: float = 0.0  # a reading, from bytes to the recorder's queue
    update_us: float = 0.0  # a reading, through analysis and screens
    frame_ms: float = 0.0  # painting the charts
    memory_bytes: int = 0  # resident at its end, but for the charts' own readings
    threads: int = 0
    descriptors: int = 0

    def __str__(self) -> str:
        return (
            f"sensor {self.sensor_us:.1f} us, update {self.update_us:.1f} us a reading, frame "
            f"{self.frame_ms:.2f} ms, {self.memory_bytes / 2**20:.1f} MiB, {self.threads} threads, "
            f"{self.descriptors} descriptors"
        )


@dataclass
class Outcome:
    """What a soak gave."""

    sent: Sent
    parts: list[Part] = field(default_factory=list)
    recorded: int = 0
    recorded_hash: str = ""
    rejected: int = 0
    resumed: int = 0
    is_whole: bool = False
    times_unsaved: int = 0
    bursts: int = 0
    file_bytes: int = 0
    faults_told: list[str] = field(default_factory=list)

    @property
    def is_every_reading_once(self) -> bool:
        """Whether the record holds what was sent, bit for bit and in order."""
        return self.recorded_hash == self.sent.digest.hexdigest()


def soak(folder: Path, plan: Plan, say: Callable[[str], None] = lambda _text: None) -> Outcome:
    """Run it all and read the record back."""
    loop = SimulatedLoop()
    asyncio.set_event_loop(loop)
    try:
        return _soak(folder, plan, loop, say)
    finally:
        loop.close()
        asyncio.set_event_loop(None)


def _soak(folder: Path, plan: Plan, loop: SimulatedLoop, say: Callable[[str], None]) -> Outcome:
    circuit = Circuit(plan.cycle_s, plan.rate_hz, plan.seed)
    gauge = FaultyGauge(loop.time, circuit.minute, plan.rate_hz, plan.fault_every_min)
    outcome = Outcome(gauge.sent)
    before, sys.excepthook = sys.excepthook, lambda *fault: outcome.faults_told.append(repr(fault))
    desk = SimulatedRun(folder, loop.time)
    alive = KeepAlive(gauge, clock=loop.time)
    desk.begin(alive)
    task = loop.create_task(alive.run(desk.link.emit))
    minutes = _Minutes(plan, loop, circuit, gauge, desk, outcome)
    try:
        for cycle in range(plan.cycles):
            outcome.parts.append(minutes.cycle(cycle))
            hours = (cycle + 1) * plan.cycle_s / HOUR_S
            say(f"{hours:.1f} h, {gauge.sent.readings} sent: {outcome.parts[-1]}")
        outcome.faults_told += [str(task.exception())] if task.done() else []
        task.cancel()
        loop.run_until_complete(asyncio.gather(task, return_exceptions=True))
        desk.presenter.look()
    finally:
        desk.window.grab().save(str(folder / "last.png"))
        desk.close()
        sys.excepthook = before
    outcome.bursts = 0 if desk.run.snapshot is None else desk.run.snapshot.burst_count
    _read_back(desk.job, outcome)
    return outcome


@dataclass
class _Minutes:
    """Lets minute after minute pass, and measures what each costs."""

    plan: Plan
    loop: SimulatedLoop
    circuit: Circuit
    gauge: FaultyGauge
    desk: SimulatedRun
    outcome: Outcome

    def cycle(self, cycle: int) -> Part:
        sensor_us, update_us, frame_ms = [], [], []
        minutes = round(self.plan.cycle_s / 60.0)
        for minute in range(cycle * minutes, (cycle + 1) * minutes):
            kind = self.circuit.mark_at(60.0 * minute)
            if kind is not None and minute:
                self.desk.session.mark(kind)
            self.desk.stepped_s = (-HOUR_S, 0.0, HOUR_S)[minute // 97 % 3]  # the clock is set
            cost = self._pass(minute)
            if cost is not None:
                sensor_us.append(cost[0])
                update_us.append(cost[1])
            if minute % self.plan.paint_every_min == 0:
                frame_s = time.thread_time()
                self.desk.paint()
                frame_ms.append(1e3 * (time.thread_time() - frame_s))
        gc.collect()
        return Part(
            statistics.median(sensor_us),
            statistics.median(update_us),
            statistics.median(frame_ms),
            _resident_bytes() - self.desk.held_bytes(),
            threading.active_count(),
            _descriptors(),
        )

    def _pass(self, minute: int) -> tuple[float, float] | None:
        """Let a minute pass; give what a reading cost sensor and update, if all came."""
        desk, every = self.desk, self.plan.disk_every_min
        is_disk_away = minute % every == every - 3
        away = desk.job.with_suffix(".away")
        if is_disk_away:
            desk.job.rename(away)
        sent, begun_s = self.gauge.sent.readings, time.thread_time()
        self.loop.run_for(60.0)
        looked_s = time.thread_time()
        desk.presenter.look()
        ended_s = time.thread_time()
        count = self.gauge.sent.readings - sent
        is_saved = desk.run.recorder.flush(60.0)
        self.outcome.times_unsaved += not is_saved
        if is_disk_away:
            assert is_saved == (count == 0), "a disk that is gone went unnoticed"
            desk.presenter.look()
            is_told = "Not being saved" in desk.window.strip.saved.text.accessibleName()
            assert is_told == (not is_saved)
            away.rename(desk.job)
        if count < 60 * self.plan.rate_hz:
            return None
        return 1e6 * (looked_s - begun_s) / count, 1e6 * (ended_s - looked_s) / count


def _read_back(job: Path, outcome: Outcome) -> None:
    outcome.file_bytes = job.stat().st_size
    with JobReader(job) as reader:
        pressure_pa = reader.readings().pressure_pa
        outcome.recorded = len(pressure_pa)
        outcome.recorded_hash = hashlib.sha256(pressure_pa.astype("<f8").tobytes()).hexdigest()
        for _, note in reader.notes("rejected", "resumed"):
            outcome.rejected += note.count if isinstance(note, Rejections) else 0
            outcome.resumed += isinstance(note, Resumed)
    outcome.is_whole = verify_job(job).is_whole


def _resident_bytes() -> int:
    """Memory in use: what was given back but not yet to the system is given back first."""
    with suppress(OSError, AttributeError):  # another C library than GNU's
        ctypes.CDLL("libc.so.6").malloc_trim(0)
    with open("/proc/self/statm") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")


def _descriptors() -> int:
    return len(os.listdir("/proc/self/fd"))
