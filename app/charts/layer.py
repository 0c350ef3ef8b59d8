"""What a chart is made of: layers that paint in pixels, one over the other."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from app.charts.frame import Frame
from app.charts.palette import Palette

_STEPS = 7  # of half a line, up and down

Boxes = NDArray[np.float64]
Place = tuple[float, float]  # px


@dataclass(frozen=True, slots=True)
class Look:
    """Colours, unit and font of a chart, and what words have to keep off.

    Attributes
    ----------
    taken
        Where words stand already while one picture is painted: later ones give way.
    drawn
        What else stands there: (n, 4) float64 each, px, as left, top, right and bottom.
    """

    palette: Palette
    unit: str
    font: QFont
    taken: list[QRectF] = field(default_factory=list, compare=False)
    drawn: list[Boxes] = field(default_factory=list, compare=False)

    @property
    def metrics(self) -> QFontMetricsF:
        """Sizes of texts in the font."""
        return QFontMetricsF(self.font)

    def begin(self) -> None:
        """Forget the picture before."""
        self.taken.clear()
        self.drawn.clear()

    def keep_off(self, *shapes: QRectF) -> None:
        """Keep words off these shapes."""
        self.drawn.append(np.array([_edges(shape) for shape in shapes]).reshape(-1, 4))

    def has_words(self, patch: QRectF) -> bool:
        """Whether words stand in ``patch`` already."""
        return any(patch.intersects(other) for other in self.taken)

    def is_free(self, patch: QRectF) -> bool:
        """Whether nothing stands in ``patch``, word or shape."""
        left, top, right, bottom = _edges(patch)
        return not self.has_words(patch) and not any(
            np.any((left < b[:, 2]) & (right > b[:, 0]) & (top < b[:, 3]) & (bottom > b[:, 1]))
            for b in self.drawn
        )


class Layer(Protocol):
    """One kind of thing on a chart. Its cost is bounded by the pixels, never by the run's length.

    A painter comes without antialiasing and goes back as it came, but for pen, brush and font.
    """

    def paint(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Paint within ``frame``: (0, 0) is the upper left, one unit a pixel."""


@runtime_checkable
class WritingLayer(Layer, Protocol):
    """A layer with words, which find their places when all shapes are painted."""

    def write(self, painter: QPainter, frame: Frame, look: Look) -> None:
        """Write the words."""


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
    painter: QPainter,
    look: Look,
    text: str,
    places: Sequence[Place],
    colour: str,
    bounds: QRectF,
    *,
    is_needed: bool = True,
) -> QRectF | None:
    """Write a text on a patch of the ground, so that lines under it never run through it.

    Parameters
    ----------
    places
        Where its left end and its middle may be, the best first; each is moved into ``bounds``.
    is_needed
        Where all places are taken it is moved up or down, and as a last resort written over what
        is drawn there; otherwise it is left out then.

    Returns
    -------
    QRectF | None
        The patch, if it was written.
    """
    size = look.metrics.size(0, text)
    patches = []
    for x, y in places:
        patch = QRectF(x, y - 0.5 * size.height(), size.width() + 8.0, size.height())
        patch.moveLeft(max(bounds.left(), min(patch.left(), bounds.right() - patch.width())))
        patch.moveTop(max(bounds.top(), min(patch.top(), bounds.bottom() - patch.height())))
        patches.append(patch)
    if not is_needed and not any(look.is_free(patch) for patch in patches):
        return None
    chosen = free_place(patches, look, bounds)
    painter.fillRect(chosen, QColor(look.palette.surface))
    painter.setFont(look.font)
    painter.setPen(QColor(colour))
    painter.drawText(chosen, Qt.AlignmentFlag.AlignCenter, text)
    return chosen


def shortest_plate(
    painter: QPainter,
    look: Look,
    told: Sequence[tuple[str, Sequence[Place]]],
    colour: str,
    bounds: QRectF,
) -> None:
    """Write the first text that has a free place, else the last one, which covers the least.

    Parameters
    ----------
    told
        The same in ever fewer words, each with its places as for :func:`plate`.
    """
    for text, places in told:
        if plate(painter, look, text, places, colour, bounds, is_needed=False) is not None:
            return
    for text, places in told[-1:]:
        plate(painter, look, text, places, colour, bounds)


def free_place(patches: Sequence[QRectF], look: Look, bounds: QRectF) -> QRectF:
    """Take the first of these that is free, else the nearest above or below the first.

    Where nothing is free of all that is drawn, one free of other words has to do.
    """
    first = patches[0]
    steps = [0.5 * sign * step for step in range(1, _STEPS) for sign in (1.0, -1.0)]
    moved = (first.translated(0.0, step * first.height()) for step in steps)
    tried = [*patches, *(place for place in moved if bounds.contains(place))]
    free = (place for place in tried if look.is_free(place))
    wordless = (place for place in tried if not look.has_words(place))
    chosen = next(free, None) or next(wordless, first)
    look.taken.append(chosen)
    return chosen


def bounds_of(frame: Frame, margin: float = 2.0) -> QRectF:
    """Give the chart's inside, less a margin."""
    return QRectF(margin, margin, frame.width - 2 * margin, frame.height - 2 * margin)


def _edges(shape: QRectF) -> tuple[float, float, float, float]:
    return shape.left(), shape.top(), shape.right(), shape.bottom()
