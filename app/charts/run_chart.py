"""The whole run on a log pressure axis."""

import math
import time
from collections.abc import Callable
from functools import partial
from typing import Final

import numpy as np
from PySide6.QtWidgets import QWidget

from analysis.snapshot import Burst
from app.charts.burst_book import BurstBook
from app.charts.burst_layer import BurstLayer
from app.charts.chart import Chart, Range
from app.charts.layer import Layer
from app.charts.line_layers import (
    DASH_DOTTED,
    DASHED,
    CaptionLayer,
    EmptyLayer,
    GapLayer,
    Level,
    LevelLayer,
    Moment,
    MomentLayer,
)
from app.charts.pyramid import Floats, Pyramid
from app.charts.stage_layer import BAND_PX, StageLayer, StageSpan
from app.charts.ticks import Ticks, fit_log, log_pressure_ticks, time_ticks
from app.charts.trace_layer import TraceLayer
from app.display import UNIT_SYMBOLS, pressure

TRIPLE_POINT_PA: Final = 611.657  # of water; IAPWS R7-97
_FOOT_PA: Final = 0.1  # a log axis has no zero; under a micron no gauge of this trade resolves
_SHORTEST_S: Final = 600.0
_AIR: Final = 0.1  # decades under the lowest reading
_FIRST_RANGE: Final = (1.0, 5.25)  # log10 Pa: from a good vacuum to the air outside


class RunChart(Chart):
    """The whole run: trace, bursts, marks, gaps, stages, and what water does at which pressure."""

    def __init__(
        self, parent: QWidget | None = None, *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._readings, self._bursts = Pyramid(), BurstBook()
        self._lowest, self._highest = math.inf, -math.inf
        self._start_s: float | None = None
        self._end_s = _SHORTEST_S
        self._boiling_pa: float | None = None
        self._levels = LevelLayer(BAND_PX)
        self._moments = MomentLayer(BAND_PX)
        self._stages = StageLayer()
        self._caption = CaptionLayer(BAND_PX)
        self._gaps, self._empty = GapLayer(""), EmptyLayer("")
        layers: tuple[Layer, ...] = (
            *(self._gaps, self._moments, self._levels, TraceLayer(self._readings)),
            *(BurstLayer(self._bursts, self._readings), self._stages),
            *(self._caption, self._empty),
        )
        super().__init__(
            layers,
            self._time_ticks,
            partial(log_pressure_ticks, unit="micron"),
            period_s=1.0,
            clock=clock,
            parent=parent,
        )
        self._gaps.text, self._empty.text = self.tr("no readings"), self.tr("No reading yet.")
        self.setAccessibleName(self.tr("Whole run"))
        self.setAccessibleDescription(
            self.tr("Pressure since the start on a logarithmic axis, with bursts and marks.")
        )
        self.on_unit("micron")

    def add_reading(self, time_s: float, pressure_pa: float) -> None:
        """Add a reading; time never goes back."""
        self._begin(time_s)
        level = math.log10(max(pressure_pa, _FOOT_PA))
        self._lowest, self._highest = min(level, self._lowest), max(level, self._highest)
        self._readings.append(time_s, level)

    def add_readings(self, time_s: Floats, pressure_pa: Floats) -> None:
        """Add many at once, as when a long job is opened again: (n,) float64 each, s and Pa."""
        if not len(time_s):
            return
        self._begin(float(time_s[0]))
        levels = np.log10(np.maximum(pressure_pa, _FOOT_PA))
        self._lowest = min(float(levels.min()), self._lowest)
        self._highest = max(float(levels.max()), self._highest)
        self._readings.extend(time_s, levels)

    def add_burst(self, burst: Burst) -> None:
        """Mark a burst, or revise or take back one marked before."""
        self._bursts.add(burst)

    def add_mark(self, time_s: float, kind: str, label: str) -> None:
        """Mark what the technician did."""
        self._moments.moments.append(Moment(time_s, label or kind))

    def add_gap(self, from_s: float, until_s: float) -> None:
        """Hatch a stretch without readings."""
        self._readings.add_gap(from_s, until_s)
        self._gaps.gaps_s.append((from_s, until_s))

    def add_stage(self, time_s: float, stage: str, label: str) -> None:
        """Begin a stage in the band along the top."""
        self._stages.stages.append(StageSpan(time_s, stage, label))

    def set_levels(self, boiling_pa: float | None) -> None:
        """Set the water's boiling pressure at the circuit's temperature."""
        if boiling_pa != self._boiling_pa:
            self._boiling_pa = boiling_pa
            self._draw_levels(self._canvas.look.unit)

    def clear(self) -> None:
        """Empty the chart for another run."""
        self._readings.clear()
        self._bursts.clear()
        self._lowest, self._highest, self._start_s = math.inf, -math.inf, None
        self._end_s, self._now_s = _SHORTEST_S, 0.0
        self._moments.moments, self._gaps.gaps_s, self._stages.stages = [], [], []
        self._empty.is_empty = True
        self.set_levels(None)
        self.follow()

    def follow_range(self, now_s: float) -> Range:
        """Show all of it, growing a tenth at a time."""
        start_s = self._start_s or 0.0
        while self._end_s < now_s:
            self._end_s = start_s + 1.1 * (self._end_s - start_s)
        self._stages.now_s = now_s
        return start_s, self._end_s

    def fit_range(self, left: float, right: float) -> Range:
        """Show the run's whole range of pressure: what is in view keeps its place."""
        low, high = min(self._lowest, _FIRST_RANGE[0]), max(self._highest, _FIRST_RANGE[1])
        return fit_log(low - _AIR, high)

    def on_unit(self, unit: str) -> None:
        """Write the axis and the levels in this unit."""
        self.y_axis.set_maker(partial(log_pressure_ticks, unit=unit))
        self._caption.text = UNIT_SYMBOLS[unit]
        self._draw_levels(unit)

    def _begin(self, time_s: float) -> None:
        if self._start_s is None:
            self._start_s = time_s
            self._end_s = time_s + _SHORTEST_S
            self._empty.is_empty = False

    def _draw_levels(self, unit: str) -> None:
        ice = self.tr("ice possible below {pressure}").format(
            pressure=pressure(TRIPLE_POINT_PA, unit)
        )
        levels = [Level(math.log10(TRIPLE_POINT_PA), ice, "freezing", DASH_DOTTED)]
        if self._boiling_pa:
            boils = self.tr("water boils below {pressure}")
            text = boils.format(pressure=pressure(self._boiling_pa, unit))
            levels.append(Level(math.log10(self._boiling_pa), text, "boiling", DASHED))
        self._levels.levels = tuple(levels)
        self.changed()

    def _time_ticks(self, low: float, high: float, at_most: int) -> Ticks:
        return time_ticks(low, high, at_most, self.zero_s)
