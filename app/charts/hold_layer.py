"""The explanations that compete for a hold's rise, each with its own dashes and its name."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.charts.frame import Frame
from app.charts.layer import Look, bounds_of, dashes, pen

Floats = NDArray[np.float64]

_LEAD_PX = 22.0  # from a curve's end to its sample
_SAMPLE_PX = 30.0
_TEXT_PX = _LEAD_PX + _SAMPLE_PX + 8.0  # ... to its name


@dataclass(frozen=True, slots=True)
class Explanation:
    """One curve over the hold; ``role`` names its colour, ``pattern`` its dashes (none: solid)."""

    time_s: Floats
    pressure_pa: Floats
    text: str
    role: str
    pattern: Sequence[float]
    is_finding: bool


class ExplanationLayer:
    """Curves with their names in a column right of their ends, in the order of the ends."""

    def __init__(self) -> None:
        self.explanations: tuple[Explanation, ...] = ()

    def names_px(self, look: Look) -> float:
        """Give the room the names take."""
        metrics = QFontMetricsF(_bold(look.font))
        widest = (metrics.horizontalAdvance(each.text) for each in self.explanations)
        return max(widest, default=0.0) + _TEXT_PX + 10.0

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint curves, then names with a short line to each."""
        ends: list[tuple[float, float, Explanation]] = []
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        for each in self.explanations:
            x, y = frame.x_px(each.time_s), frame.y_px(each.pressure_pa)
            painter.setPen(self._pen(each, look))
            points = zip(x.tolist(), y.tolist(), strict=True)
            painter.drawPolyline(QPolygonF([QPointF(*point) for point in points]))
            ends.append((float(y[-1]), float(x[-1]), each))
        self._paint_names(painter, frame, look, sorted(ends, key=lambda end: end[0]))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _pen(self, each: Explanation, look: Look) -> QPen:
        colour, width = getattr(look.palette, each.role), 4.0 if each.is_finding else 2.0
        return dashes(colour, width, list(each.pattern)) if each.pattern else pen(colour, width)

    def _paint_names(
        self,
        painter: QPainter,
        frame: Frame,
        look: Look,
        ends: list[tuple[float, float, Explanation]],
    ) -> None:
        if not ends:
            return
        metrics, inside = look.metrics, bounds_of(frame)
        height = metrics.height() + 3.0
        centre = float(np.mean([end[0] for end in ends]))
        top = centre - 0.5 * height * len(ends)
        top = max(inside.top(), min(top, inside.bottom() - height * len(ends)))
        for row, (y_end, x_end, each) in enumerate(ends):
            y = top + (row + 0.5) * height
            painter.setFont(_bold(look.font) if each.is_finding else look.font)
            x = min(x_end + _LEAD_PX, inside.right() - 30.0)
            patch = QRectF(x - 3.0, y - 0.5 * height, self.names_px(look) - _LEAD_PX, height)
            painter.fillRect(patch, QColor(look.palette.surface))
            look.taken.append(patch)
            painter.setPen(pen(getattr(look.palette, each.role), 1.0))
            painter.drawLine(QPointF(x_end + 2.0, y_end), QPointF(x - 3.0, y))
            painter.setPen(self._pen(each, look))
            painter.drawLine(QPointF(x, y), QPointF(x + _SAMPLE_PX, y))
            painter.setPen(QColor(look.palette.text))
            at = QPointF(x_end + _TEXT_PX, y + 0.35 * metrics.ascent())
            room = max(inside.right() - at.x(), 0.0)
            whole = QFontMetricsF(painter.font())
            shown = whole.elidedText(each.text, Qt.TextElideMode.ElideRight, room)
            painter.drawText(at, shown)


def _bold(font: QFont) -> QFont:
    bold = QFont(font)
    bold.setBold(True)
    return bold
