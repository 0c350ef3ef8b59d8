"""What a chart is made of: layers that paint in pixels, one over the other."""

from dataclasses import dataclass, field
from typing import Protocol

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from app.charts.frame import Frame
from app.charts.palette import Palette

_STEPS = 7  # of half a line, up and down


@dataclass(frozen=True, slots=True)
class Look:
    """Colours, unit and font of a chart.

    ``taken`` holds where words stand already while one picture is painted: later ones give way.
    """

    palette: Palette
    unit: str
    font: QFont
    taken: list[QRectF] = field(default_factory=list, compare=False)

    @property
    def metrics(self) -> QFontMetricsF:
        """Sizes of texts in the font."""
        return QFontMetricsF(self.font)


class Layer(Protocol):
    """One kind of thing on a chart. Its cost is bounded by the pixels, never by the run's length.

    A painter comes without antialiasing and goes back as it came, but for pen, brush and font.
    """

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint within ``frame``: (0, 0) is the upper left, one unit a pixel."""


def pen(colour: str, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """Give an opaque pen."""
    made = QPen(QColor(colour), width, style)
    made.setCapStyle(Qt.PenCapStyle.FlatCap)
    return made


def dashes(colour: str, width: float, pattern: list[float]) -> QPen:
    """Give a pen of dashes and spaces, in widths."""
    made = pen(colour, width)
    made.setDashPattern(pattern)
    return made


def plate(
    painter: QPainter, look: Look, text: str, x: float, y: float, colour: str, bounds: QRectF
) -> QRectF:
    """Write a text on a patch of the ground, so that lines under it never run through it.

    Parameters
    ----------
    x, y
        Where its left end and its middle should be; moved as little as ``bounds`` and the words
        that stand already ask for.

    Returns
    -------
    QRectF
        The patch.
    """
    metrics = look.metrics
    size = metrics.size(0, text)
    patch = QRectF(x, y - 0.5 * size.height(), size.width() + 8.0, size.height())
    patch.moveLeft(max(bounds.left(), min(patch.left(), bounds.right() - patch.width())))
    patch.moveTop(max(bounds.top(), min(patch.top(), bounds.bottom() - patch.height())))
    patch = free_place(patch, look, bounds)
    painter.fillRect(patch, QColor(look.palette.surface))
    painter.setFont(look.font)
    painter.setPen(QColor(colour))
    painter.drawText(patch, Qt.AlignmentFlag.AlignCenter, text)
    return patch


def free_place(patch: QRectF, look: Look, bounds: QRectF) -> QRectF:
    """Take the nearest place above or below that no word stands in; where none is, this one."""
    steps = [0.5 * sign * step for step in range(_STEPS) for sign in (1.0, -1.0)]
    places = (patch.translated(0.0, step * patch.height()) for step in steps)
    inside = (place for place in places if bounds.contains(place))
    free = (p for p in inside if not any(p.intersects(other) for other in look.taken))
    chosen = next(free, patch)
    look.taken.append(chosen)
    return chosen


def bounds_of(frame: Frame, margin: float = 2.0) -> QRectF:
    """Give the chart's inside, less a margin."""
    return QRectF(margin, margin, frame.width - 2 * margin, frame.height - 2 * margin)
