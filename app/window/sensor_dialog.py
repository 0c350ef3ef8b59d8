"""Choosing the gauge: a simulation, a recording, a serial port, or a typed address."""

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QDialogButtonBox,
    QLabel,
    QRadioButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.errors import UsageError
from app.listen_desk import ListenDesk
from app.search_desk import SearchDesk
from app.window.buttons import TouchButton
from app.window.found_page import FoundPage
from app.window.listen_dialog import ListenDialog
from app.window.sensor_pages import (
    AddressPage,
    ReplayPage,
    SerialPage,
    SimPage,
    TypedPage,
)
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words import Words
from sensors.address import parse_address
from sensors.events import SensorError


class SensorDialog(QDialog):
    """Makes an address; accepted only when it is a right one.

    Parameters
    ----------
    address
        The last choice, shown first.
    unit
        In which what is heard is written.
    search
        Finds what is in reach.
    """

    def __init__(
        self,
        address: str = "",
        parent: QWidget | None = None,
        *,
        unit: str = "micron",
        search: SearchDesk | None = None,
    ) -> None:
        super().__init__(parent)
        self._unit = unit
        self.setWindowTitle(self.tr("Choose the gauge"))
        self.setMinimumWidth(640)
        self.pages: dict[str, AddressPage] = {
            "found": FoundPage(search),
            "serial": SerialPage(),
            "typed": TypedPage(address),
            "replay": ReplayPage(*_parts_of(address, "replay")),
            "sim": SimPage(*_parts_of(address, "sim")),
        }
        names = {
            "found": self.tr("Whatever is in reach, as it appears"),
            "serial": self.tr("Gauge on a serial port or USB"),
            "typed": self.tr("Gauge at a typed address"),
            "replay": self.tr("Replay a recording"),
            "sim": self.tr("Simulated circuit (invented)"),
        }
        self._kinds = QButtonGroup(self)
        self._stack = QStackedWidget()
        column = QVBoxLayout(self)
        self.choices: dict[str, QRadioButton] = {}
        for index, (kind, page) in enumerate(self.pages.items()):
            choice = QRadioButton(names[kind])
            choice.setFont(font(BASE_PX + 1, bold=True))
            self._kinds.addButton(choice, index)
            self.choices[kind] = choice
            self._stack.addWidget(page)
            page.changed_to(self._on_change)
            column.addWidget(choice)
        column.addWidget(self._stack)
        self._line = QLabel()
        self._line.setWordWrap(True)
        self._line.setFont(font(BASE_PX - 1))
        self._line.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        column.addWidget(self._line)
        self.listen = TouchButton(self.tr("Listen to it first …"), self._on_listen)
        column.addWidget(self.listen)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        ok = self.buttons.button(QDialogButtonBox.StandardButton.Ok)
        ok.setText(self.tr("Read this gauge"))
        ok.setProperty("role", "main")
        for button in self.buttons.buttons():
            button.setMinimumSize(140, TOUCH_PX)
            button.setFont(font(BASE_PX))
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        column.addWidget(self.buttons)
        self._kinds.idClicked.connect(self._on_kind)
        self._choose(_kind_of(address))

    @property
    def address(self) -> str:
        """The address as chosen so far."""
        return list(self.pages.values())[self._stack.currentIndex()].address()

    def _choose(self, kind: str) -> None:
        self.choices[kind].setChecked(True)
        self._on_kind(list(self.pages).index(kind))

    def _on_kind(self, index: int) -> None:
        self._stack.setCurrentIndex(index)
        self._on_change()

    def take(self, address: str) -> None:
        """Choose a typed address."""
        page = self.pages["typed"]
        assert isinstance(page, TypedPage)
        page.line.setText(address)
        self._choose("typed")

    def _on_listen(self) -> None:
        words = Words(unit=self._unit, translate=QCoreApplication.translate)
        try:
            desk = ListenDesk(self.address, words)
        except UsageError as error:
            self._line.setText(str(error))
            return
        dialog = ListenDialog(desk, self)
        dialog.accepted.connect(lambda: self.take(dialog.address))
        dialog.open()

    def _on_change(self) -> None:
        self.listen.setEnabled(self.address.startswith(("serial:", "tcp:")))
        ok = self.buttons.button(QDialogButtonBox.StandardButton.Ok)
        address = self.address
        if not address:
            ok.setEnabled(False)
            self._line.setText(self.tr("Nothing chosen yet."))
            return
        try:
            parse_address(address)
        except SensorError as error:
            ok.setEnabled(False)
            self._line.setText(str(error))
        else:
            ok.setEnabled(True)
            self._line.setText(self.tr("Address: {address}").format(address=address))


def _kind_of(address: str) -> str:
    kind = address.partition(":")[0]
    if kind in ("sim", "replay"):
        return kind
    return "typed" if address else "serial"


def _parts_of(address: str, kind: str) -> tuple[str, str]:
    """Give target and speed of an address of this kind, else nothing."""
    try:
        parsed = parse_address(address)
    except SensorError:
        return "", ""
    return (parsed.target, parsed.options.get("speed", "")) if parsed.kind == kind else ("", "")
