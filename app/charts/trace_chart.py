"""What the two charts of the trace share: readings, bursts, marks and gaps."""

import time
from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QWidget

from analysis.snapshot import Burst
from app.charts.axis import TickMaker
from app.charts.burst_book import BurstBook
from app.charts.chart import Chart
from app.charts.gap_layer import GapLayer
from app.charts.layer import Layer
from app.charts.line_layers import CaptionLayer, EmptyLayer, Moment, MomentLayer
from app.charts.pyramid import Floats, Pyramid
from app.charts.ticks import time_ticks
from app.charts.trace_layer import PumpTraceLayer, TraceLayer
from app.words.display import UNIT_SYMBOLS


class TraceParts:
    """The layers of a trace and what they show.

    Parameters
    ----------
    top_px
        Kept free of words at the upper edge.
    """

    def __init__(self, top_px: float = 0.0) -> None:
        self.readings, self.bursts, self.at_pump = Pyramid(), BurstBook(), Pyramid()
        self.trace, self.pump_trace = TraceLayer(self.readings), PumpTraceLayer(self.at_pump)
        self.moments, self.caption = MomentLayer(top_px), CaptionLayer(top_px)
        self.gaps, self.empty = GapLayer(), EmptyLayer()

    def clear(self) -> None:
        """Forget all."""
        self.readings.clear()
        self.at_pump.clear()
        self.bursts.clear()
        self.moments.moments, self.gaps.gaps_s = [], []
        self.empty.is_empty = True


class TraceChart(Chart):
    """A chart of the readings. A subclass says on which scale.

    Parameters
    ----------
    parts, layers
        What is shown, and in which order.
    """

    def __init__(
        self,
        parts: TraceParts,
        layers: Sequence[Layer],
        pressure_ticks: TickMaker,
        *,
        period_s: float,
        clock: Callable[[], float] = time.monotonic,
        parent: QWidget | None = None,
    ) -> None:
        self._parts = parts
        self._start_s: float | None = None
        super().__init__(
            layers, time_ticks, pressure_ticks, period_s=period_s, clock=clock, parent=parent
        )
        parts.pump_trace.text = self.tr("at the pump")
        parts.gaps.short_text = self.tr("short gaps")
        parts.gaps.text, parts.empty.text = self.tr("no readings"), self.tr("No reading yet.")

    def levels(self, pressure_pa: Floats) -> Floats:
        """Put pressures on the axis' scale."""
        return pressure_pa

    def add_readings(self, time_s: Floats, pressure_pa: Floats) -> None:
        """Add readings, none earlier than those before: (n,) float64 each, s and Pa."""
        self._extend(self._parts.readings, time_s, pressure_pa)

    def add_pump_readings(self, time_s: Floats, pressure_pa: Floats) -> None:
        """Add readings of the second gauge, at the pump, in the same way."""
        self._extend(self._parts.at_pump, time_s, pressure_pa)

    def add_burst(self, burst: Burst) -> None:
        """Mark a burst, or revise or take back one marked before."""
        self._parts.bursts.add(burst)

    def add_mark(self, time_s: float, kind: str, label: str) -> None:
        """Mark what the technician did."""
        self._parts.moments.moments.append(Moment(time_s, label or kind))

    def add_gap(self, from_s: float, until_s: float) -> None:
        """Hatch a stretch without readings."""
        self._parts.readings.add_gap(from_s, until_s)
        self._parts.gaps.gaps_s.append((from_s, until_s))

    def clear(self) -> None:
        """Empty the chart for another run."""
        self._parts.clear()
        self._start_s, self._now_s = None, 0.0
        self.follow()

    def on_unit(self, unit: str) -> None:
        """Say the unit in the corner."""
        self._parts.caption.text = UNIT_SYMBOLS[unit]

    def _extend(self, readings: Pyramid, time_s: Floats, pressure_pa: Floats) -> None:
        if not len(time_s):
            return
        if self._start_s is None:
            self._start_s = float(time_s[0])
            self._parts.empty.is_empty = False
        readings.extend(time_s, self.levels(pressure_pa))
