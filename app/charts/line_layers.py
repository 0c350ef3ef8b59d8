"""Level lines and moments: straight things with a word beside them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from app.charts.columns import one_a_slot
from app.charts.frame import Frame
from app.charts.layer import Look, bounds_of, dashes, free_place, plate

DASHED = [6.0, 3.0]
DASH_DOTTED = [8.0, 3.0, 1.5, 3.0]
DOTTED = [1.5, 2.5]

_DOTS = [2.0, 3.0]


@dataclass(frozen=True, slots=True)
class Level:
    """A line across the chart at ``at`` on the axis' scale; ``role`` names its colour."""

    at: float
    text: str
    role: str
    pattern: Sequence[float]


class LevelLayer:
    """Lines across, each with its own dashes and its name at one end.

    Parameters
    ----------
    top_px
        Kept free of names at the upper edge.
    left_px
        Where the names begin; ``None`` puts them at the right end.
    """

    def __init__(self, top_px: float = 0.0, left_px: float | None = None) -> None:
        self.levels: tuple[Level, ...] = ()
        self._top_px, self._left_px = top_px, left_px

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint the lines in view; names that would cover each other are moved apart."""
        inside = bounds_of(frame)
        inside.setTop(inside.top() + self._top_px)
        taken: list[QRectF] = []
        for level in sorted(self.levels, key=lambda each: -each.at):
            y = round(frame.y_px(level.at))
            if not 0.0 <= y <= frame.height:
                continue
            colour = getattr(look.palette, level.role)
            painter.setPen(dashes(colour, 2.0, list(level.pattern)))
            painter.drawLine(QLineF(0.0, y, frame.width, y))
            text_y = y - 0.6 * look.metrics.height()
            if taken and text_y < taken[-1].bottom() + 0.5 * look.metrics.height():
                text_y = max(text_y, y + 0.6 * look.metrics.height())
            x = self._left_px
            if x is None:
                x = frame.width - look.metrics.horizontalAdvance(level.text) - 14.0
            taken.append(plate(painter, look, level.text, x, text_y, colour, inside))


@dataclass(frozen=True, slots=True)
class Moment:
    """Something at one time."""

    time_s: float
    text: str


class MomentLayer:
    """Upright lines where the technician did something, with a word where there is room.

    Parameters
    ----------
    top_px
        Height kept free above the words.
    """

    def __init__(self, top_px: float = 0.0) -> None:
        self.moments: list[Moment] = []
        self._top_px = top_px

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint those in view, at most one in so many pixels."""
        seen = [each for each in self.moments if frame.left <= each.time_s <= frame.right]
        if not seen:
            return
        x = np.array([frame.x_px(each.time_s) for each in seen])
        free_from, inside = -1.0, bounds_of(frame)
        inside.setTop(self._top_px)
        y = self._top_px + 0.7 * look.metrics.height()
        for index in one_a_slot(x, -x, 4.0).tolist():
            at, text = round(float(x[index])), seen[index].text
            painter.setPen(dashes(look.palette.mark, 1.0, _DOTS))
            painter.drawLine(QLineF(at, self._top_px, at, frame.height))
            width = look.metrics.horizontalAdvance(text) + 8.0
            left = min(at + 3.0, inside.right() - width)
            if text and left > free_from:
                patch = plate(painter, look, text, left, y, look.palette.text, inside)
                free_from = patch.right() + 6.0


class CaptionLayer:
    """A few words in the upper left corner: what the axis counts."""

    def __init__(self, top_px: float = 0.0) -> None:
        self.text = ""
        self._top_px = top_px

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint them."""
        if self.text:
            y = self._top_px + 0.7 * look.metrics.height()
            inside = bounds_of(frame)
            inside.setTop(self._top_px)
            plate(painter, look, self.text, 4.0, y, look.palette.muted, inside)


class EmptyLayer:
    """One sentence in the middle while there is nothing to draw."""

    def __init__(self) -> None:
        self.text = ""
        self.is_empty = True

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint it."""
        if self.is_empty:
            painter.setFont(look.font)
            painter.setPen(QColor(look.palette.muted))
            rect = QRectF(QPointF(16.0, 0.0), QPointF(frame.width - 16.0, frame.height))
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            patch = painter.boundingRect(rect, int(flags), self.text)
            patch = free_place(patch, look, bounds_of(frame))
            painter.fillRect(patch, QColor(look.palette.surface))
            painter.drawText(patch, int(flags), self.text)
