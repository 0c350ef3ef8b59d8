"""Puts steps on the charts. Imported after the window's first paint: pyqtgraph takes its time."""

import math

import numpy as np
from PySide6.QtCore import QCoreApplication

from analysis.sample import Mark
from analysis.snapshot import Isolation, Snapshot
from app.charts.hold_chart import HoldChart
from app.charts.lull_chart import LullChart
from app.charts.palette import Palette
from app.charts.recent_chart import RecentChart
from app.charts.run_chart import RunChart
from app.gauge.link import AtPump
from app.live.run import Step
from app.words.phrases import mark_phrases, stage_phrases
from sensors.events import Reading


class ChartsPen:
    """Owns the four charts and passes each its part of what happens."""

    def __init__(self) -> None:
        self.lulls, self.whole, self.recent, self.hold = (
            LullChart(),
            RunChart(),
            RecentChart(),
            HoldChart(),
        )
        translate = QCoreApplication.translate
        self._stages, self._marks = stage_phrases(translate), mark_phrases(translate)
        self._stage = ""
        self._isolation: Isolation | None = None
        self._hold_from_s: float | None = None
        self._waiting: list[tuple[float, float]] = []  # readings, s and Pa, drawn at one go
        self._at_pump: list[tuple[float, float]] = []  # the same of a second gauge

    def set_palette(self, palette: Palette) -> None:
        """Take a palette's colours."""
        for chart in (self.lulls, self.whole, self.recent, self.hold):
            chart.set_palette(palette)

    def set_unit(self, unit: str) -> None:
        """Label the axes in a unit."""
        for chart in (self.lulls, self.whole, self.recent, self.hold):
            chart.set_unit(unit)

    def clear(self) -> None:
        """Empty all charts."""
        for chart in (self.lulls, self.whole, self.recent, self.hold):
            chart.clear()
        self._stage, self._isolation, self._hold_from_s = "", None, None
        self._waiting.clear()
        self._at_pump.clear()

    def draw(self, step: Step) -> None:
        """Draw what happened."""
        event = step.event
        if isinstance(event, AtPump):
            if isinstance(event.event, Reading):
                self._at_pump.append((event.event.time_s, event.event.pressure_pa))
            return
        if isinstance(event, Reading):
            self._waiting.append((event.time_s, event.pressure_pa))
            if self._hold_from_s is not None and self._stage != "done":
                self.hold.add_reading(event.time_s, event.pressure_pa)
        elif isinstance(event, Mark):
            label = event.text if event.kind == "note" else self._marks[event.kind]
            self.whole.add_mark(event.time_s, event.kind, label)
            self.recent.add_mark(event.time_s, event.kind, label)
        if step.snapshot is not None:
            self._news(step.snapshot)

    def _news(self, snapshot: Snapshot) -> None:
        for burst in snapshot.bursts:
            for chart in (self.lulls, self.whole, self.recent):
                chart.add_burst(burst)
        if snapshot.gap is not None:
            self._draw_waiting()
            self.lulls.add_gap(*snapshot.gap)
            self.whole.add_gap(*snapshot.gap)
            self.recent.add_gap(*snapshot.gap)
        if snapshot.stage != self._stage:
            if self._hold_from_s is not None and snapshot.stage not in ("holding", "done"):
                self.lulls.add_gap(self._hold_from_s, snapshot.time_s)
            self._stage = snapshot.stage
            self.whole.add_stage(snapshot.time_s, snapshot.stage, self._stages[snapshot.stage])
        if snapshot.isolation is not None and snapshot.isolation != self._isolation:
            self._isolation = snapshot.isolation
            self.lulls.add_isolation(snapshot.isolation)
        if snapshot.blank_off is not None:  # hoses and gauge alone: no time of the circuit
            until_s = snapshot.blank_off.until_s
            self.lulls.add_gap(snapshot.blank_off.from_s, math.inf if until_s is None else until_s)
        if snapshot.hold_from_s != self._hold_from_s:
            self._hold_from_s = snapshot.hold_from_s
            self.hold.clear()
            if snapshot.hold_from_s is not None:
                self.hold.begin(snapshot.hold_from_s)
                if snapshot.stage == "holding":
                    self.lulls.add_gap(snapshot.hold_from_s, math.inf)

    def _draw_waiting(self) -> None:
        """Draw the readings that have come: many at once when an old job is opened again."""
        if not self._waiting:
            return
        time_s, pressure_pa = np.array(self._waiting).T
        self._waiting.clear()
        self.whole.add_readings(time_s, pressure_pa)
        self.recent.add_readings(time_s, pressure_pa)

    def _draw_at_pump(self) -> None:
        if self._at_pump:
            time_s, pressure_pa = np.array(self._at_pump).T
            self._at_pump.clear()
            self.whole.add_pump_readings(time_s, pressure_pa)
            self.recent.add_pump_readings(time_s, pressure_pa)

    def refresh(self, snapshot: Snapshot, flat_interval_s: float) -> None:
        """Bring what moves with time up to the moment."""
        now_s = snapshot.time_s
        self._draw_waiting()
        self._draw_at_pump()
        self.lulls.set_estimate(snapshot.flat, now_s, flat_interval_s)
        self.lulls.refresh(now_s)
        if snapshot.boiling_pa is not None:
            self.whole.set_levels(snapshot.boiling_pa)
        self.whole.refresh(now_s)
        self.recent.refresh(now_s)
        if snapshot.hold is not None:
            self.hold.set_result(snapshot.hold)
        self.hold.refresh(now_s)
