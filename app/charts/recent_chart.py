"""The last minutes on a linear axis, where single bursts are seen."""

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
from app.charts.line_layers import CaptionLayer, EmptyLayer, GapLayer, Moment, MomentLayer
from app.charts.pyramid import Floats, Pyramid
from app.charts.ticks import Ticks, fit_linear, pressure_ticks, time_ticks
from app.charts.trace_layer import TraceLayer
from app.display import UNIT_SYMBOLS

WINDOW_S: Final = 300.0
_STEP: Final = 0.1  # of the window: it jumps by this, so that most frames leave the axes alone
_LEAST_SPAN_PA: Final = 2.5  # about 20 micron: a still trace shall look still
_HEADROOM: Final = 0.3  # of the span, above it: triangles and figures stand there


class RecentChart(Chart):
    """The last five minutes, with each burst's rise.

    Parameters
    ----------
    window_s
        How much is shown while following.
    """

    def __init__(
        self,
        parent: QWidget | None = None,
        *,
        window_s: float = WINDOW_S,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._readings, self._bursts = Pyramid(), BurstBook()
        self._window_s = window_s
        self._start_s: float | None = None
        self._moments, self._caption = MomentLayer(), CaptionLayer()
        self._gaps, self._empty = GapLayer(""), EmptyLayer("")
        layers: tuple[Layer, ...] = (
            *(self._gaps, TraceLayer(self._readings)),
            BurstLayer(self._bursts, self._readings, has_rises=True),
            *(self._moments, self._caption, self._empty),
        )
        super().__init__(
            layers,
            self._time_ticks,
            partial(pressure_ticks, unit="micron"),
            period_s=0.1,
            clock=clock,
            parent=parent,
        )
        self._gaps.text, self._empty.text = self.tr("no readings"), self.tr("No reading yet.")
        self.setAccessibleName(self.tr("Last minutes"))
        self.setAccessibleDescription(
            self.tr("Pressure of the last minutes on a linear axis, with the rise of each burst.")
        )
        self.on_unit("micron")

    def add_reading(self, time_s: float, pressure_pa: float) -> None:
        """Add a reading; time never goes back."""
        self._begin(time_s)
        self._readings.append(time_s, pressure_pa)

    def add_readings(self, time_s: Floats, pressure_pa: Floats) -> None:
        """Add many at once, as when a long job is opened again: (n,) float64 each, s and Pa."""
        if len(time_s):
            self._begin(float(time_s[0]))
            self._readings.extend(time_s, pressure_pa)

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

    def clear(self) -> None:
        """Empty the chart for another run."""
        self._readings.clear()
        self._bursts.clear()
        self._moments.moments, self._gaps.gaps_s = [], []
        self._start_s, self._now_s = None, 0.0
        self._empty.is_empty = True
        self.follow()

    def follow_range(self, now_s: float) -> Range:
        """Show the window that ends at the next step after the newest reading."""
        start_s = self._start_s or 0.0
        step_s = _STEP * self._window_s
        steps = max(math.ceil((now_s - start_s) / step_s - 1e-9), round(1.0 / _STEP))
        end_s = start_s + steps * step_s
        return end_s - self._window_s, end_s

    def fit_range(self, left: float, right: float) -> Range:
        """Fit the readings in view, with room above for the figures."""
        _, values = self._readings.envelope(left, right, 200)
        if len(values) == 0:
            return 0.0, 100.0
        low, high = float(np.nanmin(values)), float(np.nanmax(values))
        span = max(high - low, _LEAST_SPAN_PA)
        low, high = fit_linear(low, high + _HEADROOM * span, _LEAST_SPAN_PA)
        return max(low, 0.0), high

    def on_unit(self, unit: str) -> None:
        """Write the axis in this unit."""
        self.y_axis.set_maker(partial(pressure_ticks, unit=unit))
        self._caption.text = UNIT_SYMBOLS[unit]

    def _begin(self, time_s: float) -> None:
        if self._start_s is None:
            self._start_s = time_s
            self._empty.is_empty = False

    def _time_ticks(self, low: float, high: float, at_most: int) -> Ticks:
        return time_ticks(low, high, at_most, self.zero_s)
