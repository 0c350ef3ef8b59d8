"""One row of the gauge's check: a pressure that is known, and what the gauge read at it."""

from collections.abc import Callable

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QLineEdit

from app.window.buttons import TouchButton
from app.window.choice_box import ChoiceBox
from app.window.labels import SentenceLabel, field_label, unbroken
from app.window.numbers import typed_number
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words import display
from sensors.quantity import HIGHEST_PA
from sensors.units import PA_PER_UNIT


class _ValueLine(QLineEdit):
    """Keeps Return to itself: in a dialog it would press Save, with this value not taken yet."""

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        super().keyPressEvent(event)
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.accept()


class KnownPressure(QObject):
    """The true pressure as it is typed, its unit, and a button that takes what the gauge reads.

    What was taken holds for the value that stood there then: another value or unit asks for
    taking it again.

    Parameters
    ----------
    grid, row
        Where it is laid out.
    name
        What is known.
    unit
        In which it is typed first.
    take
        Takes what the gauge reads now.
    changed
        Told when something else stands there: what was taken is to be forgotten.
    """

    def __init__(
        self,
        grid: QGridLayout,
        row: int,
        name: str,
        unit: str,
        take: Callable[[], None],
        changed: Callable[[], None],
    ) -> None:
        super().__init__()
        self.value, self.unit, self.read = _ValueLine(), ChoiceBox(), SentenceLabel()
        self.take = TouchButton(self.tr("Take it now"), take)
        self.take.setAccessibleName(f"{name}: {self.take.text()}")
        for known, symbol in display.UNIT_SYMBOLS.items():
            self.unit.addItem(symbol, known)
        self.unit.setCurrentIndex(self.unit.findData(unit))
        self.value.setAccessibleName(name)
        self.unit.setAccessibleName(f"{name}: unit")
        self.unit.setAccessibleDescription(self.unit.accessibleName())  # it has no label
        for column, widget in enumerate((self.value, self.unit, self.take, self.read), 1):
            widget.setFont(font(BASE_PX))
            widget.setMinimumHeight(TOUCH_PX)
            grid.addWidget(widget, row, column)
        grid.addWidget(field_label(name, self.value), row, 0)
        self._changed, self._is_taken = changed, False
        self.value.textChanged.connect(lambda _text: self._on_change())
        self.unit.currentIndexChanged.connect(lambda _row: self._on_change())
        self.value.returnPressed.connect(self.take.click)

    def true_pa(self) -> float | None:
        """Give what was typed, Pa; ``None`` where that is no pressure."""
        value = typed_number(self.value.text())
        pressure_pa = None if value is None else value * PA_PER_UNIT[self.unit.currentData()]
        is_one = pressure_pa is not None and 0 <= pressure_pa <= HIGHEST_PA
        return pressure_pa if is_one else None

    def show_taken(self, compared: str) -> None:
        """Say what was taken."""
        self._is_taken = True
        self.read.tell(unbroken(compared))

    def _on_change(self) -> None:
        was_taken, self._is_taken = self._is_taken, False
        self.read.setText(self._said(was_taken))
        self._changed()

    def _said(self, was_taken: bool) -> str:
        if self.value.text().strip() and self.true_pa() is None:
            highest = display.pressure(HIGHEST_PA, self.unit.currentData())
            text = self.tr("Expected a number from 0 to {highest}, no mark for thousands.")
            return text.format(highest=highest)
        return self.tr("Changed: take it again.") if was_taken else ""
