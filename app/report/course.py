"""The evacuation seen again: the job's readings and marks sent once more through the analysis."""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from analysis.evacuation import NO_FLAT, Evacuation
from analysis.gauge.noise import NoiseEstimator
from analysis.hold.rules import HoldRules
from analysis.pump.pulls import Pull
from analysis.pump.pumping import NOTHING_KNOWN, Pumping
from analysis.rules import EvacuationRules
from analysis.sample import Mark
from analysis.snapshot import Burst, FlatEstimate, HoldResult, Isolation, Snapshot
from app.job.history import history_of
from app.job.recording import Recording
from app.job.rules import JobRules, rules_at_finding
from app.jobfile.rows import Gap, StageChange
from app.report.hold_note import hold_result, rules_told
from app.report.pump_gauge import PumpGauge, PumpGaugeSeen
from app.report.record import Record
from app.rig.rig_tests import blank_off_of

Floats = NDArray[np.float64]
_NOISE_READINGS = 4000  # the last ones before the circuit is cut off: what matters for the finding
_LEAST_LULLS = 2


@dataclass(frozen=True, slots=True)
class Closing:
    """The circuit cut off from the pump: a hold, or an isolation when the valve was opened again.

    ``result`` is what the analysis finds now, with its curves; ``is_finished`` that the technician
    ended the hold to take its finding.
    """

    from_s: float
    until_s: float
    result: HoldResult | None
    is_finished: bool


@dataclass(frozen=True, slots=True)
class Course:
    """What the analysis sees in the readings. Times are seconds of the job's own clock."""

    bursts: tuple[Burst, ...] = ()
    flat: FlatEstimate = NO_FLAT
    flat_interval_s: float = 600.0
    closings: tuple[Closing, ...] = ()
    isolations: tuple[Isolation, ...] = ()
    pulls: int = 1
    pull_list: tuple[Pull, ...] = ()
    pumping: Pumping = NOTHING_KNOWN
    at_pump: PumpGaugeSeen | None = None
    told: JobRules = field(default_factory=JobRules)
    is_told: bool = False  # the job keeps the settings; else the usual ones stand in
    boiling_pa: float | None = None
    smallest_burst_pa: float | None = None
    noise_pa: float | None = None
    step_pa: float = 0.0

    @property
    def onsets_s(self) -> Floats:
        """Burst onsets in order: (n,) float64, s."""
        return np.sort(np.array([burst.onset_s for burst in self.bursts], dtype=np.float64))


def follow(record: Record) -> Course:
    """Send a job through the analysis, under the settings that its last finding was told with."""
    kept = _kept(record)
    told = kept or _usual(record)
    if not len(record.readings):
        return Course(told=told, is_told=kept is not None)
    seen, at_pump = _Seen(), PumpGauge(record.at_pump)
    evacuation = Evacuation(rules=told.rules, history=told.history)
    for item in recording_of(record).items():
        snapshot = evacuation.update(item)
        seen.take(item, snapshot)
        at_pump.take(item, snapshot)
    seen.end()
    noise = _noise(record, seen.closings[0].from_s if seen.closings else np.inf)
    return Course(
        bursts=tuple(sorted(seen.bursts, key=lambda burst: burst.onset_s)),
        flat=seen.flat,
        flat_interval_s=told.rules.flat_interval_s,
        closings=tuple(seen.closings),
        isolations=seen.isolations,
        pulls=seen.pulls,
        pull_list=seen.pull_list,
        pumping=seen.pumping,
        at_pump=at_pump.seen(),
        told=told,
        is_told=kept is not None,
        boiling_pa=seen.boiling_pa,
        smallest_burst_pa=seen.smallest_burst_pa,
        noise_pa=noise.noise_pa,
        step_pa=noise.step_pa,
    )


def lulls(course: Course, record: Record) -> tuple[Floats, Floats]:
    """Give each lull and when it ended; those with dead time in them tell nothing and are left out.

    Returns
    -------
    (n,) float64, s
        Onset that ended the lull.
    (n,) float64, s
        The lull.
    """
    onsets = course.onsets_s
    if len(onsets) < _LEAST_LULLS:
        return np.empty(0), np.empty(0)
    begins, ends = onsets[:-1], onsets[1:]
    keep = ends > begins
    for from_s, until_s in dead_times(course, record):
        keep &= (ends <= from_s) | (begins >= until_s)
    return ends[keep], (ends - begins)[keep]


def dead_times(course: Course, record: Record) -> list[tuple[float, float]]:
    """List the stretches in which a burst would not have been seen: no readings, valve closed."""
    gaps = [(note.from_s, note.until_s) for note in record.of(Gap)]
    closings = [(closing.from_s, closing.until_s) for closing in course.closings]
    test = blank_off_of(record.edits)  # hoses and gauge alone: no time of the circuit
    alone = [] if test is None or test.until_s is None else [(test.from_s, test.until_s)]
    return alone + gaps + closings


def _kept(record: Record) -> JobRules | None:
    """Give the settings the job keeps; of several those that the last finding was told with."""
    told = rules_at_finding(record.notes)
    if told is None:
        return None
    volume = record.fields.volume_m3 or told.rules.volume_m3
    return replace(told, rules=replace(told.rules, volume_m3=volume))


def _usual(record: Record) -> JobRules:
    """Give the usual settings, with what the job's rows still tell of its own."""
    findings = record.findings
    hold = rules_told(hold_result(findings[-1])) if findings else HoldRules()
    interval_s = 600.0
    for note in record.of(StageChange):
        value = note.values.get("flat_interval_s")
        if isinstance(value, int | float) and 1.0 <= value <= 86400.0:
            interval_s = float(value)
    volume = record.fields.volume_m3
    rules = EvacuationRules(flat_interval_s=interval_s, volume_m3=volume, hold=hold)
    return JobRules(rules, history_of(record.fields))


def recording_of(record: Record) -> Recording:
    """Give the far gauge's readings and the marks as they are sent through the analysis."""
    return Recording(record.readings.series(), tuple(record.marks))


def _noise(record: Record, until_s: float) -> NoiseEstimator:
    readings = record.readings
    is_used = (readings.status == 0) & (readings.time_s <= until_s)
    noise = NoiseEstimator()
    times = readings.time_s[is_used][-_NOISE_READINGS:].tolist()
    pressures = readings.pressure_pa[is_used][-_NOISE_READINGS:].tolist()
    for time_s, pressure_pa in zip(times, pressures, strict=True):
        noise.update(time_s, pressure_pa)
    return noise


class _Seen:
    """Collects from the snapshots what the page shows."""

    def __init__(self) -> None:
        self.bursts: list[Burst] = []
        self.flat: FlatEstimate = NO_FLAT
        self.closings: list[Closing] = []
        self.isolations: tuple[Isolation, ...] = ()
        self.pulls = 1
        self.pull_list: tuple[Pull, ...] = ()
        self.pumping = NOTHING_KNOWN
        self.boiling_pa: float | None = None
        self.smallest_burst_pa: float | None = None
        self._open: Snapshot | None = None  # the latest one with the valve closed

    def take(self, item: object, snapshot: Snapshot) -> None:
        """Take the snapshot after one item."""
        if snapshot.bursts:
            self.bursts += [burst for burst in snapshot.bursts if burst.state == "confirmed"]
        if snapshot.flat.curve or not self.flat.curve:
            self.flat = snapshot.flat
        self.boiling_pa, self.pulls = snapshot.boiling_pa, snapshot.pull
        self.isolations, self.pull_list = snapshot.isolations, snapshot.pulls
        self.pumping = snapshot.pumping
        if isinstance(item, Mark):
            self._mark(item, snapshot)
        if snapshot.hold_from_s is not None and snapshot.stage == "holding":
            self._open = snapshot
        else:
            self.smallest_burst_pa = snapshot.smallest_burst_pa

    def end(self) -> None:
        """Take a hold that was never ended."""
        if self._open is not None:
            self._close(self._open.time_s, self._open.hold, is_finished=False)

    def _mark(self, mark: Mark, snapshot: Snapshot) -> None:
        if self._open is None or snapshot.stage == "holding":
            return
        if snapshot.stage == "done":
            self._close(mark.time_s, snapshot.hold, is_finished=True)
            return
        self._close(mark.time_s, self._open.hold, is_finished=False)

    def _close(self, until_s: float, result: HoldResult | None, *, is_finished: bool) -> None:
        assert self._open is not None
        from_s = self._open.hold_from_s
        assert from_s is not None
        self.closings.append(Closing(from_s, until_s, result, is_finished))
        self._open = None
