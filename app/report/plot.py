"""A printed chart's frame: black on white, hair lines, ticks outside, everything else clipped."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPen, QPolygonF

Floats = NDArray[np.float64]
Ticks = Sequence[tuple[float, str]]

BLACK, GREY, GRID, SHADE = "#000000", "#666666", "#d8d8d8", "#e6e6e6"
SOLID: tuple[float, ...] = ()
DASHED, DOTTED, DASH_DOTTED = (6.0, 3.0), (1.0, 2.5), (7.0, 2.5, 1.0, 2.5)
_HATCHED_FROM_MM = 0.8


class Plot:
    """Maps values into a rectangle of the page and draws there.

    Parameters
    ----------
    painter
        Paints the page; its font is the one of all labels.
    rect
        Where the chart may draw, title and ticks' texts included.
    mm
        Device units in a millimetre.
    x, y
        Least and greatest value of each axis.
    axis
        Gives the place of an x, 0 to 1, where that is not even.

    Attributes
    ----------
    labels
        Where something is written: what is named later keeps off it.
    """

    def __init__(
        self,
        painter: QPainter,
        rect: QRectF,
        mm: float,
        x: tuple[float, float],
        y: tuple[float, float],
        axis: Callable[[float], float] | None = None,
    ) -> None:
        self.painter, self.mm = painter, mm
        self.metrics = QFontMetricsF(painter.font(), painter.device())
        line = self.metrics.height()
        self.area = rect.adjusted(11.5 * mm, 1.3 * line, -0.5 * mm, -1.3 * line)
        self._rect = rect
        self._x, self._y = _widened(x), _widened(y)
        self._axis = axis
        self.labels: list[QRectF] = []

    def x_at(self, value: float) -> float:
        """Give the place of a value along the page."""
        low, high = self._x
        place = (value - low) / (high - low) if self._axis is None else self._axis(value)
        return self.area.left() + place * self.area.width()

    def y_at(self, value: float) -> float:
        """Give the place of a value down the page."""
        low, high = self._y
        return self.area.bottom() - (value - low) / (high - low) * self.area.height()

    def frame(self, title: str, x_ticks: Ticks, y_ticks: Ticks) -> None:
        """Draw grid, title and ticks' texts."""
        painter, area = self.painter, self.area
        line = self.metrics.height()
        painter.setPen(self.pen(GRID, 0.1))
        for value, _ in x_ticks:
            painter.drawLine(QLineF(self.x_at(value), area.top(), self.x_at(value), area.bottom()))
        for value, _ in y_ticks:
            painter.drawLine(QLineF(area.left(), self.y_at(value), area.right(), self.y_at(value)))
        painter.setPen(QColor(BLACK))
        for value, text in x_ticks:
            box = QRectF(self.x_at(value) - 10 * self.mm, area.bottom(), 20 * self.mm, 1.2 * line)
            box.moveRight(min(box.right(), self._rect.right() + 7.5 * self.mm))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        for value, text in y_ticks:
            box = QRectF(self._rect.left(), self.y_at(value) - line, 10.8 * self.mm, 2 * line)
            painter.drawText(box, right, text)
        top = QRectF(self._rect.left(), self._rect.top(), self._rect.width(), 1.2 * line)
        painter.drawText(top, Qt.AlignmentFlag.AlignLeft, title)

    def border(self) -> None:
        """Draw the frame's line, last, over what was drawn up to it."""
        self.painter.setPen(self.pen(BLACK, 0.15))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawRect(self.area)

    def note(self, text: str) -> None:
        """Say in the middle of an empty chart why it is empty."""
        self.painter.setPen(QColor(GREY))
        self.painter.drawText(self.area, Qt.AlignmentFlag.AlignCenter, text)

    def legend(self, text: str) -> None:
        """Write at the right of the title what the signs mean."""
        line = self.metrics.height()
        box = QRectF(self._rect.left(), self._rect.top(), self._rect.width(), 1.2 * line)
        self.painter.setPen(QColor(BLACK))
        self.painter.drawText(box, Qt.AlignmentFlag.AlignRight, text)

    @contextmanager
    def clipped(self) -> Iterator[QPainter]:
        """Keep what is drawn inside the frame."""
        self.painter.save()
        self.painter.setClipRect(self.area)
        try:
            yield self.painter
        finally:
            self.painter.restore()

    def pen(self, colour: str, width_mm: float, pattern: tuple[float, ...] = SOLID) -> QPen:
        """Give a pen; the pattern is in widths of a 0.25 mm line."""
        pen = QPen(QColor(colour), width_mm * self.mm)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if pattern:
            pen.setDashPattern([part * 0.25 / width_mm for part in pattern])
        return pen

    def curve(self, x: Floats, y: Floats, pen: QPen) -> None:
        """Draw a line through points; NaN breaks it."""
        self.painter.setPen(pen)
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        broken = np.flatnonzero(~np.isfinite(y))
        for part in np.split(np.arange(len(y)), broken):
            points = [at for at in part.tolist() if np.isfinite(y[at])]
            if len(points) == 1:
                points *= 2  # a lone reading between two gaps is drawn as a dot
            polygon = [QPointF(self.x_at(float(x[at])), self.y_at(float(y[at]))) for at in points]
            self.painter.drawPolyline(QPolygonF(polygon))

    def shade(self, from_x: float, until_x: float, *, is_hatched: bool) -> None:
        """Fill a stretch of time, grey or hatched; hatched a narrow one stands at the foot alone.

        Hundreds of narrow ones, side by side, would else hatch the whole chart over its curve.
        """
        left, right = self.x_at(from_x), self.x_at(until_x)
        if is_hatched and right - left < _HATCHED_FROM_MM * self.mm:
            foot = QRectF(left, self.area.bottom() - self.mm, max(right - left, 1.0), self.mm)
            self.painter.fillRect(foot.intersected(self.area), QColor(GREY))
            return
        right = max(right, left + 0.3 * self.mm)  # a short one is still seen
        rect = QRectF(left, self.area.top(), right - left, self.area.height())
        rect = rect.intersected(self.area)
        if not is_hatched:
            self.painter.fillRect(rect, QColor(SHADE))
            return
        self.painter.fillRect(rect, QColor("white"))
        self._hatch(rect)

    def _hatch(self, rect: QRectF) -> None:
        """Draw slanted lines: a brush's own pattern is one of dots too fine to print."""
        self.painter.save()
        self.painter.setClipRect(rect, Qt.ClipOperation.IntersectClip)
        self.painter.setPen(self.pen(GREY, 0.1))
        step, height = 1.2 * self.mm, rect.height()
        at = rect.left() - height
        while at < rect.right():
            self.painter.drawLine(QLineF(at, rect.bottom(), at + height, rect.top()))
            at += step
        self.painter.restore()

    def level(self, y: float, text: str, pattern: tuple[float, ...], *, at_right: bool) -> None:
        """Draw a line across with its name on it."""
        place = self.y_at(y)
        if not self.area.top() <= place <= self.area.bottom():
            return
        self.painter.setPen(self.pen(BLACK, 0.18, pattern))
        self.painter.drawLine(QLineF(self.area.left(), place, self.area.right(), place))
        width = self.metrics.horizontalAdvance(text) + 1.0 * self.mm
        left = self.area.right() - width - self.mm if at_right else self.area.left() + self.mm
        box = QRectF(left, place - 1.05 * self.metrics.height(), width, self.metrics.height())
        if box.top() < self.area.top():
            box.moveTop(place + 0.05 * self.metrics.height())
        while (covered := [other for other in self.labels if box.intersects(other)]) and at_right:
            box.moveRight(min(other.left() for other in covered) - 0.5 * self.mm)
            if box.left() < self.area.left():
                box.moveLeft(left)  # no room anywhere: over what is there
                break
        self.label(box, text)

    def label(self, box: QRectF, text: str) -> None:
        """Write on a white ground, so that no line runs through the letters."""
        self.labels.append(QRectF(box))
        self.painter.fillRect(box, QBrush(QColor("white")))
        self.painter.setPen(QColor(BLACK))
        self.painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def dots(self, x: Floats, y: Floats, size_mm: float) -> None:
        """Draw one dot for all points that fall onto the same tenth of a millimetre."""
        grain = 0.1 * self.mm
        places = {
            (round(self.x_at(float(a)) / grain), round(self.y_at(float(b)) / grain))
            for a, b in zip(x, y, strict=True)
        }
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(QColor(BLACK))
        radius = 0.5 * size_mm * self.mm
        for column, row in sorted(places):
            self.painter.drawEllipse(QPointF(column * grain, row * grain), radius, radius)


def _widened(ends: tuple[float, float]) -> tuple[float, float]:
    low, high = ends
    return (low, high) if high > low else (low - 0.5, low + 0.5)
