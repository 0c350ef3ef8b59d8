"""The page of the settings on the window itself: unit, look, sound, second place, the file."""

from pathlib import Path

from PySide6.QtCore import QCoreApplication, Qt, Signal
from PySide6.QtWidgets import QCheckBox, QFormLayout, QVBoxLayout, QWidget

from app.settings.form import DEFAULTS, SettingsForm
from app.settings.values import THEMES
from app.window.backup_box import BackupBox
from app.window.choice_box import ChoiceBox
from app.window.labels import SentenceLabel, field_label
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words.display import UNIT_SYMBOLS
from app.words.terms import look_names


class WindowPage(QWidget):
    """Choices; each list names its default.

    Parameters
    ----------
    form
        Keeps what is chosen.
    note
        On from when on it counts.
    file
        Where all settings are kept.
    """

    edited = Signal()

    def __init__(self, form: SettingsForm, note: str, file: Path) -> None:
        super().__init__()
        tr = self.tr
        self._form = form
        default, themes = tr("{choice} (default)"), look_names(QCoreApplication.translate)
        self.unit = self._choice(UNIT_SYMBOLS, DEFAULTS.unit, default)
        names = {theme: themes[theme] for theme in THEMES}
        self.theme = self._choice(names, DEFAULTS.theme, default)
        self.sound = QCheckBox(tr("alarms are heard too (default)"))
        self.place = BackupBox(form.backup_folder)
        about, self.file = SentenceLabel(), SentenceLabel()
        about.setText(note)
        self.file.setText(str(file))
        self.file.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        rows = QFormLayout()
        for text, widget in (
            (tr("Pressures in"), self.unit),
            (tr("Look"), self.theme),
            (tr("Sound"), self.sound),
            (tr("Second place for jobs"), self.place),
            (tr("All settings are kept in"), self.file),
        ):
            widget.setFont(font(BASE_PX))
            if widget not in (self.place, self.file):
                widget.setMinimumHeight(TOUCH_PX)
                widget.setAccessibleName(text)
            rows.addRow(field_label(text, widget), widget)
        about.setFont(font(BASE_PX))
        column = QVBoxLayout(self)
        column.addWidget(about)
        column.addSpacing(6)
        column.addLayout(rows)
        column.addStretch()
        self.show_form()
        for box in (self.unit, self.theme):
            box.currentIndexChanged.connect(lambda _row: self._on_edited())
        self.sound.toggled.connect(lambda _is_on: self._on_edited())
        self.place.chosen.connect(self._on_edited)

    def show_form(self) -> None:
        """Show what stands in the form."""
        form = self._form
        for box, value in ((self.unit, form.unit), (self.theme, form.theme)):
            box.blockSignals(True)
            box.setCurrentIndex(box.findData(value))
            box.blockSignals(False)
        self.sound.blockSignals(True)
        self.sound.setChecked(form.sound)
        self.sound.blockSignals(False)

    def _choice(self, texts: dict[str, str], default: str, pattern: str) -> ChoiceBox:
        box = ChoiceBox()
        for value, text in texts.items():
            box.addItem(pattern.format(choice=text) if value == default else text, value)
        return box

    def _on_edited(self) -> None:
        form = self._form
        form.theme, form.sound = self.theme.currentData(), self.sound.isChecked()
        form.backup_folder = self.place.folder
        if form.unit != self.unit.currentData():
            form.set_unit(self.unit.currentData())
        self.edited.emit()
