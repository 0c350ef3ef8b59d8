"""Shows the raw lines of a gauge and the ways to read them; one is chosen by a touch."""

from PySide6.QtCore import QTimer
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.gauge.listen_desk import ListenDesk, keep_as_profile
from app.live.opening import PROFILE
from app.window.answers import Answers
from app.window.buttons import TouchButton
from app.window.choice_list import ChoiceList
from app.window.labels import SentenceLabel
from app.window.room import open_at
from app.window.theme import BASE_PX, font

LOOK_MS = 250


class ListenDialog(QDialog):
    """Listens while it is open.

    Parameters
    ----------
    desk
        Hears the gauge.
    """

    def __init__(self, desk: ListenDesk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        tr = self.tr
        self.setWindowTitle(tr("Listen to the gauge"))
        open_at(self, 860, 620)
        self._desk = desk
        self._why_not = ""  # why it was not kept; stands until another name is typed
        self.lines, self.choices = QPlainTextEdit(), ChoiceList(tr("Ways to read them"))
        self.trouble, self.name = SentenceLabel(), QLineEdit()
        self.buttons = Answers(self, self._on_accept, tr("Read it so"))
        self.speed = TouchButton("", self._on_speed)
        self._lay_out()
        self.choices.currentRowChanged.connect(lambda _row: self._on_choice())
        self.name.textChanged.connect(lambda _text: self._on_name())
        self.finished.connect(lambda _result: self._on_end())
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)
        self._timer.start()
        self.look()

    def _lay_out(self) -> None:
        tr = self.tr
        self.lines.setReadOnly(True)
        self.lines.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.trouble.setFont(font(BASE_PX))
        self.name.setFont(font(BASE_PX))
        self.name.setPlaceholderText(tr("if wanted"))
        column = QVBoxLayout(self)
        self._heading = _title(tr("Lines as they come"), self.lines)
        for title, widget in (
            (self._heading, self.lines),
            (_title(tr("Ways to read them"), self.choices), self.choices),
        ):
            column.addWidget(title)
            column.addWidget(widget, 1)
        named = QHBoxLayout()
        named.addWidget(_title(tr("Name to keep it under"), self.name))
        named.addWidget(self.name, 1)
        self.buttons.addButton(self.speed, QDialogButtonBox.ButtonRole.ActionRole)
        column.addWidget(self.trouble)
        column.addLayout(named)
        column.addWidget(self.buttons)

    @property
    def address(self) -> str:
        """The address that reads the gauge as chosen, or nothing."""
        return self.choices.chosen

    @property
    def taken(self) -> str:
        """The address, or the name that the gauge was kept under."""
        name = self.name.text().strip()
        return f"{PROFILE}{name}" if name else self.address

    def look(self) -> None:
        """Show what is heard now; the chosen way stays chosen."""
        heard = self._desk.hear()
        self._show_lines("\n".join(heard.lines))
        self.trouble.setText(self._why_not or heard.trouble)
        self.choices.show_choices({choice.address: choice.text for choice in heard.choices})
        if not self.address:
            self.choices.setCurrentRow(0)  # the likeliest
        self._show_speed()
        self._on_choice()

    def _show_lines(self, text: str) -> None:
        """Follow the newest line, but for as long as somebody reads or copies older ones."""
        bar = self.lines.verticalScrollBar()
        is_in_use = bar.value() < bar.maximum() or self.lines.textCursor().hasSelection()
        if text != self.lines.toPlainText() and not is_in_use:
            self.lines.setPlainText(text)
            bar.setValue(bar.maximum())

    def _show_speed(self) -> None:
        present, following = self._desk.rate, self._desk.next_rate
        self.speed.setVisible(following is not None)
        if present is not None:
            text = self.tr("Lines as they come, at {baud} baud")
            self._heading.setText(text.format(baud=present))
            self.speed.name(self.tr("Try {baud} baud").format(baud=following))

    def _on_speed(self) -> None:
        self._desk.try_next_rate()
        self.lines.clear()
        self.look()

    def _on_choice(self) -> None:
        self.buttons.yes.setEnabled(bool(self.address))

    def _on_accept(self) -> None:
        if self.name.text().strip():
            self._why_not = keep_as_profile(self.name.text(), self.address)
            if self._why_not:
                self.trouble.tell(self._why_not)
                return
        self.accept()

    def _on_name(self) -> None:
        self._why_not = ""
        self.look()

    def _on_end(self) -> None:
        self._timer.stop()
        self._desk.close()


def _title(text: str, widget: QWidget) -> QLabel:
    """Name what stands under or beside it, for eyes and for a screen reader."""
    label = QLabel(text)
    label.setFont(font(BASE_PX))
    label.setBuddy(widget)
    widget.setAccessibleName(text)
    return label
