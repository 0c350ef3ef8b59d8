"""The last minutes on a linear axis, where single bursts are seen."""

import math
import time
from collections.abc import Callable
from functools import partial
from typing import Final

import numpy as np
from PySide6.QtWidgets import QWidget

from app.charts.burst_layer import BurstLayer
from app.charts.chart import Range
from app.charts.pyramid import Floats
from app.charts.ticks import fit_linear, pressure_ticks
from app.charts.trace_chart import TraceChart, TraceParts

WINDOW_S: Final = 300.0
_STEP: Final = 0.1  # of the window: it jumps by this, so that most frames leave the axes alone
_PERIOD_S: Final = 0.08  # 10 frames a second, as ticks of 33 ms come out
_LEAST_SPAN_PA: Final = 2.5  # about 20 micron: a still trace shall look still
_HEADROOM: Final = 0.3  # of the span, above it: triangles and figures stand there
_LEAST_SHARE: Final = 0.3  # of the height, for the trace in which bursts are looked for
_NEWEST: Final = 0.25  # of the time in view: what the height must do for first
_FAR_SHARE: Final = 0.05  # what makes the newest part less of the height is no burst: air was in
_FIRST_RANGE_PA: Final = (0.0, 100.0)
_ENOUGH_COLUMNS: Final = 200  # to find the extremes, which are exact for any number


class RecentChart(TraceChart):
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
        parts = TraceParts()
        self._window_s = window_s
        layers = (
            *(parts.gaps, parts.caption, parts.moments, parts.pump_trace, parts.trace),
            *(BurstLayer(parts.bursts, parts.readings, has_rises=True), parts.empty),
        )
        ticks = partial(pressure_ticks, unit="micron")
        super().__init__(parts, layers, ticks, period_s=_PERIOD_S, clock=clock, parent=parent)
        self.setAccessibleName(self.tr("Last minutes"))
        self.setAccessibleDescription(
            self.tr("Pressure of the last minutes on a linear axis, with the rise of each burst.")
        )
        self.on_unit("micron")

    def follow_range(self, now_s: float) -> Range:
        """Show the window that ends at the next step after the newest reading."""
        start_s = self._start_s or 0.0
        step_s = _STEP * self._window_s
        steps = max(math.ceil((now_s - start_s) / step_s - 1e-9), round(1.0 / _STEP))
        end_s = start_s + steps * step_s
        return end_s - self._window_s, end_s

    def fit_range(self, left: float, right: float) -> Range:
        """Fit the readings in view, but for the fall from air, with room above for the figures."""
        time_s, values = self._parts.readings.envelope(left, right, _ENOUGH_COLUMNS)
        is_reading = ~np.isnan(values)
        if not is_reading.any():
            return _FIRST_RANGE_PA
        time_s, values = time_s[is_reading], values[is_reading]
        low, high = float(values.min()), _highest_since_fall(time_s, values)
        low, high = self._with_pump(left, right, low, high)
        span = max(high - low, _LEAST_SPAN_PA)
        low, high = fit_linear(low, high + _HEADROOM * span, _LEAST_SPAN_PA)
        return max(low, 0.0), high

    def _with_pump(self, left: float, right: float, low: float, high: float) -> Range:
        """Take the second gauge's readings in, as long as the first one's keep enough height."""
        _, values = self._parts.at_pump.envelope(left, right, _ENOUGH_COLUMNS)
        if len(values) == 0:
            return low, high
        both = min(low, float(np.nanmin(values))), max(high, float(np.nanmax(values)))
        is_enough = high - low >= _LEAST_SHARE * (both[1] - both[0])
        return both if is_enough else (low, high)

    def on_unit(self, unit: str) -> None:
        """Write the axis in this unit."""
        super().on_unit(unit)
        self.y_axis.set_maker(partial(pressure_ticks, unit=unit))


def _highest_since_fall(time_s: Floats, pressure_pa: Floats) -> float:
    """Highest pressure since air was pumped out, Pa.

    Beside the fall from air, thousandfold, a burst is flatter than a line is wide. So that fall
    may leave the chart at the top until the newest part of it has its share of the height.
    """
    newest_pa = pressure_pa[time_s >= time_s[-1] - _NEWEST * (time_s[-1] - time_s[0])]
    low = float(pressure_pa.min())
    span = max(float(newest_pa.max()) - low, _LEAST_SPAN_PA)
    (air,) = np.nonzero(pressure_pa > low + span / _FAR_SHARE)
    since = pressure_pa[air[-1] + 1 :] if len(air) else pressure_pa
    fallen = int(np.argmax(since <= low + span / _LEAST_SHARE))
    return float(since[fallen:].max())
