"""Headings with lines under them: the reasons behind the verdict, the cautions of the work."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QScrollArea,
    QScroller,
    QVBoxLayout,
    QWidget,
)

from app.screen import Passage
from app.window.theme import BASE_PX, TOUCH_PX, font


class Passages(QScrollArea):
    """Shows passages, and scrolls where they do not fit."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: tuple[Passage, ...] = ()
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        QScroller.grabGesture(self.viewport(), QScroller.ScrollerGestureType.TouchGesture)

    def show_passages(self, passages: tuple[Passage, ...]) -> None:
        """Show these instead; where nothing changed the scroll place stays."""
        if passages == self._shown:
            return
        self._shown = passages
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


class PassagesDialog(QDialog):
    """Passages in a window of their own, which does not stop the main one."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.resize(720, 520)
        self.passages = Passages()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        for button in buttons.buttons():
            button.setMinimumSize(120, TOUCH_PX)
            button.setFont(font(BASE_PX))
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
