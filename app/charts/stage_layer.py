"""The stages as a thin band along the top, with their names."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from app.charts.frame import Frame
from app.charts.layer import Look

BAND_PX = 24.0

# Whether a stage counts as good news; the name beside it says the rest.
_ROLES = {"easing": "trend", "flat": "good", "holding": "isolation", "done": "text"}


@dataclass(frozen=True, slots=True)
class StageSpan:
    """From when a stage is, by its code and its name."""

    time_s: float
    stage: str
    text: str


class StageLayer:
    """Stages, each from its beginning to the next one's."""

    def __init__(self) -> None:
        self.stages: list[StageSpan] = []
        self.now_s = 0.0

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint the band; spans under a pixel are left out."""
        if not self.stages:
            return
        palette, metrics = look.palette, look.metrics
        painter.setFont(look.font)
        painter.fillRect(QRectF(0.0, 0.0, frame.width, BAND_PX), QColor(palette.surface))
        ends_s = [stage.time_s for stage in self.stages[1:]] + [self.now_s]
        for stage, end_s in zip(self.stages, ends_s, strict=True):
            left = max(round(frame.x_px(stage.time_s)), 0)
            right = min(round(frame.x_px(end_s)), round(frame.width))
            if right - left < 1:
                continue
            colour = QColor(getattr(palette, _ROLES.get(stage.stage, "muted")))
            painter.fillRect(QRectF(left, 0.0, right - left, 4.0), colour)
            painter.fillRect(QRectF(left, 0.0, 2.0, BAND_PX), colour)
            room = right - left - 10.0
            if metrics.horizontalAdvance(stage.text) < room:  # cut short, two could look alike
                painter.setPen(QColor(palette.text))
                rect = QRectF(left + 7.0, 4.0, room, BAND_PX - 4.0)
                painter.drawText(rect, Qt.AlignmentFlag.AlignVCenter, stage.text)
