"""The rises of the isolations, as a strip of bars along the foot of the lull chart."""

import numpy as np
from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter

from analysis.snapshot import Isolation
from app.charts.columns import one_a_slot
from app.charts.frame import Frame
from app.charts.layer import Look, bounds_of, pen, plate
from app.words.display import MINUTE_S, UNIT_SYMBOLS, number
from sensors.units import PA_PER_UNIT

_LEAST_PX = 12.0  # a bar's width
_SLOT_PX = 16.0


class IsolationLayer:
    """One hatched bar for each isolation, as high as its rate of rise.

    The bars share one scale from zero, so that they shrink as the circuit dries.
    """

    def __init__(self) -> None:
        self.isolations: dict[float, Isolation] = {}  # by beginning
        self.share = 0.0  # of the chart's height
        self.caption = ""

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint those in view; where they are crowded, the fastest rise of each slot."""
        if not self.isolations:
            return
        palette, metrics = look.palette, look.metrics
        top = round(frame.height * (1.0 - self.share))
        painter.fillRect(QRectF(0.0, top, frame.width, frame.height), QColor(palette.surface))
        painter.fillRect(QRectF(0.0, top, frame.width, 1.0), QColor(palette.muted))
        caption_y = top + 2.0 + 0.5 * metrics.height()
        caption = f"{self.caption}, {UNIT_SYMBOLS[look.unit]}/min"
        plate(painter, look, caption, [(4.0, caption_y)], palette.muted, bounds_of(frame))
        seen = list(self.isolations.values())
        x = np.array([frame.x_px(each.from_s) for each in seen])
        rates = np.array([max(each.rate_pa_s, 0.0) for each in seen])
        room = frame.height - top - 2.2 * metrics.height()
        scale = room / max(float(rates.max(initial=0.0)), 1e-9)
        free_from = -1.0
        for index in one_a_slot(x, rates, _SLOT_PX).tolist():
            isolation = seen[index]
            until_s = isolation.from_s if isolation.until_s is None else isolation.until_s
            width = max(frame.x_px(until_s) - x[index], _LEAST_PX)
            high = max(round(scale * float(rates[index])), 2)
            bar = QRectF(round(x[index]), frame.height - high, round(width), high)
            if bar.right() < 0.0 or bar.left() > frame.width:
                continue
            painter.fillRect(bar, QBrush(QColor(palette.isolation), Qt.BrushStyle.Dense4Pattern))
            painter.setPen(pen(palette.isolation, 2.0))
            for line in (bar.left(), bar.right()):
                painter.drawLine(QLineF(line, bar.top(), line, frame.height))
            painter.drawLine(QLineF(bar.topLeft(), bar.topRight()))
            text = number(isolation.rate_pa_s * MINUTE_S / PA_PER_UNIT[look.unit])
            left = bar.center().x() - 0.5 * metrics.horizontalAdvance(text) - 4.0
            if left > free_from:
                y = bar.top() - 0.5 * metrics.height() - 2.0
                plate(painter, look, text, [(left, y)], palette.isolation, bounds_of(frame))
                free_from = left + metrics.horizontalAdvance(text) + 12.0
