"""The readings."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from pyqtgraph.Qt.internals import PrimitiveArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from app.charts.columns import column_bars
from app.charts.frame import Frame
from app.charts.layer import Look
from app.charts.pyramid import Pyramid

_THICK_PX = 2.0  # told apart from the grid at two metres; costs no more than 1 px, being bars


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
        width = int(np.ceil(frame.width))
        x, y = self._readings.envelope(frame.left, frame.right, width)
        if len(x) == 0:
            return
        column, top, bottom = column_bars(frame.x_px(x), frame.y_px(y), width)
        if len(x) < 4 and len(column) == 0:
            return
        half = 0.5 * _THICK_PX
        top = np.clip(top, -_THICK_PX, frame.height) - half
        bottom = np.clip(bottom, 0.0, frame.height + _THICK_PX) + half
        self._rectangles.resize(len(column))
        bars = self._rectangles.ndarray()
        bars[:, 0], bars[:, 1] = column - half, np.round(top)
        bars[:, 2], bars[:, 3] = _THICK_PX, np.maximum(np.round(bottom - top), _THICK_PX)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(look.palette.trace))
        painter.drawRects(*self._rectangles.drawargs())


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
