"""The pressure test with dry nitrogen: what to mind, the figures, and what they show."""

from collections.abc import Callable

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import (
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from analysis.nitrogen.pressure_test import PressureTest
from app.rig.rig_screen import TYPED, Dial, judge_typed
from app.screen.shown import Passage
from app.window.answers import Answers
from app.window.labels import field_label
from app.window.numbers import shown_number, typed_number
from app.window.passages import Passages
from app.window.room import open_at
from app.window.theme import BASE_PX, TOUCH_PX, font

_EACH_MS = 10_000
_HALF_WAY = 0.1  # of the test: what was read so near the middle is half way
_MOST = 6 * 60 * 24  # readings: a day's

Say = Callable[[PressureTest], tuple[str, ...]]
Read = Callable[[], Dial | None]


class PressureDialog(QDialog):
    """Takes the figures of a pressure test; it is kept only when they make sense.

    Parameters
    ----------
    cautions
        Said before nitrogen is let in, always in full.
    say
        Says what a test showed.
    dial
        Gives what a second gauge reads of the nitrogen, or ``None``.
    """

    def __init__(
        self,
        cautions: Passage,
        say: Say,
        dial: Read = lambda: None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Pressure test"))
        open_at(self, 1000, 640)
        self._say, self._dial = say, dial
        self._begun_s: float | None = None
        self._between: list[Dial] = []
        self._middle = ""  # what was taken half way: what was typed there stays
        self._timer = QTimer(self)
        self._timer.setInterval(_EACH_MS)
        self._timer.timeout.connect(self.read_between)
        self.test: PressureTest | None = None
        self._lay_out(cautions)
        self._on_change()

    def _lay_out(self, cautions: Passage) -> None:
        self.shows = QLabel()
        self.shows.setWordWrap(True)
        self.shows.setFont(font(BASE_PX + 1, bold=True))
        left = QVBoxLayout()
        left.addLayout(self._form())
        left.addLayout(self._from_gauge())
        left.addStretch()
        minded = Passages()
        minded.show_passages((cautions,))
        right = QVBoxLayout()
        right.addWidget(self.shows)
        right.addWidget(minded, 1)
        row = QHBoxLayout()
        row.addLayout(left, 1)
        row.addLayout(right, 1)
        self.buttons = Answers(self, self.accept)
        column = QVBoxLayout(self)
        column.addLayout(row, 1)
        column.addWidget(self.buttons)

    def _form(self) -> QFormLayout:
        tr = self.tr
        texts = {
            "start_bar": tr("Dial at the start (bar)"),
            "start_c": tr("Metal at the start (°C)"),
            "end_bar": tr("Dial at the end (bar)"),
            "end_c": tr("Metal at the end (°C)"),
            "minutes": tr("How long (min)"),
            "middle_bar": tr("Dial half way (bar), if read"),
            "step_bar": tr("Dial can be read to (bar), if coarse"),
            "rated_bar": tr("Lowest-rated component (bar), if known"),
        }
        self.lines = {name: QLineEdit() for name in texts}
        form = QFormLayout()
        for name, line in self.lines.items():
            line.setFont(font(BASE_PX))
            line.setMinimumHeight(TOUCH_PX)
            line.setAccessibleName(texts[name])
            line.textChanged.connect(self._on_change)
            form.addRow(field_label(texts[name], line), line)
        return form

    def _from_gauge(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self.take_start = QPushButton(self.tr("Start from the second gauge"))
        self.take_end = QPushButton(self.tr("End from the second gauge"))
        for button, take in ((self.take_start, self._on_start), (self.take_end, self._on_end)):
            button.setMinimumHeight(TOUCH_PX)
            button.setFont(font(BASE_PX))
            button.setAutoDefault(False)
            button.clicked.connect(take)
            row.addWidget(button)
        return row

    def _on_start(self) -> None:
        dial = self._take("start")
        self._begun_s = None if dial is None else dial.time_s
        self._between.clear()
        if dial is not None:
            self._timer.start()

    def _on_end(self) -> None:
        dial = self._take("end")
        begun_s = self._begun_s
        if dial is None or begun_s is None or dial.time_s <= begun_s:
            return
        lasted_s = dial.time_s - begun_s
        self.lines["minutes"].setText(shown_number(lasted_s / 60.0))
        half_s = begun_s + 0.5 * lasted_s
        middle = min(self._between, key=lambda at: abs(at.time_s - half_s), default=None)
        is_half = middle is not None and abs(middle.time_s - half_s) <= _HALF_WAY * lasted_s
        read = shown_number(middle.over_air_bar) if middle is not None and is_half else ""
        if read or self.lines["middle_bar"].text() == self._middle:
            self._middle = read
            self.lines["middle_bar"].setText(read)

    def read_between(self) -> None:
        """Keep what the second gauge reads on the way: one of these is half way."""
        dial = self._dial()
        if dial is not None and len(self._between) < _MOST:
            self._between.append(dial)

    def _take(self, moment: str) -> Dial | None:
        """Write what the second gauge reads now; a temperature that it does not tell stays."""
        dial = self._dial()
        if dial is None:
            self.shows.setText(self.tr("There is no second gauge that reads now."))
            return None
        self.lines[f"{moment}_bar"].setText(shown_number(dial.over_air_bar))
        if dial.celsius is not None:
            self.lines[f"{moment}_c"].setText(shown_number(dial.celsius))
        return dial

    def _on_change(self) -> None:
        self.test = None
        typed = {name: typed_number(line.text()) for name, line in self.lines.items()}
        given = {name: value for name, value in typed.items() if value is not None}
        odd = [n for n, line in self.lines.items() if line.text().strip() and n not in given]
        text = self.tr("Fill in what the dial and the thermometer show.")
        if odd:  # left out, a rated pressure typed with its unit would not be heeded
            text = self.tr("This is no number: {text}").format(text=self.lines[odd[0]].text())
        elif given.keys() >= set(TYPED):
            try:
                self.test = judge_typed(given)
            except ValueError as error:
                text = self.tr("These figures cannot be: {why}").format(why=error)
            else:
                text = "\n".join(self._say(self.test))
        self.shows.setText(text)
        self.buttons.yes.setEnabled(self.test is not None)
