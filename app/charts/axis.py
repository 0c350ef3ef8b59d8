"""An axis with few, large ticks, given by a function."""

import math
from collections.abc import Callable

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from app.charts.palette import PALETTES, Palette
from app.charts.ticks import Ticks

TickMaker = Callable[[float, float, int], Ticks]

_WIDEST = "1 000 000"
_APART = {"bottom": 100.0, "left": 44.0}  # px between two ticks, at least
_LONGEST = "00:00:00"
_OFFSET_PX = 8.0  # from the line to the texts


class TickAxis(pg.AxisItem):
    """An axis that shows what ``make`` gives for the range in view.

    It paints for itself: pyqtgraph keeps an axis as a recorded picture, whose texts come out in
    another size where the resolution is another.

    Parameters
    ----------
    side
        ``"bottom"`` or ``"left"``.
    make
        From (low, high, how many fit) to positions and texts.
    """

    def __init__(self, side: str, make: TickMaker) -> None:
        super().__init__(side)
        self._is_left = side == "left"
        self._apart_px = _APART[side]
        self._make = make
        self._palette, self._font = PALETTES["light"], QFont()
        self._known_for: tuple[float, float, float] | None = None
        self._known: Ticks = []

    def set_maker(self, make: TickMaker) -> None:
        """Show other ticks: the unit has changed."""
        self._make, self._known_for = make, None
        self.update()

    def set_look(self, palette: Palette, font: QFont) -> None:
        """Use these colours and this font."""
        self._palette, self._font = palette, font
        metrics = QFontMetricsF(font)
        # Texts stand out beyond the ends by half their width: what is painted there has to be
        # told to Qt, or a bit of it stays when the text goes.
        beyond = math.ceil(0.5 * metrics.horizontalAdvance(_LONGEST))
        pg.AxisItem.setStyle(self, tickLength=0, hideOverlappingLabels=beyond)
        if self._is_left:
            self.setWidth(round(metrics.horizontalAdvance(_WIDEST) + 1.5 * _OFFSET_PX))
        else:
            self.setHeight(round(metrics.height() + 1.5 * _OFFSET_PX))
        self.update()

    @property
    def positions(self) -> NDArray[np.float64]:
        """Where the ticks are now, for the grid."""
        return np.array([at for at, _ in self._ticks()], np.float64)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionGraphicsItem,
        /,
        widget: QWidget | None = None,
    ) -> None:
        """Paint the line, and the texts that lie wholly within the widget."""
        size, (low, high) = self.size(), self.range
        line = QColor(self._palette.muted)
        painter.setFont(self._font)
        painter.setPen(QColor(self._palette.text))
        if self._is_left:
            painter.fillRect(QRectF(size.width() - 1.0, 0.0, 1.0, size.height()), line)
            for at, text in self._ticks():
                self._write_left(painter, (high - at) / (high - low) * size.height(), text)
        else:
            painter.fillRect(QRectF(0.0, 0.0, size.width(), 1.0), line)
            for at, text in self._ticks():
                self._write_below(painter, (at - low) / (high - low) * size.width(), text)

    def _write_left(self, painter: QPainter, y: float, text: str) -> None:
        height = QFontMetricsF(self._font).height()
        right = self.size().width() - _OFFSET_PX
        rect = QRectF(0.0, y - 0.5 * height, right, height)
        flags = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(rect, int(flags), text)

    def _write_below(self, painter: QPainter, x: float, text: str) -> None:
        metrics = QFontMetricsF(self._font)
        width = metrics.horizontalAdvance(text)
        if x + 0.5 * width <= self.size().width() + _OFFSET_PX:
            foot = _OFFSET_PX + metrics.ascent()
            painter.drawText(QPointF(x - 0.5 * width, foot), text)

    def _ticks(self) -> Ticks:
        low, high = self.range
        if not high > low:
            return []
        length = self.size().height() if self._is_left else self.size().width()
        if self._known_for != (low, high, length):
            self._known_for = (low, high, length)
            self._known = self._make(low, high, max(2, int(length / self._apart_px)))
        return self._known
