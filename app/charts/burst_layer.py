"""Bursts marked on the trace: a small triangle that stands on the peak."""

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPolygonF

from app.charts.burst_book import BurstBook
from app.charts.columns import one_a_slot
from app.charts.frame import Frame
from app.charts.layer import Look, bounds_of, pen, plate
from app.charts.pyramid import Pyramid
from app.words.display import number
from sensors.units import PA_PER_UNIT

_SLOT_PX = 11.0
_HALF_PX = 5.0  # of the triangle's width
_HIGH_PX = 9.0
_OVER_PX = 5.0  # above the peak

Floats = NDArray[np.float64]

_NONE = (np.empty(0), np.empty(0), np.empty(0))


class BurstLayer:
    """One downward triangle for each burst, at most one in so many pixels: the largest there.

    Filled is confirmed, hollow is provisional. In a dense boil-off the triangles make a closed
    row, which opens as the lulls lengthen.

    Parameters
    ----------
    bursts, readings
        What is marked, and the trace it is marked on (on the axis' scale).
    has_rises
        Also draw each rise as a bar from base to peak and write it where there is room; for
        readings in Pa.
    """

    def __init__(
        self,
        bursts: BurstBook,
        readings: Pyramid,
        *,
        has_rises: bool = False,
    ) -> None:
        self._bursts, self._readings = bursts, readings
        self._has_rises = has_rises
        self._figures = _NONE

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint those in view."""
        book, self._figures = self._bursts, _NONE
        if not len(self._readings):
            return
        peak_s = book.peak_s
        seen = np.flatnonzero((peak_s >= frame.left) & (peak_s <= frame.right))
        if not len(seen):
            return
        rise_pa = book.rise_pa[seen]
        chosen = one_a_slot(frame.x_px(peak_s[seen]), rise_pa, _SLOT_PX)
        at_s, rise_pa = peak_s[seen][chosen], rise_pa[chosen]
        solid = book.is_confirmed[seen][chosen]
        x, level = frame.x_px(at_s), self._readings.value_at(at_s)
        y = np.clip(frame.y_px(level), _HIGH_PX + _OVER_PX, frame.height)
        if self._has_rises:
            # Only what is final has a figure: the first guess of a rise may be far off.
            base = frame.y_px(level - rise_pa)
            bars = (x[solid], y[solid], base[solid], rise_pa[solid])
            self._paint_rises(painter, frame, look, bars)
        signs = (
            QRectF(at - _HALF_PX, top - _OVER_PX - _HIGH_PX, 2 * _HALF_PX, _HIGH_PX)
            for at, top in zip(x.tolist(), y.tolist(), strict=True)
        )
        look.keep_off(*signs)
        colour = QColor(look.palette.burst)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        painter.setPen(pen(look.palette.burst, 1.5))
        for x_px, y_px, is_solid in zip(x.tolist(), y.tolist(), solid.tolist(), strict=True):
            painter.setBrush(colour if is_solid else QColor(look.palette.surface))
            painter.drawPolygon(_triangle(x_px, y_px - _OVER_PX))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _paint_rises(
        self,
        painter: QPainter,
        frame: Frame,
        look: Look,
        bars: tuple[Floats, Floats, Floats, Floats],
    ) -> None:
        """Paint the bars from base to peak."""
        painter.setPen(pen(look.palette.burst, 3.0))
        x, y, base, rise_pa = bars
        for at, top, foot in zip(x.tolist(), y.tolist(), base.tolist(), strict=True):
            painter.drawLine(QLineF(at, top, at, min(foot, frame.height)))
        self._figures = x, y, rise_pa

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Write the figures over or beside their signs, largest first, where it is free."""
        x, y, rise_pa = self._figures
        metrics, inside = look.metrics, bounds_of(frame)
        for index in np.argsort(-rise_pa).tolist():
            text = "+" + number(float(rise_pa[index]) / PA_PER_UNIT[look.unit])
            width, high = metrics.horizontalAdvance(text) + 8.0, metrics.height()
            at, sign = float(x[index]), float(y[index]) - _OVER_PX - 0.5 * _HIGH_PX
            over = (at - 0.5 * width, sign - 0.5 * _HIGH_PX - 0.6 * high)
            beside = [(at + _HALF_PX + 1.0, sign), (at - _HALF_PX - 1.0 - width, sign)]
            places = [
                (left, middle)
                for left, middle in (over, *beside)
                if inside.contains(QRectF(left, middle - 0.5 * high, width, high))
            ]
            plate(painter, look, text, places, look.palette.burst, inside, is_needed=False)


def _triangle(x: float, foot: float) -> QPolygonF:
    return QPolygonF(
        [
            QPointF(x - _HALF_PX, foot - _HIGH_PX),
            QPointF(x + _HALF_PX, foot - _HIGH_PX),
            QPointF(x, foot),
        ]
    )
