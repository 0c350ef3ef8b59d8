"""The one graphics item that paints all layers of a chart."""

from collections.abc import Sequence

import pyqtgraph as pg
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QGraphicsObject, QStyleOptionGraphicsItem, QWidget

from app.charts.frame import Frame
from app.charts.layer import Layer, Look, WritingLayer


class Canvas(QGraphicsObject):
    """Paints layers in the pixels of a view box, of which it is a direct child.

    One item for everything, because a graphics item each costs far more than what it draws: a
    thousand infinite lines took 13 to 38 ms a frame, the same marks in one item under 1 ms.

    Parameters
    ----------
    box
        The view box; it does the zooming and panning.
    layers
        From the lowest up.
    look
        Colours, unit and font.
    """

    def __init__(self, box: pg.ViewBox, layers: Sequence[Layer], look: Look) -> None:
        super().__init__(box)
        self._box = box
        self.layers = tuple(layers)
        self._writing = [layer for layer in self.layers if isinstance(layer, WritingLayer)]
        self.look = look
        self.painted = 0
        box.sigRangeChanged.connect(self.on_view_changed)
        box.sigResized.connect(self.on_view_changed)

    def on_view_changed(self) -> None:
        """Paint again: another part of the plane, or another size."""
        self.prepareGeometryChange()
        self.update()

    @property
    def frame(self) -> Frame:
        """What is in view now."""
        (left, right), (low, high) = self._box.viewRange()
        size = self._box.size()
        return Frame(size.width(), size.height(), left, right, low, high)

    def boundingRect(self) -> QRectF:  # noqa: N802
        """Give the whole view box."""
        return QRectF(self._box.rect())

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        """Paint all layers; none when there is no room or no range."""
        frame = self.frame
        if frame.width < 2 or frame.height < 2:
            return
        if not (frame.right > frame.left and frame.high > frame.low):
            return
        self.painted += 1
        painter.save()
        painter.setClipRect(self.boundingRect())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        self.look.begin()
        for layer in self.layers:
            layer.paint(painter, frame, self.look)
        for layer in self._writing:
            layer.write(painter, frame, self.look)
        painter.restore()
