"""The standing test: its readings since the valve was closed, and what would explain them."""

import math
import time
from collections.abc import Callable
from functools import partial
from typing import Final

import numpy as np
from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QWidget

from analysis.snapshot import HoldCurve, HoldResult
from app.charts.chart import Chart, Range
from app.charts.hold_layer import Explanation, ExplanationLayer
from app.charts.line_layers import (
    DASH_DOTTED,
    DASHED,
    DOTTED,
    CaptionLayer,
    EmptyLayer,
    Level,
    LevelLayer,
)
from app.charts.pyramid import Pyramid
from app.charts.ticks import fit_linear, pressure_ticks, time_ticks
from app.charts.trace_layer import TraceLayer
from app.words.display import UNIT_SYMBOLS
from app.words.terms import curve_names, line_names

_SHORTEST_S: Final = 300.0
_STEP: Final = 1.1
_MOST_FOR_NAMES: Final = 0.5  # of the width, right of the readings
_LEVEL_NAMES_PX: Final = 90.0  # from the left: the readings rise away from there
_LEAST_SPAN_PA: Final = 2.0

_STYLES: Final[dict[str, tuple[str, list[float]]]] = {
    "steady": ("good", DOTTED),
    "leak": ("danger", DASHED),
    "vapour": ("trend", DASH_DOTTED),
    "both": ("isolation", []),
}
_SOLE: Final = {"held": "steady", "leak": "leak", "vapour": "vapour", "both": "both"}


class HoldChart(Chart):
    """The hold's readings, linear, under the curves that compete to explain them."""

    def __init__(
        self,
        parent: QWidget | None = None,
        *,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._readings = Pyramid()
        self._from_s = 0.0
        self._span_s = _SHORTEST_S
        self._result: HoldResult | None = None
        self._is_explained = True
        self._curves = ExplanationLayer()
        self._levels = LevelLayer(left_px=_LEVEL_NAMES_PX)
        self._caption, self._empty = CaptionLayer(), EmptyLayer()
        super().__init__(
            (self._levels, TraceLayer(self._readings), self._curves, self._caption, self._empty),
            lambda low, high, at_most: time_ticks(low, high, at_most, self._from_s),
            partial(pressure_ticks, unit="micron"),
            period_s=1.0,
            clock=clock,
            parent=parent,
        )
        self._empty.text = self._to_close = self.tr(
            "Close the isolating valve: the standing test begins then."
        )
        self.setAccessibleName(self.tr("Standing test"))
        self.setAccessibleDescription(
            self.tr("Pressure since the valve was closed, with the curves that would explain it.")
        )
        self.on_unit("micron")

    def begin(self, from_s: float) -> None:
        """Begin: the isolating valve was closed at ``from_s``."""
        self.clear()
        self._from_s = self._now_s = from_s
        self._empty.text = self.tr("No reading yet.")
        self.draw()

    def add_reading(self, time_s: float, pressure_pa: float) -> None:
        """Add a reading of the isolated circuit; time never goes back."""
        self._empty.is_empty = False
        self._readings.append(time_s, pressure_pa)

    def set_result(self, result: HoldResult) -> None:
        """Draw the finding so far: curves and limits."""
        if result is self._result:
            return
        self._result = result
        self._show_result(result)

    def explain(self, *, is_told: bool) -> None:
        """Draw the explanations or not: an isolation is too short for them."""
        if is_told == self._is_explained:
            return
        self._is_explained = is_told
        if self._result is not None:
            self._show_result(self._result)
            self.draw()

    def _show_result(self, result: HoldResult) -> None:
        finding = _SOLE.get(result.finding)
        explained = [self._explain(curve, finding) for curve in result.curves]
        # The finding lies over the others.
        explained.sort(key=lambda each: each.is_finding)
        self._curves.explanations = tuple(explained) if self._is_explained else ()
        self._levels.levels = self._limits(result)

    def clear(self) -> None:
        """Empty the chart for another hold."""
        self._readings.clear()
        self._result, self._curves.explanations, self._levels.levels = None, (), ()
        self._from_s, self._span_s, self._now_s = 0.0, _SHORTEST_S, 0.0
        self._empty.is_empty, self._empty.text = True, self._to_close
        self.follow()

    def follow_range(self, now_s: float) -> Range:
        """Show all since the closing, growing a tenth at a time, with room for names."""
        last_s = float(self._readings.time_s[-1]) if len(self._readings) else self._from_s
        while self._span_s < last_s - self._from_s:
            self._span_s *= _STEP
        canvas = self._canvas
        share = self._curves.names_px(canvas.look) / max(canvas.frame.width, 1.0)
        return self._from_s, self._from_s + self._span_s / (1.0 - min(share, _MOST_FOR_NAMES))

    def fit_range(self, left: float, right: float) -> Range:
        """Fit the readings in view and the rise that is allowed, so that still looks still."""
        _, values = self._readings.envelope(left, right, 200)
        if len(values) == 0:
            return 0.0, 100.0
        low, high = float(np.nanmin(values)), float(np.nanmax(values))
        for level in self._levels.levels:
            if level.role == "attention":
                high = max(high, level.at)
        low, high = fit_linear(low, high + 0.12 * (high - low), _LEAST_SPAN_PA)
        return max(low, 0.0), high

    def on_unit(self, unit: str) -> None:
        """Write the axis in this unit."""
        self.y_axis.set_maker(partial(pressure_ticks, unit=unit))
        self._caption.text = UNIT_SYMBOLS[unit]

    def _explain(self, curve: HoldCurve, finding: str | None) -> Explanation:
        role, pattern = _STYLES[curve.name]
        time_s = np.array(curve.time_s) + self._from_s
        names = curve_names(QCoreApplication.translate)
        pressure_pa = np.array(curve.pressure_pa)
        return Explanation(
            time_s, pressure_pa, names[curve.name], role, pattern, curve.name == finding
        )

    def _limits(self, result: HoldResult) -> tuple[Level, ...]:
        levels, names = [], line_names(QCoreApplication.translate)
        for limit in result.limits:
            if limit.name == "rise" and result.curves:
                base_pa = min(curve.pressure_pa[0] for curve in result.curves)
                levels.append(Level(base_pa + limit.limit, names["rise"], "attention", DASHED))
            elif limit.name == "highest" and math.isfinite(limit.limit):
                levels.append(Level(limit.limit, names["highest"], "danger", DASH_DOTTED))
        return tuple(levels)
