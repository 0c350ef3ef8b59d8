"""Stretches without readings: hatched where they are wide, along the foot where they are not."""

from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter

from app.charts.frame import Frame
from app.charts.layer import Look, bounds_of, pen, plate

Stretch = tuple[float, float]  # px

_HATCHED_FROM_PX = 3.0
_EDGED_FROM_PX = 8.0  # on narrower ones the edges alone would be all that is seen
_FOOT_PX = 6.0
_FOOT_LEAST_PX = 2.0


class GapLayer:
    """Hatched stretches without readings.

    Those narrower than a few pixels stand along the foot alone: hundreds of them, as a loose plug
    makes in a long run, would else hatch the whole picture over the trace.
    """

    def __init__(self) -> None:
        self.gaps_s: list[Stretch] = []
        self.text = ""
        self.short_text = ""  # said of those along the foot

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint those in view; neighbours that share pixels become one."""
        hatched, foot = self.stretches(frame)
        hatch = QBrush(QColor(look.palette.gap), Qt.BrushStyle.BDiagPattern)
        for left, right in hatched:
            painter.fillRect(QRectF(left, 0.0, right - left, frame.height), hatch)
            if right - left >= _EDGED_FROM_PX:
                painter.setPen(pen(look.palette.gap))
                painter.drawLine(QLineF(left, 0.0, left, frame.height))
                painter.drawLine(QLineF(right, 0.0, right, frame.height))
        colour, top = QColor(look.palette.muted), frame.height - _FOOT_PX
        marks = [QRectF(left, top, right - left, _FOOT_PX) for left, right in foot]
        for mark in marks:
            painter.fillRect(mark, colour)
        look.keep_off(*marks)

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Name each hatched stretch that has room for it, and those along the foot once."""
        hatched, foot = self.stretches(frame)
        inside, high = bounds_of(frame), look.metrics.height()
        width = look.metrics.horizontalAdvance(self.text)
        for left, right in hatched:
            if right - left > width + 16.0:
                place = (0.5 * (left + right - width) - 4.0, frame.height - high)
                plate(painter, look, self.text, [place], look.palette.muted, inside)
        if foot and self.short_text:
            place = (foot[0][0], frame.height - _FOOT_PX - 0.6 * high)
            plate(painter, look, self.short_text, [place], look.palette.muted, inside)

    def stretches(self, frame: Frame) -> tuple[list[Stretch], list[Stretch]]:
        """Give what is hatched and what stands along the foot, px, each merged."""
        hatched: list[Stretch] = []
        foot: list[Stretch] = []
        for from_s, until_s in self.gaps_s:
            if until_s < frame.left or from_s > frame.right:
                continue
            is_wide = frame.x_px(until_s) - frame.x_px(from_s) >= _HATCHED_FROM_PX
            left = max(round(frame.x_px(from_s)), -2)
            least = left if is_wide else left + _FOOT_LEAST_PX
            right = min(max(round(frame.x_px(until_s)), least), frame.width + 2)
            _merge(hatched if is_wide else foot, left, right)
        return hatched, foot


def _merge(stretches: list[Stretch], left: float, right: float) -> None:
    if stretches and left <= stretches[-1][1] + 1:
        stretches[-1] = (stretches[-1][0], max(right, stretches[-1][1]))
    else:
        stretches.append((left, right))
