"""What is in reach, as it appears: ports that are plugged in, Bluetooth devices that speak."""

from PySide6.QtCore import QTimer
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QLabel, QVBoxLayout

from app.gauge.search_desk import SearchDesk
from app.window.choice_list import ChoiceList
from app.window.labels import SentenceLabel
from app.window.sensor_pages import AddressPage
from app.window.theme import BASE_PX, font

LOOK_MS = 300


class FoundPage(AddressPage):
    """Searches while it is in sight.

    Parameters
    ----------
    search
        Finds what is in reach.
    """

    def __init__(self, search: SearchDesk | None = None) -> None:
        super().__init__()
        self._search = search or SearchDesk()
        self.found = ChoiceList(self.tr("Gauges in reach"))
        self.warning = SentenceLabel()
        column = QVBoxLayout(self)
        about = QLabel(self.tr("Plug the gauge in, or switch it on."))
        for label in (about, self.warning):
            label.setFont(font(BASE_PX))
        column.addWidget(about)
        column.addWidget(self.found, 1)
        column.addWidget(self.warning)
        self.timer = QTimer(self)
        self.timer.setInterval(LOOK_MS)
        self.timer.timeout.connect(self.look)
        self.found.currentRowChanged.connect(lambda _row: self._told())

    def address(self) -> str:
        """Give the address."""
        return self.found.chosen

    def look(self) -> None:
        """List what was found since the last look; the chosen one stays chosen."""
        if self._search.look():
            found = self._search.found
            self.found.show_choices(
                {address: f"{address}  {f.description}".rstrip() for address, f in found.items()}
            )
            self.warning.setText(self._search.warning)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Begin to search."""
        super().showEvent(event)
        self._search.begin()
        self.timer.start()

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802 - Qt's name
        """Search no more."""
        super().hideEvent(event)
        self.timer.stop()
        self._search.end()
