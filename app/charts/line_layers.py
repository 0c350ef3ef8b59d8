"""Level lines and moments: straight things with a word beside them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from app.charts.columns import one_a_slot
from app.charts.frame import Frame
from app.charts.layer import Boxes, Look, bounds_of, dashes, free_place, plate

DASHED = [6.0, 3.0]
DASH_DOTTED = [8.0, 3.0, 1.5, 3.0]
DOTTED = [1.5, 2.5]

_DOTS = [2.0, 3.0]
_ALONG = (0.0, 0.25, 0.5, 0.75, 1.0)  # of a line, from the end where its name should be
_WORD_ROWS = 6  # of half a line


@dataclass(frozen=True, slots=True)
class Level:
    """A line across the chart at ``at`` on the axis' scale; ``role`` names its colour.

    ``short`` is said where there is no room for ``text``.
    """

    at: float
    text: str
    role: str
    pattern: Sequence[float]
    short: str = ""


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
        self._shapes: dict[str, Boxes] = {}  # by role

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint the lines in view."""
        self._shapes.clear()
        for level, y in self._in_view(frame):
            painter.setPen(dashes(getattr(look.palette, level.role), 2.0, list(level.pattern)))
            painter.drawLine(QLineF(0.0, y, frame.width, y))
            look.keep_off(QRectF(0.0, y - 1.0, frame.width, 2.0))
            self._shapes[level.role] = look.drawn[-1]

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Write each name over, under or in its line, moved along it to where it is free.

        One that has no free place is left out: elsewhere it would seem to name another line.
        """
        inside = bounds_of(frame)
        inside.setTop(inside.top() + self._top_px)
        beside = 0.6 * look.metrics.height()
        for level, y in self._in_view(frame):
            own = self._shapes[level.role]  # which its name may break: that tells them together
            free = replace(look, drawn=[shape for shape in look.drawn if shape is not own])
            colour = getattr(look.palette, level.role)
            for text in (level.text, level.short):
                room = inside.width() - look.metrics.horizontalAdvance(text) - 12.0
                along = self._along(room)
                places = [(x, y + side) for x in along for side in (-beside, beside)]
                places += [(x, y) for x in along]
                if text and room >= 0.0:
                    if plate(painter, free, text, places, colour, inside, is_needed=False):
                        break

    def _along(self, room: float) -> list[float]:
        along = [share * room for share in _ALONG]
        if self._left_px is None:
            return along[::-1]
        return [self._left_px, *(x for x in along if x > self._left_px)]

    def _in_view(self, frame: Frame) -> list[tuple[Level, int]]:
        placed = [(each, round(frame.y_px(each.at))) for each in self.levels]
        inside = [(each, y) for each, y in placed if 0.0 <= y <= frame.height]
        return sorted(inside, key=lambda each: each[1])


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
        painter.setPen(dashes(look.palette.mark, 1.0, _DOTS))
        for at, _ in self._in_view(frame):
            painter.drawLine(QLineF(at, self._top_px, at, frame.height))

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Write each word right or left of its line, lower if need be; or not at all."""
        inside, high = bounds_of(frame), look.metrics.height()
        inside.setTop(self._top_px)
        rows = [self._top_px + (0.7 + 0.5 * row) * high for row in range(_WORD_ROWS)]
        for at, text in self._in_view(frame):
            width = look.metrics.horizontalAdvance(text) + 8.0
            lefts = (at + 3.0, at - 3.0 - width)
            places = [(x, y) for y in rows for x in lefts if 0.0 <= x < frame.width - width]
            if text and places:
                colour = look.palette.text
                plate(painter, look, text, places, colour, inside, is_needed=False)

    def _in_view(self, frame: Frame) -> list[tuple[int, str]]:
        seen = [each for each in self.moments if frame.left <= each.time_s <= frame.right]
        x = np.array([frame.x_px(each.time_s) for each in seen])
        return [(round(float(x[i])), seen[i].text) for i in one_a_slot(x, -x, 4.0).tolist()]


class CaptionLayer:
    """A few words in the upper left corner: what the axis counts."""

    def __init__(self, top_px: float = 0.0) -> None:
        self.text = ""
        self._top_px = top_px

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Nothing but words."""

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Write them."""
        if self.text:
            y = self._top_px + 0.7 * look.metrics.height()
            inside = bounds_of(frame)
            inside.setTop(self._top_px)
            plate(painter, look, self.text, [(4.0, y)], look.palette.muted, inside)


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
            rect = QRectF(QPointF(4.0, 0.0), QPointF(frame.width - 4.0, frame.height))
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            patch = painter.boundingRect(rect, int(flags), self.text)
            line = look.metrics.height()
            if patch.height() > 1.5 * line:  # in a small chart: leave the unit its corner
                rect.setTop(line + 4.0)
                patch = painter.boundingRect(rect, int(flags), self.text)
            patch = free_place([patch], look, bounds_of(frame))
            painter.fillRect(patch, QColor(look.palette.surface))
            painter.drawText(patch, int(flags), self.text)
