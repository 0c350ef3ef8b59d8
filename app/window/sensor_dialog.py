"""Choosing the gauge: a simulation, a recording, a serial port, or a typed address."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QRadioButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.display import UNIT_SYMBOLS
from app.errors import UsageError
from app.listen_desk import ListenDesk
from app.window.buttons import TouchButton
from app.window.labels import field_label
from app.window.listen_dialog import ListenDialog
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words import Words
from sensors.address import parse_address
from sensors.catalogue import find_ports
from sensors.events import SensorError
from sensors.sim.scenarios import SCENARIOS

SPEEDS = ("1", "10", "70")
BAUDS = ("9600", "19200", "38400", "57600", "115200", "4800", "2400", "1200")


class SensorDialog(QDialog):
    """Makes an address; accepted only when it is a right one.

    Parameters
    ----------
    address
        The last choice, shown first.
    """

    def __init__(
        self, address: str = "", parent: QWidget | None = None, *, unit: str = "micron"
    ) -> None:
        super().__init__(parent)
        self._unit = unit
        self.setWindowTitle(self.tr("Choose the gauge"))
        self.setMinimumWidth(640)
        self.pages: dict[str, AddressPage] = {
            "serial": SerialPage(),
            "typed": TypedPage(address),
            "replay": ReplayPage(*_parts_of(address, "replay")),
            "sim": SimPage(*_parts_of(address, "sim")),
        }
        names = {
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


class AddressPage(QWidget):
    """One way to choose; says when the choice changes."""

    def address(self) -> str:
        """Give the address, or nothing."""
        raise NotImplementedError

    def changed_to(self, tell: Callable[[], None]) -> None:
        """Call ``tell`` at each change."""
        for combo in self.findChildren(QComboBox):
            combo.currentTextChanged.connect(lambda _text: tell())
        for line in self.findChildren(QLineEdit):
            line.textChanged.connect(lambda _text: tell())


class SerialPage(AddressPage):
    """A port of this computer, with how to read it."""

    def __init__(self) -> None:
        super().__init__()
        self.port, self.baud, self.unit = QComboBox(), QComboBox(), QComboBox()
        self.field = QLineEdit()
        self.baud.addItems(BAUDS)
        self.unit.addItem(self.tr("as the gauge says"), "")
        for unit, symbol in UNIT_SYMBOLS.items():
            self.unit.addItem(symbol, unit)
        self.field.setPlaceholderText(self.tr("found by itself; or number or name"))
        look = TouchButton(self.tr("Look again"), self.look)
        row = QHBoxLayout()
        row.addWidget(self.port, 1)
        row.addWidget(look)
        form = QFormLayout(self)
        form.addRow(field_label(self.tr("Port")), row)
        form.addRow(field_label(self.tr("Speed of the line (baud)")), self.baud)
        form.addRow(field_label(self.tr("Field with the pressure")), self.field)
        form.addRow(field_label(self.tr("Its unit")), self.unit)
        self.look()

    def look(self) -> None:
        """List the ports anew."""
        self.port.clear()
        for found in find_ports():
            self.port.addItem(f"{found.device}  {found.description}".strip(), found.address)

    def address(self) -> str:
        """Give the address."""
        target = self.port.currentData()
        if not target:
            return ""
        options = [f"baud={self.baud.currentText()}"]
        if self.field.text().strip():
            options.append(f"field={self.field.text().strip()}")
        if self.unit.currentData():
            options.append(f"unit={self.unit.currentData()}")
        return f"{target}?{'&'.join(options)}"


class TypedPage(AddressPage):
    """Any address; for what does not show in the list of ports."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.line = QLineEdit(address)
        self.line.setPlaceholderText("tcp:192.0.2.7:4001?unit=micron")
        self.line.setAccessibleName(self.tr("Address"))
        form = QFormLayout(self)
        form.addRow(field_label(self.tr("Address")), self.line)

    def address(self) -> str:
        """Give the address."""
        return self.line.text().strip()


class ReplayPage(AddressPage):
    """A CSV file or a job."""

    def __init__(self, path: str, speed: str) -> None:
        super().__init__()
        self.path, self.speed = QLineEdit(path), QComboBox()
        self.speed.addItems(SPEEDS)
        self.speed.setCurrentText(speed)
        browse = TouchButton(self.tr("Browse …"), self._on_browse)
        row = QHBoxLayout()
        row.addWidget(self.path, 1)
        row.addWidget(browse)
        form = QFormLayout(self)
        form.addRow(field_label(self.tr("File")), row)
        form.addRow(field_label(self.tr("Times as fast")), self.speed)

    def address(self) -> str:
        """Give the address."""
        path = self.path.text().strip()
        return f"replay:{path}?speed={self.speed.currentText()}" if path else ""

    def _on_browse(self) -> None:
        chosen, _ = QFileDialog.getOpenFileName(
            self,
            self.tr("Replay a recording"),
            str(Path.home()),
            self.tr("Recordings (*.csv *.txt *.simmerdown);;All files (*)"),
        )
        if chosen:
            self.path.setText(chosen)


class SimPage(AddressPage):
    """An invented circuit."""

    def __init__(self, scenario: str, speed: str) -> None:
        super().__init__()
        self.scenario, self.speed, self._about = QComboBox(), QComboBox(), QLabel()
        self.scenario.addItems(list(SCENARIOS))
        self.scenario.setCurrentText(scenario)
        self.speed.addItems(SPEEDS)
        self.speed.setCurrentText(speed)
        self._about.setWordWrap(True)
        form = QFormLayout(self)
        form.addRow(field_label(self.tr("Circuit")), self.scenario)
        form.addRow("", self._about)
        form.addRow(field_label(self.tr("Times as fast")), self.speed)
        self.scenario.currentTextChanged.connect(self._on_scenario)
        self._on_scenario(self.scenario.currentText())

    def address(self) -> str:
        """Give the address."""
        return f"sim:{self.scenario.currentText()}?speed={self.speed.currentText()}"

    def _on_scenario(self, name: str) -> None:
        self._about.setText(SCENARIOS[name].about)
