"""Along the bottom: what the technician does by hand, and "hold now"."""

from collections.abc import Callable
from typing import Protocol

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from analysis.sample import MarkKind
from app.charts.palette import Palette
from app.screen.shown import Screen
from app.window.buttons import SureButton, TouchButton
from app.window.note_dialog import NoteDialog
from app.window.theme import BASE_PX, font


class Marks(Protocol):
    """What the bar asks for."""

    def mark(self, kind: MarkKind, text: str = "") -> None:
        """Mark what was done."""

    def hold_now(self) -> None:
        """Begin the standing test's walk."""

    def isolate(self) -> None:
        """Begin a short isolation."""


class MarkBar(QWidget):
    """Marks by hand.

    Parameters
    ----------
    acts
        Gives the presenter; asked for at each press, since it comes later than the window.
    """

    def __init__(self, acts: Callable[[], Marks], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._acts = acts
        tr = self.tr
        self.valve = TouchButton(
            tr("Valve moved"), lambda: acts().mark("valve-moved"), key="F5", picture="valve"
        )
        self.nitrogen = SureButton(
            tr("Nitrogen in"),
            lambda: acts().mark("nitrogen-in"),
            sure=tr("Touch again"),
            key="F6",
            picture="nitrogen",
        )
        self.heat = TouchButton(tr("Heat"), lambda: acts().mark("heat"), key="F7", picture="heat")
        self.note = TouchButton(tr("Note …"), self._on_note, key="F8", picture="note")
        self.hold = TouchButton(
            tr("Hold now"), lambda: acts().hold_now(), key="F9", picture="valve", is_main=True
        )
        self.hold.setMinimumWidth(200)
        self.isolate = TouchButton(
            tr("Isolate"), lambda: acts().isolate(), key="Shift+F9", picture="valve"
        )
        self._elapsed = QLabel()
        self._elapsed.setFont(font(BASE_PX + 4))
        widest = self._elapsed.fontMetrics().horizontalAdvance("00:00:00")
        self._elapsed.setMinimumWidth(widest)  # the buttons keep their place as it grows
        self._elapsed.setToolTip(tr("Time since the first reading"))
        self.marks = [self.valve, self.nitrogen, self.heat, self.note]
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        for button in self.marks:
            row.addWidget(button)
        row.addStretch(1)
        row.addWidget(self._elapsed)
        row.addSpacing(10)
        row.addWidget(self.isolate)
        row.addWidget(self.hold)

    def show_screen(self, screen: Screen, palette: Palette) -> None:
        """Show what can be done now."""
        for button in self.marks:
            button.setEnabled(screen.can_mark)
        self.hold.setEnabled(screen.can_hold)
        self.isolate.setEnabled(screen.can_hold)
        self._elapsed.setText(screen.elapsed)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep all texts whole: where there is too little room, first the margins give way."""
        super().resizeEvent(event)
        if event.size().width() == event.oldSize().width():
            return
        for is_tight, has_pictures in ((False, True), (True, True), (True, False)):
            for button in (*self.marks, self.isolate, self.hold):
                button.tighten(is_tight, has_picture=has_pictures)
            if self.sizeHint().width() <= event.size().width():
                break

    def paint_with(self, palette: Palette) -> None:
        """Draw the pictures in the palette's ink."""
        for button in (*self.marks, self.isolate, self.hold):
            button.paint_with(palette)

    def _on_note(self) -> None:
        dialog = NoteDialog(self)
        dialog.accepted.connect(lambda: self._acts().mark("note", dialog.text))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()
