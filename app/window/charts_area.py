"""The four charts and which of them are in sight; they come after the window's first paint."""

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QStackedWidget, QVBoxLayout, QWidget

from app.charts.palette import Palette
from app.screen.shown import Screen
from app.window.labels import ElidedLabel
from app.window.theme import BASE_PX, font

if TYPE_CHECKING:
    from app.window.charts_pen import ChartsPen


class ChartsArea(QWidget):
    """Holds places for the charts, and fills them once :meth:`load` is called."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._main = QStackedWidget()
        self._note = ElidedLabel()
        self._note.setFont(font(BASE_PX - 1))
        self._note.setProperty("role", "muted")
        self._titles = [QLabel(self.tr("Lulls")), QLabel(self.tr("Last minutes"))]
        self._titles.append(QLabel(self.tr("Whole run")))
        self._cards = [QFrame() for _ in self._titles]
        self._columns = []
        for card, title in zip(self._cards, self._titles, strict=True):
            card.setProperty("role", "card")
            title.setFont(font(BASE_PX - 1, bold=True))
            column = QVBoxLayout(card)
            column.setContentsMargins(10, 6, 6, 6)
            column.setSpacing(2)
            column.addWidget(title)
            self._columns.append(column)
        self._columns[0].addWidget(self._main, 1)
        self._columns[0].addWidget(self._note)
        lower = QHBoxLayout()
        lower.setSpacing(8)
        lower.addWidget(self._cards[1], 2)
        lower.addWidget(self._cards[2], 3)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self._cards[0], 6)
        column.addLayout(lower, 5)
        self._pen: ChartsPen | None = None

    def load(self, palette: Palette, unit: str) -> "ChartsPen":
        """Import and place the charts."""
        from app.window.charts_pen import ChartsPen

        pen = ChartsPen()
        self._main.addWidget(pen.lulls)
        self._main.addWidget(pen.hold)
        self._columns[1].addWidget(pen.recent, 1)
        self._columns[2].addWidget(pen.whole, 1)
        pen.set_palette(palette)
        pen.set_unit(unit)
        self._pen = pen
        return pen

    def show_screen(self, screen: Screen, palette: Palette) -> None:
        """Show the chart that goes with the moment, and the line that explains it."""
        is_hold = screen.hold.page not in ("none", "close-valve")
        is_short = screen.hold.page == "isolating"
        title = self.tr("Isolation") if is_short else self.tr("Standing test")
        self._titles[0].setText(title if is_hold else self.tr("Lulls"))
        note = self.tr("Pressure since the valve was closed, and what would explain it.")
        if is_short:
            note = self.tr("Pressure since the valve was closed; too short to tell why it rises.")
        self._note.show_text(note if is_hold else screen.lull_note)
        if self._pen is not None:
            self._pen.hold.explain(is_told=not is_short)
            self._main.setCurrentWidget(self._pen.hold if is_hold else self._pen.lulls)
