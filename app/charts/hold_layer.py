"""The explanations that compete for a hold's rise, each with its own dashes and its name."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.charts.frame import Frame
from app.charts.layer import Look, bounds_of, dashes, pen

Floats = NDArray[np.float64]


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
            font = look.font
            if each.is_finding:
                font = type(font)(font)
                font.setBold(True)
            painter.setFont(font)
            x = min(x_end + 22.0, inside.right() - 30.0)
            painter.setPen(pen(getattr(look.palette, each.role), 1.0))
            painter.drawLine(QPointF(x_end + 2.0, y_end), QPointF(x - 3.0, y))
            painter.setPen(self._pen(each, look))
            painter.drawLine(QPointF(x, y), QPointF(x + 30.0, y))
            painter.setPen(QColor(look.palette.text))
            painter.drawText(QPointF(x + 38.0, y + 0.35 * metrics.ascent()), each.text)
