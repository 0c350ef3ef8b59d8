"""A page of the settings: one row a figure, with where it comes from and its way back."""

from functools import partial

from PySide6.QtCore import QCoreApplication, QObject, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.settings.form import SOURCE_BESIDE, SettingsForm
from app.settings.phrases import meanings, setting_names, unit_names
from app.settings.values import LIMITS, TEXT_SOURCES
from app.window.buttons import TouchButton
from app.window.labels import SentenceLabel, field_label, unbroken
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words.display import UNIT_SYMBOLS

_FIGURE_PX = 120
_APART_PX = 4  # from the row under it
NAME, FIGURE, UNIT, SOURCE, BACK = range(5)  # columns


class SettingRow(QObject):
    """One setting: its lines, its unit, its way back, and what is wrong with it or what it means.

    Parameters
    ----------
    form
        Keeps what is typed.
    grid, row
        Where it is laid out; it takes this row and the next.
    name
        Which setting.
    """

    edited = Signal()

    def __init__(self, form: SettingsForm, grid: QGridLayout, row: int, name: str) -> None:
        super().__init__()
        translate = QCoreApplication.translate
        self._form, self._key = form, name
        self.name = setting_names(translate)[name]
        self._unit_name = unit_names(translate).get(name, "")
        self._meaning = meanings(translate).get(name, "")
        self.unit, self.told = QLabel(), SentenceLabel()
        self.lines: dict[str, QLineEdit] = {}
        self.back = TouchButton(self.tr("Default"), self._on_back)
        self.back.setAutoDefault(False)  # Return in a line saves
        first = self._line(name, self.name)
        grid.addWidget(field_label(self.name, first), row, NAME)
        if name in TEXT_SOURCES:  # a source of several figures
            grid.addWidget(first, row, FIGURE, 1, SOURCE - FIGURE + 1)
        else:
            first.setFixedWidth(_FIGURE_PX)
            grid.addWidget(first, row, FIGURE)
            grid.addWidget(self.unit, row, UNIT)
        if source := SOURCE_BESIDE.get(name):
            said = self.tr("{name}: where it comes from").format(name=self.name)
            grid.addWidget(self._line(source, said), row, SOURCE)
        grid.addWidget(self.back, row, BACK)
        grid.addWidget(self.told, row + 1, FIGURE, 1, BACK - FIGURE + 1)
        self.unit.setFont(font(BASE_PX))

    def show_form(self, wrong: dict[str, str]) -> None:
        """Show what stands in the form, and what is wrong there."""
        form = self._form
        for name, line in self.lines.items():
            if line.text() != form.texts[name]:
                line.setText(form.texts[name])
                line.setCursorPosition(0)  # a long one is seen from its beginning
        is_limit = self._key in LIMITS
        self.unit.setText(UNIT_SYMBOLS[form.unit] if is_limit else self._unit_name)
        value = f"{form.default_text(self._key) or '–'} {self.unit.text()}".strip()
        is_default = all(map(form.is_default, self.lines))
        self.back.setEnabled(not is_default)
        self.back.setToolTip(value)
        self.back.setAccessibleName(
            self.tr("{name}: default, {value}").format(name=self.name, value=value)
        )
        told = [wrong[name] for name in self.lines if name in wrong]
        if not told:
            usual = "" if is_default else self.tr("Default: {value}.").format(value=value)
            self._tell(f"{self._meaning} {usual}".strip(), is_wrong=False)
        else:
            self._tell(" ".join(told), is_wrong=True)

    def _line(self, name: str, said: str) -> QLineEdit:
        line = QLineEdit()
        line.setFont(font(BASE_PX))
        line.setMinimumHeight(TOUCH_PX)
        line.setAccessibleName(said)
        line.textEdited.connect(partial(self._on_edited, name))
        self.lines[name] = line
        return line

    def _tell(self, text: str, *, is_wrong: bool) -> None:
        text = unbroken(text)
        if text == self.told.text():
            return
        self.told.setFont(font(BASE_PX, bold=is_wrong))
        self.told.setContentsMargins(0, 0, 0, _APART_PX if text else 0)
        if is_wrong:
            self.told.tell(text)
        else:
            self.told.setText(text)
        for line in self.lines.values():
            line.setAccessibleDescription(text)

    def _on_edited(self, name: str, text: str) -> None:
        self._form.texts[name] = text
        self.edited.emit()

    def _on_back(self) -> None:
        self._form.reset(self.lines)
        self.edited.emit()


class SettingsPage(QWidget):
    """Rows under a note on from when on they count.

    Parameters
    ----------
    form
        Keeps what is typed.
    note
        The note.
    names
        The settings, in order.
    """

    edited = Signal()

    def __init__(self, form: SettingsForm, note: str, names: tuple[str, ...]) -> None:
        super().__init__()
        about = SentenceLabel()
        about.setText(note)
        about.setFont(font(BASE_PX))
        grid = QGridLayout()
        grid.setVerticalSpacing(2)
        grid.setHorizontalSpacing(8)
        grid.setColumnStretch(SOURCE, 1)
        self.rows = [SettingRow(form, grid, 2 * at + 1, name) for at, name in enumerate(names)]
        if any(name in SOURCE_BESIDE for name in names):
            head = QLabel(self.tr("Where it comes from"))
            head.setFont(font(BASE_PX))
            grid.addWidget(head, 0, SOURCE)
        for row in self.rows:
            row.edited.connect(self.edited)
        column = QVBoxLayout(self)
        column.addWidget(about)
        column.addSpacing(6)
        column.addLayout(grid)
        column.addStretch()

    def show_form(self, wrong: dict[str, str]) -> None:
        """Show what stands in the form, and what is wrong there."""
        for row in self.rows:
            row.show_form(wrong)

    def lines(self) -> dict[str, tuple[str, QLineEdit]]:
        """Give each line with the name it is known by."""
        return {key: (row.name, line) for row in self.rows for key, line in row.lines.items()}
