"""The whole run on a log pressure axis."""

import math
import time
from collections.abc import Callable
from functools import partial
from typing import Final

import numpy as np
from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QWidget

from app.charts.burst_layer import BurstLayer
from app.charts.chart import Range
from app.charts.line_layers import DASH_DOTTED, DASHED, Level, LevelLayer
from app.charts.pyramid import Floats
from app.charts.stage_layer import BAND_PX, StageLayer, StageSpan
from app.charts.ticks import fit_log, log_pressure_ticks
from app.charts.trace_chart import TraceChart, TraceParts
from app.words.display import pressure
from app.words.terms import line_names

TRIPLE_POINT_PA: Final = 611.657  # of water; IAPWS R7-97
_FOOT_PA: Final = 0.1  # a log axis has no zero; no gauge of this trade resolves less
_SHORTEST_S: Final = 600.0
_STEP: Final = 1.1
_AIR: Final = 0.1  # decades under the lowest reading
_FIRST_RANGE: Final = (1.0, 5.25)  # log10 Pa: from a good vacuum to the air outside


class RunChart(TraceChart):
    """The whole run: trace, bursts, marks, gaps, stages, and what water does at which pressure."""

    def __init__(
        self, parent: QWidget | None = None, *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        parts = TraceParts(BAND_PX)
        self._range = _FIRST_RANGE
        self._span_s = _SHORTEST_S
        self._boiling_pa: float | None = None
        self._levels, self._stages = LevelLayer(BAND_PX), StageLayer()
        layers = (
            *(parts.gaps, parts.caption, self._levels, parts.moments),
            *(parts.pump_trace, parts.trace, BurstLayer(parts.bursts, parts.readings)),
            *(self._stages, parts.empty),
        )
        ticks = partial(log_pressure_ticks, unit="micron")
        super().__init__(parts, layers, ticks, period_s=1.0, clock=clock, parent=parent)
        self.setAccessibleName(self.tr("Whole run"))
        self.setAccessibleDescription(
            self.tr("Pressure since the start on a logarithmic axis, with bursts and marks.")
        )
        self.on_unit("micron")

    def levels(self, pressure_pa: Floats) -> Floats:
        """Take the logarithms, and keep the range."""
        levels = np.log10(np.maximum(pressure_pa, _FOOT_PA))
        low, high = self._range
        self._range = min(low, float(levels.min())), max(high, float(levels.max()))
        return levels

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
        self._range, self._span_s, self._stages.stages = _FIRST_RANGE, _SHORTEST_S, []
        self.set_levels(None)
        super().clear()

    def follow_range(self, now_s: float) -> Range:
        """Show all of it, growing a tenth at a time."""
        start_s = self._start_s or 0.0
        while self._span_s < now_s - start_s:
            self._span_s *= _STEP
        self._stages.now_s = now_s
        return start_s, start_s + self._span_s

    def fit_range(self, left: float, right: float) -> Range:
        """Show the run's whole range of pressure: what is in view keeps its place."""
        return fit_log(self._range[0] - _AIR, self._range[1])

    def on_unit(self, unit: str) -> None:
        """Write the axis and the levels in this unit."""
        super().on_unit(unit)
        self.y_axis.set_maker(partial(log_pressure_ticks, unit=unit))
        self._draw_levels(unit)

    def _draw_levels(self, unit: str) -> None:
        names = line_names(QCoreApplication.translate)
        text = names["freezing-at"].format(pressure=pressure(TRIPLE_POINT_PA, unit))
        short = names["freezing"]
        levels = [Level(math.log10(TRIPLE_POINT_PA), text, "freezing", DASH_DOTTED, short)]
        if self._boiling_pa:
            text = names["boiling-at"].format(pressure=pressure(self._boiling_pa, unit))
            short = names["boiling"]
            levels.append(Level(math.log10(self._boiling_pa), text, "boiling", DASHED, short))
        self._levels.levels = tuple(levels)
        self.changed()
