"""Headings with lines under them: the reasons behind the verdict, the cautions of the work."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from app.screen.shown import Passage
from app.window.buttons import dress
from app.window.scrolling import Scrolling
from app.window.theme import BASE_PX, font


class Passages(Scrolling):
    """Shows passages, and scrolls where they do not fit."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._shown: tuple[Passage, ...] = ()
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # there is nothing to scroll yet

    def show_passages(self, passages: tuple[Passage, ...]) -> None:
        """Show these instead; where nothing changed the scroll place stays."""
        if passages == self._shown:
            return
        self._shown = passages
        self._tell_readers(passages)
        able = Qt.FocusPolicy.StrongFocus if passages else Qt.FocusPolicy.NoFocus
        self.setFocusPolicy(able)
        place = self.verticalScrollBar().value()
        body = QWidget()
        column = QVBoxLayout(body)
        column.setSpacing(6)
        for passage in passages:
            column.addWidget(_label(passage.heading, is_heading=True))
            for line in passage.lines:
                column.addWidget(_label("•  " + line))
            column.addSpacing(10)
        column.addStretch()
        self.setWidget(body)
        self.verticalScrollBar().setValue(place)

    def _tell_readers(self, passages: tuple[Passage, ...]) -> None:
        """Let a screen reader say all of it when the keyboard comes here: labels take no focus."""
        self.setAccessibleName(", ".join(passage.heading for passage in passages))
        lines = (line for passage in passages for line in (passage.heading + ".", *passage.lines))
        self.setAccessibleDescription(" ".join(lines))


class PassagesDialog(QDialog):
    """Passages in a window of their own, which does not stop the main one."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.resize(720, 520)
        self.passages = Passages()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        dress(buttons)
        column = QVBoxLayout(self)
        column.addWidget(self.passages, 1)
        column.addWidget(buttons)


def _label(text: str, *, is_heading: bool = False) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setFont(font(BASE_PX + (3 if is_heading else 1), bold=is_heading))
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
