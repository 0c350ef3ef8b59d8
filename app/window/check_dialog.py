"""Checking a gauge beside something known: its reading averaged live, zero and span put right."""

from datetime import UTC, date, datetime

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from app import display
from app.errors import UsageError
from app.gauge_check import GaugeCheck, Live, Slot
from app.link import Link
from app.window.buttons import TouchButton, dress
from app.window.labels import field_label, sentence_label
from app.window.numbers import typed_number
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words import Words
from sensors.units import PA_PER_UNIT
from sensors.zero_span import Check

LOOK_MS = 250


class KnownPressure:
    """One row: the true pressure, its unit, and what the gauge read at it."""

    def __init__(self, grid: QGridLayout, row: int, name: str, unit: str, take: TouchButton):
        self.value, self.unit, self.take, self.read = (
            QLineEdit(),
            QComboBox(),
            take,
            sentence_label(),
        )
        for known, symbol in display.UNIT_SYMBOLS.items():
            self.unit.addItem(symbol, known)
        self.unit.setCurrentIndex(self.unit.findData(unit))
        self.value.setAccessibleName(name)
        self.unit.setAccessibleName(f"{name}: unit")
        self.unit.setAccessibleDescription(self.unit.accessibleName())  # it has no label
        self.read.setWordWrap(True)
        for column, widget in enumerate((self.value, self.unit, self.take, self.read), 1):
            widget.setFont(font(BASE_PX))
            widget.setMinimumHeight(TOUCH_PX)
            grid.addWidget(widget, row, column)
        grid.addWidget(field_label(name, self.value), row, 0)

    def true_pa(self) -> float | None:
        """Give what was typed, Pa."""
        value = typed_number(self.value.text())
        pressure_pa = None if value is None else value * PA_PER_UNIT[self.unit.currentData()]
        return pressure_pa if pressure_pa is not None and pressure_pa >= 0 else None


class CheckDialog(QDialog):
    """Reads the gauge while it is open; gives the address that reads it put right.

    Parameters
    ----------
    check
        The gauge under check.
    unit
        In which pressures are written.
    """

    def __init__(self, check: GaugeCheck, unit: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        tr = self.tr
        self.setWindowTitle(tr("Check the gauge"))
        self.resize(920, 500)
        self.address = ""
        self._check, self._words, self._link = check, Words(unit=unit), Link()
        about = QLabel(
            tr(
                "Hold it against something known: a second gauge at the pump's own vacuum, or the "
                "air outside by a barometer (the pressure here, not the one reduced to sea "
                "level). Wait until it rests. A thermal gauge that is right at the air outside "
                "may still be wrong at 500 micron."
            )
        )
        self.now, self.trouble, self.outcome = (sentence_label() for _ in range(3))
        for label in (about, self.now, self.trouble, self.outcome):
            label.setWordWrap(True)
            label.setFont(font(BASE_PX))
        self.now.setFont(font(BASE_PX + 8, bold=True))
        grid = QGridLayout()
        grid.setColumnStretch(4, 1)
        self.rows: dict[Slot, KnownPressure] = {
            "zero": KnownPressure(grid, 0, tr("True at the low end"), unit, self._take("zero")),
            "span": KnownPressure(grid, 1, tr("True at the high end"), "hpa", self._take("span")),
        }
        self.name = QLineEdit(check.profile.name if check.profile else "")
        self.name.setFont(font(BASE_PX))
        self.name.setMinimumHeight(TOUCH_PX)
        self.name.setAccessibleName(tr("Name to keep it under"))
        self.name.setPlaceholderText(tr("name to keep this gauge under, if wanted"))
        self.name.setReadOnly(check.profile is not None)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        self.save = self.buttons.button(QDialogButtonBox.StandardButton.Save)
        self.save.setText(tr("Put it right, with today's date"))
        self.save.setProperty("role", "main")
        dress(self.buttons)
        column = QVBoxLayout(self)
        column.addWidget(about)
        column.addWidget(self.now)
        column.addLayout(grid)
        column.addWidget(self.outcome, 1, Qt.AlignmentFlag.AlignTop)
        for widget in (self.trouble, self.name, self.buttons):
            column.addWidget(widget)
        self.buttons.accepted.connect(self._on_accept)
        self.buttons.rejected.connect(self.reject)
        self.finished.connect(lambda _result: self._on_end())
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()
        self._link.start(check.sensor)
        self.look()

    def look(self) -> None:
        """Show what the gauge reads now."""
        while not self._link.events.empty():
            self._check.hear(self._link.events.get())
        live = self._check.live()
        self.now.setText(self._said(live))
        for row in self.rows.values():
            row.take.setEnabled(live.mean_pa is not None and row.true_pa() is not None)
        self.save.setEnabled(bool(self._check.checks))

    def _said(self, live: Live) -> str:
        if live.mean_pa is None:
            return live.trouble or self.tr("Waiting for readings …")
        text = self.tr("Reads {mean} (mean of {count}, scatter {scatter})").format(
            mean=self._words.pressure(live.mean_pa),
            count=live.count,
            scatter=self._words.pressure(live.scatter_pa),
        )
        return f"{text}. {self.tr('It still moves: wait.')}" if live.is_moving else f"{text}."

    def _take(self, slot: Slot) -> TouchButton:
        return TouchButton(self.tr("Take it now"), lambda: self._on_take(slot))

    def _on_take(self, slot: Slot) -> None:
        row = self.rows[slot]
        true_pa = row.true_pa()
        if true_pa is None:
            return
        try:
            check = self._check.take(slot, true_pa)
        except UsageError as error:
            self.trouble.setText(str(error))
            return
        self.trouble.setText("")
        row.read.setText(self._compared(check))
        self._show_outcome()
        self.look()

    def _compared(self, check: Check) -> str:
        text = (
            self.tr("read {read}: {error} too high")
            if check.error_pa > 0
            else (self.tr("read {read}: {error} too low"))
        )
        said = text.format(
            read=self._words.pressure(check.read_pa),
            error=self._words.pressure(abs(check.error_pa)),
        )
        share = check.error_share
        return said if share is None else f"{said} ({display.share(abs(share))})"

    def _show_outcome(self) -> None:
        try:
            words = self._check.words(_today())
            self.outcome.setText(self.tr("From now on: {what}.").format(what=words))
        except UsageError as error:
            self.outcome.setText(str(error))

    def _on_accept(self) -> None:
        try:
            self.address = self._check.keep(self.name.text().strip(), _today())
        except UsageError as error:
            self.trouble.setText(str(error))
            return
        self.accept()

    def _on_end(self) -> None:
        self._timer.stop()
        self._link.close()


def _today() -> date:
    return datetime.now(UTC).astimezone().date()
