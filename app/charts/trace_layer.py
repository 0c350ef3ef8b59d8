"""The readings, and those of a second gauge at the pump."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from pyqtgraph.Qt.internals import PrimitiveArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from app.charts.columns import Floats, column_bars
from app.charts.frame import Frame
from app.charts.layer import Look, bounds_of, plate
from app.charts.pyramid import Pyramid

Bars = tuple[Floats, Floats, Floats]  # column, top and bottom, px

_THICK_PX = 2.0  # told apart from the grid at two metres; costs no more than 1 px, being bars
_THIN_PX = 1.0
_DASH_PX, _SPACE_PX = 7, 4
_STEEP_PX = 6.0  # a bar of this height is drawn in a space too, else a steep fall would vanish


class TraceLayer:
    """The readings as one bar a pixel column, so that every extreme shows at any zoom.

    Bars rather than a polyline: a line of 2 px without antialiasing takes several times as long,
    with antialiasing several hundred times (measured on 5 million readings).

    Parameters
    ----------
    readings
        The readings, already on the axis' scale.
    """

    def __init__(self, readings: Pyramid) -> None:
        self._readings = readings
        # Qt takes the rectangles as one array of its own only; pyqtgraph's curves use the same.
        self._rectangles = PrimitiveArray(QRectF, 4)

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint the part in view."""
        column, top, bottom = self._bars(frame)
        self._draw(painter, frame, look, (column, top, bottom), _THICK_PX, "trace")

    def _bars(self, frame: Frame) -> Bars:
        width = int(np.ceil(frame.width))
        x, y = self._readings.envelope(frame.left, frame.right, width)
        return column_bars(frame.x_px(x), frame.y_px(y), width)

    def _draw(
        self,
        painter: QPainter,
        frame: Frame,
        look: Look,
        drawn: Bars,
        thick_px: float,
        role: str,
    ) -> None:
        # Cut off, not held at the edge: a line along the edge would pass for a reading.
        is_in_view = (drawn[1] < frame.height) & (drawn[2] > 0.0)
        column, top, bottom = (part[is_in_view] for part in drawn)
        if len(column) == 0:
            return
        half = 0.5 * thick_px
        top = np.clip(top, -thick_px, frame.height) - half
        bottom = np.clip(bottom, 0.0, frame.height + thick_px) + half
        self._rectangles.resize(len(column))
        bars = self._rectangles.ndarray()
        bars[:, 0], bars[:, 1] = column - half, np.round(top)
        bars[:, 2], bars[:, 3] = thick_px, np.maximum(np.round(bottom - top), thick_px)
        look.drawn.append(np.column_stack((bars[:, :2], bars[:, :2] + bars[:, 2:])))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(getattr(look.palette, role)))
        painter.drawRects(*self._rectangles.drawargs())


class PumpTraceLayer(TraceLayer):
    """The second gauge's readings: thinner, in dashes, of another colour, with a name at the end.

    Parameters
    ----------
    readings
        The readings, already on the axis' scale.
    """

    def __init__(self, readings: Pyramid) -> None:
        super().__init__(readings)
        self.text = ""
        self._end: tuple[float, float] | None = None  # px

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint the part in view."""
        self._end = None
        if not len(self._readings):
            return
        column, top, bottom = self._bars(frame)
        is_dash = column % (_DASH_PX + _SPACE_PX) < _DASH_PX
        kept = is_dash | (bottom - top > _STEEP_PX)
        bars = column[kept], top[kept], bottom[kept]
        self._draw(painter, frame, look, bars, _THIN_PX, "pump")
        self._end = (float(column[-1]), float(bottom[-1])) if len(column) else None

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Write the name under or over the end."""
        if self._end is None or not self.text or not 0.0 <= self._end[1] <= frame.height:
            return
        left = self._end[0] - look.metrics.horizontalAdvance(self.text) - 8.0
        beside = 0.8 * look.metrics.height()
        places = [(left, self._end[1] + beside), (left, self._end[1] - beside)]
        plate(painter, look, self.text, places, look.palette.pump, bounds_of(frame))


class GridLayer:
    """Opaque lines at the axes' ticks; see-through ones cost ten times as much."""

    def __init__(
        self,
        columns: Callable[[], NDArray[np.float64]],
        rows: Callable[[], NDArray[np.float64]],
    ) -> None:
        self._columns, self._rows = columns, rows

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint the ground and the lines."""
        ground, line = QColor(look.palette.surface), QColor(look.palette.grid)
        painter.fillRect(QRectF(0.0, 0.0, frame.width, frame.height), ground)
        for x in np.round(frame.x_px(self._columns())):
            painter.fillRect(QRectF(x, 0.0, 1.0, frame.height), line)
        for y in np.round(frame.y_px(self._rows())):
            painter.fillRect(QRectF(0.0, y, frame.width, 1.0), line)
