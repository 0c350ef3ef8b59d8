"""The lulls, the trend through them, and where it meets the flat interval."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPolygonF

from analysis.snapshot import LullPoint
from app.charts.frame import Frame
from app.charts.layer import Look, Place, bounds_of, dashes, pen, plate, shortest_plate

Floats = NDArray[np.float64]

_POINT_PX = 4.0  # radius
_ROOM_PX = 9.0  # a point needs; with less they are drawn as bars
_BAR_PX = 14.0  # width of a bar's slot
_STRETCH_PX = 4.0  # of the trend's line, which words keep off
_LOWER = (0.0, 0.7, -0.7, 1.4, 2.1, 2.8, 3.5)  # lines, where the running lull may be told


class LullLayer:
    """Each lull as a dot, or as bars where there is no room for so many dots.

    A bar spans the middle 80 % of the lulls of its slot, its cross-stroke is their median: with
    thousands of lulls the extremes of each slot would hide the trend that the middle shows. A lull
    alone in its slot stays a dot.
    """

    def __init__(self) -> None:
        self.time_s: Floats = np.empty(0)
        self.log_lull: Floats = np.empty(0)  # log10 of seconds
        self.caption = ""  # said while there are bars
        self._has_bars = False

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint those in view."""
        first, last = np.searchsorted(self.time_s, (frame.left, frame.right))
        x = frame.x_px(self.time_s[first:last])
        self._has_bars = len(x) > frame.width / _ROOM_PX
        if not len(x):
            return
        if self._has_bars:
            self._paint_bars(painter, frame, look, (x, self.log_lull[first:last]))
            return
        self._paint_dots(painter, look, x, frame.y_px(self.log_lull[first:last]))

    def _paint_dots(self, painter: QPainter, look: Look, x: Floats, y: Floats) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.setPen(pen(look.palette.surface, 1.0))
        painter.setBrush(QColor(look.palette.burst))
        for x_px, y_px in zip(x.tolist(), y.tolist(), strict=True):
            painter.drawEllipse(QPointF(x_px, y_px), _POINT_PX + 0.5, _POINT_PX + 0.5)
        corners = x - _POINT_PX, y - _POINT_PX, x + _POINT_PX, y + _POINT_PX
        look.drawn.append(np.column_stack(corners))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _paint_bars(
        self, painter: QPainter, frame: Frame, look: Look, lulls: tuple[Floats, Floats]
    ) -> None:
        colour, bars, alone = QColor(look.palette.burst), [], []
        for slot, (low, middle, high) in zip(*spread_of_slots(*lulls, _BAR_PX), strict=True):
            x = round((slot + 0.5) * _BAR_PX)
            if low == high:
                alone.append((x, frame.y_px(middle)))
                continue
            top, bottom = round(frame.y_px(high)), round(frame.y_px(low))
            bar = QRectF(x - 1.0, top, 3.0, max(bottom - top, 1))
            painter.fillRect(bar, colour)
            bars.append(bar)
            painter.fillRect(QRectF(x - 4.0, round(frame.y_px(middle)) - 2.0, 9.0, 4.0), colour)
        look.keep_off(*bars)
        if alone:
            self._paint_dots(painter, look, *np.array(alone, dtype=np.float64).T)

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Say what the bars are: lulls climb to the right, so there is room below at that end."""
        if self._has_bars:
            y = frame.y_px(float(self.log_lull.min())) - 0.7 * look.metrics.height()
            place, inside = (frame.width, y), bounds_of(frame)
            colour = look.palette.muted
            plate(painter, look, self.caption, [place], colour, inside, is_needed=False)


def spread_of_slots(x_px: Floats, y: Floats, slot_px: float) -> tuple[list[float], list[Floats]]:
    """Give the 10th, 50th and 90th per cent of the values of every slot that has any.

    Nearest ranks rather than interpolated ones: each is a value that occurred.

    Examples
    --------
    >>> slots, spreads = spread_of_slots(np.array([1.0, 2.0, 3.0, 25.0]), np.arange(4.0), 10.0)
    >>> slots, [spread.tolist() for spread in spreads]
    ([0.0, 2.0], [[0.0, 1.0, 2.0], [3.0, 3.0, 3.0]])
    """
    slot = np.floor(x_px / slot_px)
    order = np.lexsort((y, slot))
    slots, starts, counts = np.unique(slot[order], return_index=True, return_counts=True)
    ranks = np.rint(np.array([0.1, 0.5, 0.9]) * (counts[:, None] - 1)).astype(np.intp)
    return slots.tolist(), list(y[order][starts[:, None] + ranks])


class TrendLayer:
    """The fitted lull with its band: dashed at the edges, so that it shows without its colour."""

    def __init__(self) -> None:
        self.curve: tuple[LullPoint, ...] = ()

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint band and line."""
        if len(self.curve) < 2:
            return
        points = np.array([(p.time_s, p.low_s, p.best_s, p.high_s) for p in self.curve])
        x = np.clip(frame.x_px(points[:, 0]), -1e4, 1e4)
        logs = np.log10(np.maximum(points[:, 1:], 1e-3))
        low, best, high = (np.clip(frame.y_px(column), -1e4, 1e4) for column in logs.T)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.setPen(dashes(look.palette.trend, 1.0, [5.0, 4.0]))
        painter.setBrush(QColor(look.palette.band))
        outline = [*_points(x, low), *reversed(_points(x, high))]
        painter.drawPolygon(QPolygonF(outline))
        painter.setPen(pen(look.palette.trend, 3.0))
        painter.drawPolyline(QPolygonF(_points(x, best)))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        along = np.arange(max(x[0], 0.0), min(x[-1], frame.width), _STRETCH_PX)
        at = np.interp(along, x, best)
        half = 0.5 * _STRETCH_PX
        look.drawn.append(np.column_stack((along - half, at - 2.0, along + half, at + 2.0)))


def _points(x: Floats, y: Floats) -> list[QPointF]:
    return [QPointF(*point) for point in zip(x.tolist(), y.tolist(), strict=True)]


@dataclass(frozen=True, slots=True)
class Crossing:
    """When the trend meets the flat interval, 80 times in 100 between low and high.

    ``texts`` say it, the shorter ones where a longer one would cover what is drawn.
    """

    low_s: float
    best_s: float
    high_s: float
    texts: tuple[str, ...]


class CrossingLayer:
    """The expected crossing as a diamond on the flat line, with whiskers and its time."""

    def __init__(self) -> None:
        self.crossing: Crossing | None = None
        self.log_flat = 0.0

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint it; one that lies further on is only told, at the edge, with an arrow."""
        crossing = self.crossing
        if crossing is None or crossing.high_s < frame.left:
            return
        y = round(frame.y_px(self.log_flat))
        left, x, right = (
            float(np.clip(frame.x_px(at_s), -12.0, frame.width + 12.0))
            for at_s in (crossing.low_s, crossing.best_s, crossing.high_s)
        )
        colour = QColor(look.palette.flat)
        painter.fillRect(QRectF(left, y - 2.0, right - left, 5.0), colour)
        look.keep_off(QRectF(left, y - 8.0, right - left, 17.0), QRectF(x - 10.0, y - 10.0, 20, 20))
        for end in (left, right):
            painter.fillRect(QRectF(end - 1.0, y - 8.0, 3.0, 17.0), colour)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.setPen(pen(look.palette.surface, 2.0))
        painter.setBrush(colour)
        corners = ((x - 10.0, y), (x, y - 10.0), (x + 10.0, y), (x, y + 10.0))
        painter.drawPolygon(QPolygonF([QPointF(*corner) for corner in corners]))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Write when it is, under the diamond or over it."""
        crossing = self.crossing
        if crossing is None or crossing.high_s < frame.left:
            return
        arrow = " \N{RIGHTWARDS ARROW}" if crossing.best_s > frame.right else ""
        x = min(max(frame.x_px(crossing.best_s), -12.0), frame.width + 12.0)
        y, beside = round(frame.y_px(self.log_flat)), 11.0 + 0.5 * look.metrics.height()
        rows = (y + beside, y - beside, y + 1.5 * beside, y + 2.0 * beside)

        def places(text: str) -> list[Place]:
            width = look.metrics.horizontalAdvance(text) + 8.0
            lefts = (x - 0.5 * width, x - width, x)
            return [(left, row) for row in rows for left in lefts]

        told = [(text, places(text)) for text in (f"{each}{arrow}" for each in crossing.texts)]
        shortest_plate(painter, look, told, look.palette.flat, bounds_of(frame))


class RunningLullLayer:
    """The lull that is still growing: a hollow dot on the line of now."""

    def __init__(self) -> None:
        self.now_s: float | None = None
        self.log_lull: float | None = None
        self.texts: tuple[str, ...] = ()
        self._dot: tuple[float, float] | None = None  # px

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint now, and the lull so far."""
        self._dot = None
        if self.now_s is None or not frame.left <= self.now_s <= frame.right:
            return
        x = round(frame.x_px(self.now_s))
        painter.setPen(dashes(look.palette.muted, 1.0, [2.0, 4.0]))
        painter.drawLine(QLineF(x, 0.0, x, frame.height))
        if self.log_lull is None:
            return
        y = float(np.clip(frame.y_px(self.log_lull), 8.0, frame.height - 8.0))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.setPen(pen(look.palette.burst, 3.0))
        painter.setBrush(QColor(look.palette.surface))
        painter.drawEllipse(QPointF(x, y), _POINT_PX + 3.0, _POINT_PX + 3.0)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        look.keep_off(QRectF(x - 8.0, y - 8.0, 16.0, 16.0))
        self._dot = (x, y)

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Write how long it is, right or left of the dot, a little lower or higher if need be."""
        if self._dot is None:
            return
        x, y = self._dot
        high = look.metrics.height()

        def places(text: str) -> list[Place]:
            width = look.metrics.horizontalAdvance(text) + 8.0
            sides = [x + 12.0, x - 12.0 - width]
            if sides[0] + width + 2.0 > frame.width:
                sides.reverse()
            return [(left, y + by * high) for by in _LOWER for left in sides]

        told = [(text, places(text)) for text in self.texts]
        shortest_plate(painter, look, told, look.palette.burst, bounds_of(frame))
