"""Opening a job away from the window; an old one goes through the analysis again."""

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import replace
from heapq import merge
from pathlib import Path

import numpy as np

from analysis.evacuation import Evacuation
from analysis.nitrogen.pressure_test import PressureTest
from analysis.sample import Mark, Sample
from analysis.snapshot import Snapshot
from app.gauge.link import AtPump
from app.job.fields import JobFields, job_fields
from app.job.history import history_of
from app.job.only_read import OnlyRead, only_read, read_damaged
from app.job.rules import JobRules, kept_rules
from app.jobfile.reader import JobReader
from app.jobfile.readings import Readings
from app.jobfile.resume import LONGEST_S
from app.live.opening import rebuild, run_on
from app.live.run import Run, Step
from app.report.course import recording_of
from app.rig.cost import rig_of
from app.rig.rig_tests import pressure_test_of
from app.settings.job_rules import job_rules
from app.settings.values import Settings
from app.system.errors import UsageError
from sensors.events import Reading


class Opening(threading.Thread):
    """Opens a job away from the window; an old one is put through the analysis again.

    One that is damaged is read as far as it can be, and nothing can be added to it.
    """

    def __init__(
        self,
        path: Path | None,
        settings: Callable[[], Settings],
        fields: JobFields,
    ) -> None:
        super().__init__(name="simmerdown-opening", daemon=True)
        self.path, self.fields = path, fields
        self.share = 0.0
        self.run_made: Run | None = None
        self.only_read: OnlyRead | None = None  # a damaged one: no run is made
        self.error: Exception | None = None
        self.past: deque[Step] = deque()
        self.last: Snapshot | None = None
        self.pressure_test: PressureTest | None = None
        self.is_cancelled = False
        self._settings = settings

    def run(self) -> None:
        """Work; what came of it stands in the attributes once the thread has ended."""
        try:
            try:
                self._open()
            except UsageError as error:
                if self.path is None:
                    raise
                self._open_damaged(self.path, error)
        except _Cancelled:
            return
        except Exception as error:
            self.error = error

    def _open(self) -> None:
        at_pump: Readings | None = None
        if self.path is not None:
            with JobReader(self.path) as reader:
                self._take(reader.fields())
                at_pump = reader.readings("pump")
        # Last: nothing that is refused after it would let go of the job again.
        self.run_made = run_on(self.path, self._rules(), progress=self._progress, seen=self._seen)
        if at_pump is not None:
            self.past = with_pump_readings(self.past, at_pump)

    def _open_damaged(self, path: Path, error: UsageError) -> None:
        """Read what can be read, under the settings that the job keeps; nothing is written."""
        record = read_damaged(path, error)
        self.past.clear()
        self.last = None
        self._take(record.edits)
        told = kept_rules(record.edits) or self._rules()
        evacuation = Evacuation(rules=told.rules, history=told.history)
        rebuild(recording_of(record), evacuation, self._progress, self._seen)
        if self.past:  # no more will come that would bring the snapshot up to the end
            self.past[-1] = replace(self.past[-1], snapshot=self.last)
        self.past = with_pump_readings(self.past, record.at_pump)
        self.only_read = only_read(record, told)

    def _take(self, values: dict[str, object]) -> None:
        self.fields = job_fields(values)
        self.pressure_test = pressure_test_of(values)

    def _rules(self) -> JobRules:
        fields = self.fields
        history, rig = history_of(fields), rig_of(fields)
        return job_rules(self._settings(), fields.volume_m3, history, rig)

    def _progress(self, share: float) -> None:
        self.share = share
        if self.is_cancelled:
            raise _Cancelled

    def _seen(self, item: Sample | Mark, snapshot: Snapshot) -> None:
        before, self.last = self.last, snapshot
        is_news = bool(
            before is None
            or snapshot.bursts
            or snapshot.gap
            or snapshot.caution_changes
            or snapshot.stage != before.stage
            or isinstance(item, Mark)
        )
        assert isinstance(item, Mark | Reading)
        self.past.append(Step(item, snapshot if is_news else None))


def with_pump_readings(past: deque[Step], held: Readings) -> deque[Step]:
    """Put the readings of a job's second gauge in between, to be drawn in their time."""
    # No visit takes a year: a stranger's file may say so, and would stretch the charts to nothing.
    kept = np.flatnonzero(np.abs(held.time_s) <= LONGEST_S).tolist()
    steps = (Step(AtPump(held[index]), None) for index in kept)
    return deque(merge(past, steps, key=_time_s)) if kept else past


def _time_s(step: Step) -> float:
    event = step.event
    return event.event.time_s if isinstance(event, AtPump) else event.time_s


class _Cancelled(Exception):  # noqa: N818 - no error: somebody closed the window
    pass
