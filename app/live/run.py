"""One run: a sensor's events go to the record and through the analysis; snapshots come out."""

import math
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from queue import Empty

from analysis.evacuation import Evacuation
from analysis.flat.history import History
from analysis.sample import Mark, MarkKind, Silence
from analysis.snapshot import Snapshot
from app.gauge.link import AtPump, Ended, Failed, Link, LinkEvent
from app.job.rules import ANALYSIS, JobRules
from app.jobfile.empty import remove_if_empty
from app.jobfile.jsontext import plain
from app.jobfile.rows import Edit, FindingNote, Gap, HoldChange, StageChange
from app.live.recorder import Recorder
from app.rig.pump_side import PumpSide
from app.rig.rig_tests import blank_off_note
from sensors.events import Reading, Rejected, Sensor
from sensors.quality import Quality

GAUGE, GAUGE_AT_PUMP = "gauge", "gauge_at_pump"
"""Fields of the job: the addresses of the far gauge and of the one at the pump."""

_OWN_FIELDS = frozenset({"title", GAUGE, GAUGE_AT_PUMP, ANALYSIS})  # set by no technician

MOST_A_DRAIN = 2000  # readings: a caller that draws in between stays responsive after a stall


@dataclass(frozen=True, slots=True)
class Step:
    """What happened, and all that is known after it. Times are on the job's clock."""

    event: LinkEvent | AtPump | Mark | Silence
    snapshot: Snapshot | None


class Run:
    """Joins link, recorder and analysis, for the terminal and the window alike.

    A second gauge, at the pump, is recorded and told as well; the far one alone is analysed, and
    when it is lost the decision waits for it. Readings reach the recorder on the sensor's own
    thread; the analysis sees them when :meth:`drain` is called, from one thread only.

    Parameters
    ----------
    path
        The job to record into.
    evacuation
        The analysis; for a job that goes on it already knows what the job holds.
    is_new
        The job was made for this run: it is taken away again if nothing comes.
    told
        What the analysis was told, and the job keeps.

    Attributes
    ----------
    told
        What the job is judged by, whatever the settings say by now.
    is_kept
        The job's file is still there after :meth:`close`.
    """

    def __init__(
        self,
        path: Path,
        evacuation: Evacuation,
        *,
        is_new: bool = False,
        told: JobRules | None = None,
    ) -> None:
        self.is_kept = True
        self._is_new = is_new
        self.told = told or JobRules()
        self.recorder = Recorder(path)
        self.link = Link(clock=self.recorder.clock)
        self.evacuation = evacuation
        self.snapshot: Snapshot | None = None
        self.rejected = 0
        self.is_over = False  # the far gauge has come to its end, or was given up
        self.quality = Quality()
        self.pump_side = PumpSide()
        self._gauge = ""
        self._limits: JobRules | None = None  # told, and waiting for the hold to be over
        self._marks: list[Mark] = []
        self._last_s = 0.0

    def start(self, sensor: Sensor) -> None:
        """Run this sensor, which decides, instead of the one that runs if any.

        Another gauge in mid-run is marked, since two gauges never agree.
        """
        if self._gauge not in ("", sensor.name):
            self.mark("note", f"another gauge: {sensor.name}")
        if self._gauge != sensor.name:
            self.recorder.put(Edit(GAUGE, sensor.name))
        self._gauge = sensor.name
        self.is_over = False
        self.pump_side.far_changes()
        self.quality = Quality()
        self.link.start(sensor, self.recorder.put)

    def start_at_pump(self, sensor: Sensor | None) -> None:
        """Run a second gauge at the pump, instead of the one there if any; ``None`` ends it."""
        before, name = self.pump_side.gauge, "" if sensor is None else sensor.name
        if before and before != name:
            what = f"another gauge at the pump: {name}" if name else "no gauge at the pump"
            self.mark("note", what)
        if before != name:
            self.recorder.put(Edit(GAUGE_AT_PUMP, name))
        self.pump_side.change(name)
        if sensor is not None:
            self.link.start(sensor, self.recorder.put, place="pump")
        elif before:
            self.link.leave("pump")

    def mark(self, kind: MarkKind, text: str = "", *, at_s: float | None = None) -> None:
        """Mark what the technician does now: recorded at once, analysed by the next drain.

        A closing may be set in the past with ``at_s``, as when the one that the trace shows
        (``Snapshot.offered``) is confirmed; of other marks it is only the record that is told.
        """
        now_s = max(self.link.clock.now_s(), self._last_s)
        mark = Mark(now_s if at_s is None else min(max(at_s, 0.0), now_s), kind, text)
        self.recorder.put(mark)
        self._marks.append(mark)

    def tell_past(self, history: History) -> None:
        """Tell the analysis another past of the circuit; the job keeps which."""
        if history != self.told.history:
            self.told = replace(self.told, history=history)
            self.evacuation.set_history(history)
            self.recorder.put(self.told.note())

    def tell_limits(self, told: JobRules) -> None:
        """Judge by the limits and least lengths of other settings, from the next hold on.

        A hold that runs, and one that is over and still shown, keep their own; the job keeps from
        when on it was judged by which.
        """
        self._limits = told
        if self._is_next_hold():
            self._take_limits()

    def drain(self) -> Iterator[Step]:
        """Yield what has happened since the last call, in order, and the passing of time."""
        # Looked at before the readings: one that comes while a hold is judged is not too late.
        now_s = self.link.clock.now_s()
        for _ in range(MOST_A_DRAIN):
            try:
                event = self.link.events.get_nowait()
            except Empty:
                break
            # However many readings wait, none later than a mark comes before it.
            at_s = event.event.time_s if isinstance(event, AtPump) else event.time_s
            yield from self._take_marks(at_s)
            yield self._take(event)
        else:
            return  # more waits: marks and time come after it
        yield from self._take_marks(math.inf)
        self.pump_side.judge(now_s, self.snapshot)
        if self.snapshot is not None and now_s - self._last_s >= 1.0:
            silence = Silence(now_s)
            yield Step(silence, self._analyse(silence))

    def close(self) -> bool:
        """Stop the sensors, save what is left; say whether all is in the file."""
        try:
            self.link.close()
        finally:  # a gauge takes its time to be let go of, and somebody may press Ctrl-C again
            is_saved = self.recorder.close()
        if is_saved and self._is_new and self.is_kept:
            self.is_kept = not remove_if_empty(self.recorder.path, _OWN_FIELDS)
        return is_saved

    def _take_marks(self, until_s: float) -> Iterator[Step]:
        while self._marks and self._marks[0].time_s <= until_s:
            mark = self._marks.pop(0)
            if mark.kind != "valve-closed":  # the analysis takes a late closing as it is
                mark = replace(mark, time_s=max(mark.time_s, self._last_s))
            yield Step(mark, self._analyse(mark))

    def _take(self, event: LinkEvent | AtPump) -> Step:
        if isinstance(event, AtPump):
            self.pump_side.take(event.event)
            return Step(event, self.snapshot)
        self.pump_side.take_far(event)
        self.is_over = self.is_over or isinstance(event, Ended | Failed)
        if not isinstance(event, Ended | Failed):
            self.quality.take(event)
        if isinstance(event, Reading):
            # A reading may have been taken just before a mark, or a second's end, overtook it.
            in_order = event
            if event.time_s < self._last_s:
                in_order = replace(event, time_s=self._last_s)
            return Step(event, self._analyse(in_order))
        if isinstance(event, Rejected):
            self.rejected += 1
        return Step(event, self.snapshot)

    def _take_limits(self) -> None:
        limits, self._limits = self._limits, None
        if limits is None:
            return
        hold, flat_below_pa = limits.rules.hold, limits.rules.flat_below_pa
        rules = replace(self.told.rules, hold=hold, flat_below_pa=flat_below_pa)
        told = replace(self.told, rules=rules, least_holds=limits.least_holds)
        if told != self.told:
            self.told = told
            self.evacuation.set_limits(hold, flat_below_pa)
            self.recorder.put(told.note())

    def _is_next_hold(self, item: Reading | Mark | Silence | None = None) -> bool:
        """Tell whether the last hold is left behind, with this item or before."""
        is_closing = isinstance(item, Mark) and item.kind == "valve-closed"
        stage = None if self.snapshot is None else self.snapshot.stage
        return stage != "holding" and (stage != "done" or is_closing)

    def _analyse(self, item: Reading | Mark | Silence) -> Snapshot | None:
        before = self.snapshot
        if self._limits is not None and self._is_next_hold(item):
            self._take_limits()
        try:
            self.snapshot = after = self.evacuation.update(item)
        except Exception:
            # A fault of ours is told once (app/system/log.py); reading and recording go on without.
            sys.excepthook(*sys.exc_info())
            return before
        finally:
            self._last_s = max(self._last_s, item.time_s)
        for note in notes(before, after):
            self.recorder.put(note)
        for caution in after.caution_changes:
            self.recorder.put(caution)
        return after


def notes(
    before: Snapshot | None, after: Snapshot
) -> Iterator[StageChange | Gap | HoldChange | FindingNote | Edit]:
    """Yield what the record keeps of a change: stages, gaps, holds, their findings, blank-offs.

    Cautions are kept as they are; see the caller's ``caution_changes``.
    """
    if after.gap is not None:
        yield Gap(*after.gap, "no readings")
    blank_off = blank_off_note(before, after)
    if blank_off is not None:
        yield blank_off
    if before is not None and after.stage == before.stage:
        return
    yield StageChange(
        after.time_s, after.stage, after.stage_reason.code, dict(after.stage_reason.values)
    )
    if after.stage == "holding":
        begun_s = after.time_s if after.hold_from_s is None else after.hold_from_s
        yield HoldChange(begun_s, "begun")
    elif before is not None and before.stage == "holding":
        yield HoldChange(after.time_s, "ended" if after.stage == "done" else "given-up")
        result = after.hold
        if after.stage == "done" and result is not None:
            details = plain(replace(result, curves=()))
            assert isinstance(details, dict)
            yield FindingNote(after.time_s, result.finding, details)
