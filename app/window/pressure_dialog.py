"""The pressure test with dry nitrogen: what to mind, the figures, and what they show."""

from collections.abc import Callable

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from analysis.pressure_test import PressureTest
from app.rig_screen import TYPED, judge_typed
from app.screen import Passage
from app.window.labels import field_label
from app.window.numbers import typed_number
from app.window.passages import Passages
from app.window.theme import BASE_PX, TOUCH_PX, font

Say = Callable[[PressureTest], tuple[str, ...]]


class PressureDialog(QDialog):
    """Takes the figures of a pressure test; it is kept only when they make sense.

    Parameters
    ----------
    cautions
        Said before nitrogen is let in, always in full.
    say
        Says what a test showed.
    """

    def __init__(self, cautions: Passage, say: Say, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Pressure test"))
        self.resize(1000, 600)
        self._say = say
        self.test: PressureTest | None = None
        tr = self.tr
        texts = {
            "start_bar": tr("Dial at the start (bar)"),
            "start_c": tr("Metal at the start (°C)"),
            "end_bar": tr("Dial at the end (bar)"),
            "end_c": tr("Metal at the end (°C)"),
            "minutes": tr("How long (min)"),
            "rated_bar": tr("Lowest-rated component (bar), if known"),
        }
        self.lines = {name: QLineEdit() for name in texts}
        form = QFormLayout()
        for name, line in self.lines.items():
            line.setFont(font(BASE_PX))
            line.setMinimumHeight(TOUCH_PX)
            line.setAccessibleName(texts[name])
            line.textChanged.connect(self._on_change)
            form.addRow(field_label(texts[name]), line)
        self.shows = QLabel()
        self.shows.setWordWrap(True)
        self.shows.setFont(font(BASE_PX + 1, bold=True))
        left = QVBoxLayout()
        left.addLayout(form)
        left.addWidget(self.shows, 1)
        minded = Passages()
        minded.show_passages((cautions,))
        row = QHBoxLayout()
        row.addLayout(left, 3)
        row.addWidget(minded, 2)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        for button in self.buttons.buttons():
            button.setMinimumSize(140, TOUCH_PX)
            button.setFont(font(BASE_PX))
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addLayout(row, 1)
        column.addWidget(self.buttons)
        self._on_change()

    def _on_change(self) -> None:
        self.test = None
        typed = {name: typed_number(line.text()) for name, line in self.lines.items()}
        given = {name: value for name, value in typed.items() if value is not None}
        text = self.tr("Fill in what the dial and the thermometer show.")
        if given.keys() >= set(TYPED):
            try:
                self.test = judge_typed(given)
            except ValueError as error:
                text = self.tr("These figures cannot be: {why}").format(why=error)
            else:
                text = "\n".join(self._say(self.test))
        self.shows.setText(text)
        save = self.buttons.button(QDialogButtonBox.StandardButton.Save)
        save.setEnabled(self.test is not None)
