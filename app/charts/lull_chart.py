"""The lull chart: each lull against time, climbing towards the flat interval."""

import math
import time
from collections.abc import Callable
from typing import Final

import numpy as np
from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QWidget

from analysis.snapshot import Burst, FlatEstimate, Isolation
from app.charts.burst_book import BurstBook
from app.charts.chart import Chart, Range
from app.charts.isolation_layer import IsolationLayer
from app.charts.line_layers import DASHED, EmptyLayer, Level, LevelLayer
from app.charts.lull_layers import (
    Crossing,
    CrossingLayer,
    LullLayer,
    RunningLullLayer,
    TrendLayer,
)
from app.charts.pyramid import Floats
from app.charts.ticks import Ticks, clock, fit_log, lull_ticks, time_ticks
from app.words.display import duration
from app.words.flat import LONGEST_S
from app.words.terms import line_names

_FLAT_INTERVAL_S: Final = 600.0  # until it is told
_SHORTEST_S: Final = 600.0
_LEAST_LULL_S: Final = 0.1  # two onsets at one time would have no place on a log axis
_STEP: Final = 1.1
_STRIP: Final = (0.28, 0.55)  # share of the isolations' strip: beside lulls, and without any
# Of the time gone by: so much of the range to come is shown, or so much where that brings its
# middle into view; a crossing further off is told at the edge.
_AHEAD: Final = (1.0, 2.0)


class LullChart(Chart):
    """Each lull, the fitted trend with its band, the flat interval, and each isolation's rise.

    A lull during which the circuit was isolated or shut off for a blank-off test, or readings were
    missing, is left out: nobody saw whether there was a burst.
    """

    def __init__(
        self,
        parent: QWidget | None = None,
        *,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._bursts = BurstBook()
        self._blind_s: dict[float, float] = {}  # stretches nobody could see bursts in
        self._start_s: float | None = None
        self._span_s = _SHORTEST_S
        self._floor = 0.0
        self._flat_interval_s = _FLAT_INTERVAL_S
        self._lulls, self._trend, self._crossing = LullLayer(), TrendLayer(), CrossingLayer()
        self._running, self._isolations = RunningLullLayer(), IsolationLayer()
        self._level, self._empty = LevelLayer(left_px=8.0), EmptyLayer()
        super().__init__(
            (
                *(self._trend, self._level, self._lulls, self._isolations, self._crossing),
                *(self._running, self._empty),
            ),
            time_ticks,
            self._lull_ticks,
            period_s=1.0,
            clock=clock,
            parent=parent,
        )
        self._empty.text = self.tr("Each lull between two bursts will stand here.")
        self._lulls.caption = self.tr("bar: the middle 8 in 10 lulls there; stroke: their median")
        self._isolations.caption = self.tr("rise while isolated")
        self.setAccessibleName(self.tr("Lulls"))
        self.setAccessibleDescription(
            self.tr("Time between bursts, on a logarithmic axis, climbing to the flat interval.")
        )
        self._set_flat_line()

    def add_burst(self, burst: Burst) -> None:
        """Take a burst: the lulls stand between confirmed ones."""
        self._bursts.add(burst)

    def add_isolation(self, isolation: Isolation) -> None:
        """Add an isolation, or bring one up to date."""
        self._isolations.isolations[isolation.from_s] = isolation
        until_s = math.inf if isolation.until_s is None else isolation.until_s
        self._blind_s[isolation.from_s] = until_s

    def add_gap(self, from_s: float, until_s: float) -> None:
        """Leave out the lull in which nobody could see a burst; until infinity while it lasts."""
        self._blind_s[from_s] = until_s

    def set_estimate(self, flat: FlatEstimate, now_s: float, flat_interval_s: float) -> None:
        """Set the trend, when it meets the flat interval, and the moment."""
        self._trend.curve = flat.curve
        if flat_interval_s != self._flat_interval_s:
            self._flat_interval_s = flat_interval_s
            self._set_flat_line()
        self._crossing.crossing = self._crossing_of(flat, now_s)
        self._now_s = max(now_s, self._now_s)
        self._start_s = now_s if self._start_s is None else min(now_s, self._start_s)

    def clear(self) -> None:
        """Empty the chart for another run."""
        self._bursts.clear()
        self._blind_s, self._isolations.isolations = {}, {}
        self._trend.curve, self._crossing.crossing = (), None
        self._start_s, self._span_s, self._now_s = None, _SHORTEST_S, 0.0
        self.follow()

    @property
    def shown_lulls(self) -> tuple[Floats, Floats]:
        """The lulls as drawn last: their ends and lengths, (n,) float64, s."""
        return self._lulls.time_s, 10.0**self._lulls.log_lull

    @property
    def quiet_s(self) -> float | None:
        """How long no burst has come, as drawn last; ``None`` while nothing is watched."""
        log_lull = self._running.log_lull
        return None if log_lull is None else 10.0**log_lull

    def draw(self) -> None:
        """Bring lulls and running lull up to date, then paint."""
        onsets_s = self._bursts.confirmed_onsets_s
        self._set_lulls(onsets_s)
        self._set_running(onsets_s)
        self._isolations.share = _STRIP[len(self._lulls.time_s) < 2]
        if not self._isolations.isolations:
            self._isolations.share = 0.0
        has_any = len(self._lulls.time_s) or self._isolations.isolations
        self._empty.is_empty = not has_any and self._running.log_lull is None
        super().draw()

    def follow_range(self, now_s: float) -> Range:
        """Show the run so far and the way to the crossing, in steps of a tenth."""
        onsets_s = self._bursts.confirmed_onsets_s
        starts_s = [at for at in (self._start_s, *onsets_s[:1].tolist()) if at is not None]
        start_s = min(starts_s, default=0.0)
        gone_s = max(now_s - start_s, 0.0)
        ahead_s = 0.0
        crossing = self._crossing.crossing
        if crossing is not None:
            usual_s, most_s = (share * gone_s + _SHORTEST_S for share in _AHEAD)
            middle_s = 1.1 * (crossing.best_s - now_s)
            wanted_s = max(usual_s, middle_s) if middle_s <= most_s else usual_s
            ahead_s = min(max(crossing.high_s - now_s, 0.0), wanted_s)
        needed_s = 1.04 * (gone_s + ahead_s)
        if not needed_s <= self._span_s <= needed_s * _STEP**3:
            steps = math.ceil(math.log(max(needed_s / _SHORTEST_S, 1.0), _STEP) - 1e-9)
            self._span_s = _SHORTEST_S * _STEP**steps
        return start_s, start_s + self._span_s

    def fit_range(self, left: float, right: float) -> Range:
        """Show all lulls and the flat interval, over the strip of the isolations."""
        flat, logs = math.log10(self._flat_interval_s), self._lulls.log_lull
        low = min(float(logs.min(initial=math.inf)), flat - 2.0)
        running = self._running.log_lull
        high = max(
            float(logs.max(initial=-math.inf)), flat + 0.2, flat if running is None else running
        )
        low, high = fit_log(low, high)
        self._floor = low
        return low - (high - low) * self._isolations.share / (1.0 - self._isolations.share), high

    def _set_lulls(self, onsets_s: Floats) -> None:
        seen = np.ones(max(len(onsets_s) - 1, 0), np.bool_)
        for from_s, until_s in self._blind_s.items():
            seen &= (onsets_s[1:] <= from_s) | (onsets_s[:-1] >= until_s)
        lulls_s = np.maximum(np.diff(onsets_s), _LEAST_LULL_S)
        self._lulls.time_s = onsets_s[1:][seen]
        self._lulls.log_lull = np.log10(lulls_s[seen])

    def _set_running(self, onsets_s: Floats) -> None:
        running = self._running
        running.now_s, running.log_lull = self._now_s, None
        if not len(onsets_s):
            return
        # Quiet is only what was watched: it begins anew when an isolation or a gap ends.
        quiet_s = self._now_s - max(float(onsets_s[-1]), *self._blind_s.values(), -math.inf)
        if quiet_s > 0.0:
            running.log_lull = math.log10(max(quiet_s, _LEAST_LULL_S))
            told = duration(quiet_s)
            running.texts = (self.tr("quiet for {time}").format(time=told), told)

    def _crossing_of(self, flat: FlatEstimate, now_s: float) -> Crossing | None:
        if flat.flat_at_s is None or flat.flat_low_s is None or flat.flat_high_s is None:
            return None
        best, low, high = map(clock, (flat.flat_at_s, flat.flat_low_s, flat.flat_high_s))
        texts = [
            self.tr("flat at {best} ({low} to {high})").format(best=best, low=low, high=high),
            self.tr("{best} ({low} to {high})").format(best=best, low=low, high=high),
            best,
        ]
        if flat.flat_at_s - now_s > LONGEST_S:
            texts = [self.tr("flat: not within a day")]
        return Crossing(flat.flat_low_s, flat.flat_at_s, flat.flat_high_s, tuple(texts))

    def _set_flat_line(self) -> None:
        at = math.log10(self._flat_interval_s)
        name = line_names(QCoreApplication.translate)["flat"]
        text = name.format(time=duration(self._flat_interval_s))
        self._level.levels = (Level(at, text, "flat", DASHED),)
        self._crossing.log_flat = at

    def _lull_ticks(self, low: float, high: float, at_most: int) -> Ticks:
        share = (high - self._floor) / (high - low)
        return lull_ticks(self._floor, high, max(2, int(at_most * share)))
