"""Checking a gauge beside something known: its reading averaged live, zero and span put right."""

from datetime import UTC, date, datetime
from functools import partial

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from app.gauge.check import GaugeCheck, Live, Slot
from app.gauge.link import Link
from app.system.errors import UsageError
from app.window.answers import Answers
from app.window.known_pressure import KnownPressure
from app.window.labels import SentenceLabel, field_label
from app.window.leaving import Leaving
from app.window.room import open_at
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words import display
from app.words.sentences import Words
from sensors.calibration import Curve
from sensors.correction import Correction
from sensors.zero_span import Check

LOOK_MS = 250
MOST_SHARE = 10.0  # a larger error is no share of the true pressure any more


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
        open_at(self, 920, 500)
        self.address = ""
        self._leaving = Leaving(
            lambda: bool(self._check.checks), lambda text: self.trouble.tell(text)
        )
        self._check, self._words, self._link = check, Words(unit=unit), Link()
        self.now, self.trouble, self.outcome = (SentenceLabel() for _ in range(3))
        self.now.setFont(font(BASE_PX + 8, bold=True))
        grid = self._known(unit)
        self.name = QLineEdit()
        self.buttons = Answers(self, self._on_accept, tr("Put it right, with today's date"))
        self.save = self.buttons.yes
        self.save.setEnabled(False)
        self._lay_out(grid)
        self.finished.connect(lambda _result: self._on_end())
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()
        self._link.start(check.sensor)
        self.look()

    def _known(self, unit: str) -> QGridLayout:
        grid = QGridLayout()
        grid.setColumnStretch(4, 1)
        names: dict[Slot, tuple[str, str]] = {
            "zero": (self.tr("True at the low end"), unit),
            "span": (self.tr("True at the high end"), "hpa"),
        }
        self.rows = {
            slot: KnownPressure(
                grid, row, *named, partial(self._on_take, slot), partial(self._on_change, slot)
            )
            for row, (slot, named) in enumerate(names.items())
        }
        return grid

    def _lay_out(self, grid: QGridLayout) -> None:
        about = QLabel(
            self.tr(
                "Hold it against something known: a second gauge at the pump's own vacuum, or the "
                "air outside by a barometer (the pressure here, not the one reduced to sea "
                "level). Wait until it rests. A thermal gauge that is right at the air outside "
                "may still be wrong at 500 micron."
            )
        )
        about.setWordWrap(True)
        for label in (about, self.trouble, self.outcome):
            label.setFont(font(BASE_PX))
        column = QVBoxLayout(self)
        column.addWidget(about)
        column.addWidget(self.now)
        column.addLayout(grid)
        column.addWidget(self.outcome, 1, Qt.AlignmentFlag.AlignTop)
        column.addWidget(self.trouble)
        column.addLayout(self._name_row())
        column.addWidget(self.buttons)

    def _name_row(self) -> QHBoxLayout:
        kept = self._check.profile
        name = self.tr("Kept under the name") if kept else self.tr("Name to keep it under")
        self.name.setText(kept.name if kept else "")
        self.name.setFont(font(BASE_PX))
        self.name.setMinimumHeight(TOUCH_PX)
        self.name.setAccessibleName(name)
        self.name.setPlaceholderText(self.tr("if wanted"))
        self.name.setEnabled(kept is None)
        row = QHBoxLayout()
        row.addWidget(field_label(name, self.name))
        row.addWidget(self.name, 1)
        return row

    def look(self) -> None:
        """Show what the gauge reads now."""
        while not self._link.events.empty():
            self._check.hear(self._link.events.get())
        self._check.tell_time(self._link.clock.now_s())
        live = self._check.live()
        self.now.setText(self._said(live))
        for row in self.rows.values():
            row.take.setEnabled(live.mean_pa is not None and row.true_pa() is not None)

    def _said(self, live: Live) -> str:
        if live.mean_pa is None:
            return live.trouble or self.tr("Waiting for readings …")
        text = self.tr("Reads {mean} (mean of {count}, scatter {scatter})").format(
            mean=self._words.pressure(live.mean_pa),
            count=live.count,
            scatter=self._words.pressure(live.scatter_pa),
        )
        return f"{text}. {self.tr('It still moves: wait.')}" if live.is_moving else f"{text}."

    def _on_take(self, slot: Slot) -> None:
        row = self.rows[slot]
        true_pa = row.true_pa()
        if true_pa is None:
            return
        try:
            check = self._check.take(slot, true_pa)
        except UsageError as error:
            self.trouble.tell(str(error))
            return
        row.show_taken(self._compared(check))
        self._show_outcome()

    def _on_change(self, slot: Slot) -> None:
        self._check.forget(slot)
        self._show_outcome()
        self.look()

    def _compared(self, check: Check) -> str:
        if check.error_pa == 0:
            return self.tr("read {read}: right").format(read=self._words.pressure(check.read_pa))
        text = (
            self.tr("read {read}: {error} too high")
            if check.error_pa > 0
            else self.tr("read {read}: {error} too low")
        )
        said = text.format(
            read=self._words.pressure(check.read_pa),
            error=self._words.pressure(abs(check.error_pa)),
        )
        share = check.error_share
        if share is None or abs(share) > MOST_SHARE:
            return said
        return f"{said} ({display.share(abs(share))})"

    def _show_outcome(self) -> None:
        """Say what would be put right, or why nothing can be; only the first can be saved."""
        self.trouble.setText("")
        said, is_right = "", False
        if self._check.checks:
            try:
                said, is_right = self._told(self._check.found(_today())), True
            except UsageError as error:
                said = str(error)
        self.outcome.setText(said)
        self.save.setEnabled(is_right)

    def _told(self, found: Correction | Curve) -> str:
        if isinstance(found, Curve):
            what = found.words
        else:
            zero, gain = self._words.pressure(found.zero_pa), f"{found.gain:.5g}"
            what = self.tr("zero {zero}, gain {gain}").format(zero=zero, gain=gain)
        return self.tr("From now on: {what}.").format(what=what)

    def _on_accept(self) -> None:
        try:
            self.address = self._check.keep(self.name.text().strip(), _today())
        except UsageError as error:
            self.trouble.tell(str(error))
            return
        self.accept()

    def reject(self) -> None:
        """Close without saving; what was taken is let go only when asked a second time."""
        if self._leaving.may_go():
            super().reject()

    def _on_end(self) -> None:
        self._timer.stop()
        self._link.close()


def _today() -> date:
    return datetime.now(UTC).astimezone().date()
