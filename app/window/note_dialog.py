"""A note: what happened, in the technician's own words."""

from PySide6.QtWidgets import QDialog, QLineEdit, QVBoxLayout, QWidget

from app.window.answers import Answers
from app.window.labels import SentenceLabel, field_label
from app.window.leaving import Leaving
from app.window.room import open_at
from app.window.theme import BASE_PX, TOUCH_PX, font

_WIDTH_PX = 760  # a sentence of eighty letters is seen whole


class NoteDialog(QDialog):
    """Takes one line; Return saves it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Note"))
        self._leaving = Leaving(lambda: bool(self.text), lambda text: self._told.tell(text))
        self.line, self._told = QLineEdit(), SentenceLabel()
        question = self.tr("What happened?")
        self.line.setFont(font(BASE_PX + 1))
        self.line.setMinimumHeight(TOUCH_PX)
        self.line.setAccessibleName(question)
        self.line.textChanged.connect(self._on_change)
        self._told.setFont(font(BASE_PX))
        self.buttons = Answers(self, self.accept)
        column = QVBoxLayout(self)
        for part in (field_label(question, self.line), self.line, self._told, self.buttons):
            column.addWidget(part)
        self._on_change()
        open_at(self, _WIDTH_PX, column.sizeHint().height())

    @property
    def text(self) -> str:
        """The note as typed."""
        return self.line.text().strip()

    def reject(self) -> None:
        """Close without saving; what was typed is let go only when asked a second time."""
        if self._leaving.may_go():
            super().reject()

    def _on_change(self) -> None:
        self.buttons.yes.setEnabled(bool(self.text))
