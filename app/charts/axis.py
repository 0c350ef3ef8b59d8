"""An axis with few, large ticks, given by a function."""

from collections.abc import Callable

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtGui import QFont, QFontMetricsF

from app.charts.palette import Palette
from app.charts.ticks import Ticks

TickMaker = Callable[[float, float, int], Ticks]

_WIDEST = "1 000 000"
_APART = {"bottom": 100.0, "left": 44.0}  # px between two ticks, at least


class TickAxis(pg.AxisItem):
    """An axis that shows what ``make`` gives for the range in view.

    Parameters
    ----------
    side
        ``"bottom"`` or ``"left"``.
    make
        From (low, high, how many fit) to positions and texts.
    """

    def __init__(self, side: str, make: TickMaker) -> None:
        super().__init__(side)
        self._side = side
        self._make = make
        self._texts: dict[float, str] = {}
        pg.AxisItem.enableAutoSIPrefix(self, False)
        pg.AxisItem.setStyle(
            self,
            tickLength=0,
            tickTextOffset=8,
            autoExpandTextSpace=False,
            hideOverlappingLabels=False,
        )

    def set_maker(self, make: TickMaker) -> None:
        """Show other ticks: the unit has changed."""
        self._make = make
        self.picture = None
        self.update()

    def set_look(self, palette: Palette, font: QFont) -> None:
        """Use these colours and this font."""
        metrics = QFontMetricsF(font)
        self.setTickFont(font)
        pg.AxisItem.setTextPen(self, palette.text)
        pg.AxisItem.setPen(self, palette.muted)
        if self._side == "left":
            self.setWidth(round(metrics.horizontalAdvance(_WIDEST)) + 14)
        else:
            self.setHeight(round(metrics.height()) + 12)
        self.picture = None
        self.update()

    @property
    def positions(self) -> NDArray[np.float64]:
        """Where the ticks are now, for the grid."""
        size = self.size()
        length = size.width() if self._side == "bottom" else size.height()
        low, high = self.range
        return np.array([at for at, _ in self._ticks(low, high, length)], np.float64)

    def tickValues(  # noqa: N802
        self,
        minVal: float,  # noqa: N803
        maxVal: float,  # noqa: N803
        size: float,
    ) -> list[tuple[float, list[float]]]:
        """Give pyqtgraph the positions."""
        ticks = self._ticks(minVal, maxVal, size)
        self._texts = dict(ticks)
        return [(1.0, [at for at, _ in ticks])]

    def tickStrings(  # noqa: N802
        self, values: list[float], scale: float, spacing: float
    ) -> list[str]:
        """Give pyqtgraph the texts."""
        return [self._texts.get(value, "") for value in values]

    def _ticks(self, low: float, high: float, length: float) -> Ticks:
        if not high > low:
            return []
        return self._make(low, high, max(2, int(length / _APART[self._side])))
