"""The ways to choose a gauge, a page each: each makes an address."""

from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLayout,
    QLineEdit,
    QWidget,
)

from app.window.buttons import TouchButton
from app.window.choice_box import ChoiceBox
from app.window.labels import field_label
from app.window.theme import BASE_PX, font
from app.words.display import UNIT_SYMBOLS
from sensors.catalogue import find_ports
from sensors.sim.scenarios import SCENARIOS

SPEEDS = ("1", "10", "70")
BAUDS = ("9600", "19200", "38400", "57600", "115200", "4800", "2400", "1200")


class AddressPage(QWidget):
    """One way to choose; says when the choice changes."""

    def address(self) -> str:
        """Give the address, or nothing."""
        raise NotImplementedError

    def __init__(self) -> None:
        super().__init__()
        self._told: Callable[[], None] = lambda: None

    def changed_to(self, tell: Callable[[], None]) -> None:
        """Call ``tell`` at each change."""
        self._told = tell
        for combo in self.findChildren(QComboBox):
            combo.currentTextChanged.connect(lambda _text: tell())
        for line in self.findChildren(QLineEdit):
            line.textChanged.connect(lambda _text: tell())


def _add(form: QFormLayout, text: str, widget: QWidget, row: QLayout | None = None) -> None:
    """Add a field with its name, also for screen readers."""
    widget.setAccessibleName(text)
    widget.setFont(font(BASE_PX))
    label = field_label(text, widget)
    if row is None:
        form.addRow(label, widget)
    else:
        form.addRow(label, row)


class SerialPage(AddressPage):
    """A port of this computer, with how to read it."""

    def __init__(self) -> None:
        super().__init__()
        self.port, self.baud, self.unit = ChoiceBox(), ChoiceBox(), ChoiceBox()
        self.field, self.question, self.ending = QLineEdit(), QLineEdit(), ChoiceBox()
        self.port.setPlaceholderText(self.tr("none chosen: plug it in, and look again"))
        self.baud.addItems(BAUDS)
        self.unit.addItem(self.tr("as the gauge says"), "")
        for unit, symbol in UNIT_SYMBOLS.items():
            self.unit.addItem(symbol, unit)
        self.question.setPlaceholderText(self.tr("nothing: it speaks by itself"))
        for text, ending in (
            (self.tr("then return"), "\r"),
            (self.tr("then line feed"), "\n"),
            (self.tr("then both"), "\r\n"),
            (self.tr("and no more"), ""),
        ):
            self.ending.addItem(text, ending)
        self.field.setPlaceholderText(self.tr("found by itself; or number or name"))
        look = TouchButton(self.tr("Look again"), self.look)
        row = QHBoxLayout()
        row.addWidget(self.port, 1)
        row.addWidget(look)
        form = QFormLayout(self)
        _add(form, self.tr("Port"), self.port, row)
        _add(form, self.tr("Speed of the line (baud)"), self.baud)
        asking = QHBoxLayout()
        asking.addWidget(self.question, 1)
        asking.addWidget(self.ending)
        self.ending.setAccessibleName(self.tr("How the question ends"))
        self.ending.setAccessibleDescription(self.ending.accessibleName())  # it has no label
        self.ending.setFont(font(BASE_PX))
        _add(form, self.tr("What to ask it"), self.question, asking)
        reading = QHBoxLayout()
        reading.addWidget(self.field, 1)
        reading.addWidget(self.unit, 1)
        self.unit.setFont(font(BASE_PX))
        self.unit.setAccessibleName(self.tr("Unit of the pressure"))
        self.unit.setAccessibleDescription(self.unit.accessibleName())  # it has no label
        _add(form, self.tr("Field and unit"), self.field, reading)
        self.look()

    def look(self) -> None:
        """List the ports anew; the chosen one stays chosen for as long as it is there."""
        chosen = self.port.currentData()
        self.port.clear()
        for found in find_ports():
            self.port.addItem(f"{found.device}  {found.description}".strip(), found.address)
        self.port.setCurrentIndex(0 if chosen is None else self.port.findData(chosen))

    def address(self) -> str:
        """Give the address."""
        target = self.port.currentData()
        if not target:
            return ""
        options = [f"baud={self.baud.currentText()}"]
        if self.question.text().strip():
            asked = self.question.text().strip() + self.ending.currentData()
            options.append(f"query={quote(asked)}")
        if self.field.text().strip():
            options.append(f"field={quote(self.field.text().strip())}")
        if self.unit.currentData():
            options.append(f"unit={self.unit.currentData()}")
        return f"{target}?{'&'.join(options)}"


class TypedPage(AddressPage):
    """Any address; for what does not show in the list of ports."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.line = QLineEdit(address)
        self.line.setPlaceholderText("tcp:192.0.2.7:4001?unit=micron")
        form = QFormLayout(self)
        _add(form, self.tr("Address"), self.line)

    def address(self) -> str:
        """Give the address."""
        return self.line.text().strip()


class ReplayPage(AddressPage):
    """A CSV file or a job."""

    def __init__(self, path: str, speed: str) -> None:
        super().__init__()
        self.path, self.speed = QLineEdit(path), ChoiceBox()
        self.speed.addItems(SPEEDS)
        self.speed.setCurrentText(speed)
        browse = TouchButton(self.tr("Browse …"), self._on_browse)
        row = QHBoxLayout()
        row.addWidget(self.path, 1)
        row.addWidget(browse)
        form = QFormLayout(self)
        _add(form, self.tr("File"), self.path, row)
        _add(form, self.tr("Times as fast"), self.speed)

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
        self.scenario, self.speed, self._about = ChoiceBox(), ChoiceBox(), QLabel()
        self.scenario.addItems(list(SCENARIOS))
        self.scenario.setCurrentText(scenario)
        self.speed.addItems(SPEEDS)
        self.speed.setCurrentText(speed)
        self._about.setWordWrap(True)
        form = QFormLayout(self)
        _add(form, self.tr("Circuit"), self.scenario)
        form.addRow("", self._about)
        _add(form, self.tr("Times as fast"), self.speed)
        self.scenario.currentTextChanged.connect(self._on_scenario)
        self._on_scenario(self.scenario.currentText())

    def address(self) -> str:
        """Give the address."""
        return f"sim:{self.scenario.currentText()}?speed={self.speed.currentText()}"

    def _on_scenario(self, name: str) -> None:
        self._about.setText(SCENARIOS[name].about)
