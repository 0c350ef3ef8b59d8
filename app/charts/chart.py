"""What all charts share: axes, canvas, following, zoom by keyboard, and not drawing in vain."""

import time
from collections.abc import Callable, Sequence

import pyqtgraph as pg
from PySide6.QtCore import Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QHideEvent,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.charts.axis import TickAxis, TickMaker
from app.charts.canvas import Canvas
from app.charts.follow_button import FollowButton
from app.charts.layer import Layer, Look
from app.charts.palette import PALETTES, Palette
from app.charts.trace_layer import GridLayer

_TICK_PX = 17  # read at two metres: letters of 3 mm on a 14-inch screen
_TEXT_PX = 15
_ZOOM = 1.5
_PAN = 0.2
_NARROWEST_S = 2.0

Range = tuple[float, float]


class Chart(QWidget):
    """A chart over time that follows the newest moment until the user looks elsewhere.

    Sideways it is zoomed and moved by the user; upwards it fits itself to what is in view, which
    leaves one thing less to do with gloves on. Keys: ``+`` and ``-`` zoom, left and right move,
    ``F`` follows again.

    A subclass gives ``follow_range`` and ``fit_range``; it calls :meth:`changed` whenever it was
    given something new, and the owner calls :meth:`refresh` at each tick.

    Parameters
    ----------
    layers
        What it shows, from the lowest up, over the grid.
    x_ticks, y_ticks
        Ticks of the two axes.
    period_s
        Shortest time between two redraws.
    clock
        Seconds of a steady clock, for ``period_s`` alone.
    """

    def __init__(
        self,
        layers: Sequence[Layer],
        x_ticks: TickMaker,
        y_ticks: TickMaker,
        *,
        period_s: float,
        clock: Callable[[], float] = time.monotonic,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._period_s, self._clock = period_s, clock
        self._drawn_at_s: float | None = None
        self._is_stale = True
        self._now_s = 0.0
        self._is_following = True
        self.x_axis = TickAxis("bottom", x_ticks)
        self.y_axis = TickAxis("left", y_ticks)
        self._plot = pg.PlotWidget(axisItems={"bottom": self.x_axis, "left": self.y_axis})
        self.view_box: pg.ViewBox = self._plot.getPlotItem().getViewBox()
        grid = GridLayer(lambda: self.x_axis.positions, lambda: self.y_axis.positions)
        self._canvas = Canvas(
            self.view_box, [grid, *layers], self._look(PALETTES["light"], "micron")
        )
        self.follow_button = FollowButton(self)
        self._set_up()
        self.set_palette(PALETTES["light"])

    def _set_up(self) -> None:
        item = self._plot.getPlotItem()
        item.hideButtons()
        item.setMenuEnabled(False)
        item.setContentsMargins(0, 6, 10, 0)
        self.view_box.disableAutoRange()
        self.view_box.setDefaultPadding(0.0)
        self.view_box.setMouseEnabled(x=True, y=False)
        self.view_box.sigRangeChangedManually.connect(self._on_moved_by_hand)
        self._plot.setFrameShape(self._plot.Shape.NoFrame)
        self._plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.follow_button.clicked.connect(self.follow)
        column = QVBoxLayout(self)
        column.setContentsMargins(3, 3, 3, 3)
        column.addWidget(self._plot)

    # What a subclass gives

    def follow_range(self, now_s: float) -> Range:
        """Give the stretch of time to show while following."""
        raise NotImplementedError

    def fit_range(self, left: float, right: float) -> Range:
        """Give the upright range that suits a stretch of time."""
        raise NotImplementedError

    def on_unit(self, unit: str) -> None:
        """Show another unit: by default nothing but the layers depends on it."""

    # What its owner calls

    @property
    def is_following(self) -> bool:
        """Whether the newest moment is kept in view."""
        return self._is_following

    @property
    def view_range(self) -> Range:
        """The stretch of time in view, s."""
        left, right = self.view_box.viewRange()[0]
        return left, right

    @property
    def frames_painted(self) -> int:
        """How often it was painted so far."""
        return self._canvas.painted

    def clear(self) -> None:
        """Empty the chart for another run."""
        raise NotImplementedError

    def follow(self) -> None:
        """Keep the newest moment in view again."""
        self._set_following(True)
        self.draw()

    def set_palette(self, palette: Palette) -> None:
        """Use these colours."""
        self._canvas.look = look = self._look(palette, self._canvas.look.unit)
        self._plot.setBackground(palette.surface)
        for axis in (self.x_axis, self.y_axis):
            axis.set_look(palette, _font(_TICK_PX))
        self.follow_button.set_look(look)
        self.changed()
        self._canvas.update()
        self.update()

    def set_unit(self, unit: str) -> None:
        """Write pressures in this unit, a key of ``sensors.units.PA_PER_UNIT``."""
        self._canvas.look = self._look(self._canvas.look.palette, unit)
        self.on_unit(unit)
        self.changed()
        self._canvas.update()

    def changed(self) -> None:
        """Take note that there is something new to draw."""
        self._is_stale = True

    def refresh(self, now_s: float) -> None:
        """Bring the chart up to the moment: cheap to call at every tick.

        Nothing is done while it is hidden, or before its period is over.
        """
        self._now_s = max(now_s, self._now_s)
        if not self.isVisible():
            self._is_stale = True
            return
        at_s = self._clock()
        if self._drawn_at_s is not None and at_s - self._drawn_at_s < self._period_s:
            return
        self._drawn_at_s = at_s
        self.draw()

    def draw(self) -> None:
        """Set the ranges and paint at once."""
        left, right = self.view_range
        if self._is_following:
            left, right = self.follow_range(self._now_s)
        low, high = self.fit_range(left, right)
        if self.view_box.viewRange() != [[left, right], [low, high]]:
            self.view_box.setRange(xRange=(left, right), yRange=(low, high), padding=0)
        self._is_stale = False
        self._canvas.update()

    def paint_now(self) -> None:
        """Draw and paint before returning, instead of at Qt's next turn."""
        self.draw()
        self._plot.viewport().repaint()

    # Qt

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Zoom, move, follow."""
        key, keys = event.key(), Qt.Key
        if key in (keys.Key_Plus, keys.Key_Equal, keys.Key_Up):
            self._zoom(1.0 / _ZOOM)
        elif key in (keys.Key_Minus, keys.Key_Underscore, keys.Key_Down):
            self._zoom(_ZOOM)
        elif key in (keys.Key_Left, keys.Key_Right):
            self._move(-_PAN if key == keys.Key_Left else _PAN)
        elif key == keys.Key_F:
            self.follow()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Paint the margin: a ring while the chart has the keyboard."""
        palette = self._canvas.look.palette
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(palette.focus if self.hasFocus() else palette.surface))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Catch up with what came while it was hidden."""
        super().showEvent(event)
        if self._is_stale:
            self.draw()

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802
        """Draw at the next showing."""
        super().hideEvent(event)
        self._is_stale = True

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Keep the button in its corner."""
        super().resizeEvent(event)
        self.follow_button.place()

    # Within

    def _zoom(self, factor: float) -> None:
        """Zoom about the newest moment while it is followed, about the middle otherwise."""
        left, right = self.view_range
        about = min(self._now_s, right) if self._is_following else 0.5 * (left + right)
        if (right - left) * factor >= _NARROWEST_S:
            self._show(about + (left - about) * factor, about + (right - about) * factor)

    def _move(self, share: float) -> None:
        left, right = self.view_range
        by = share * (right - left)
        self._show(left + by, right + by)

    def _show(self, left: float, right: float) -> None:
        self._set_following(False)
        self.view_box.setXRange(left, right, padding=0)
        self.draw()

    def _on_moved_by_hand(self, *_: object) -> None:
        self._set_following(False)
        self.draw()

    def _set_following(self, is_following: bool) -> None:
        if is_following == self._is_following:
            return
        self._is_following = is_following
        self.follow_button.place()
        self.follow_button.setVisible(not is_following)

    def _look(self, palette: Palette, unit: str) -> Look:
        return Look(palette, unit, _font(_TEXT_PX))


def _font(pixels: int) -> QFont:
    font = QFont()
    font.setPixelSize(pixels)
    return font
