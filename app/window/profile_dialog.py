"""Editing a gauge that is kept under a name: name, address, note, calibration curve."""

from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.display import UNIT_SYMBOLS
from app.errors import UsageError
from app.profile_form import CurveForm, curve_form, curve_of_profile, edited
from app.profiles import Profile, replace_profile
from app.window.buttons import dress
from app.window.labels import field_label, sentence_label
from app.window.theme import BASE_PX, TOUCH_PX, font
from sensors.calibration import KINDS


class ProfileDialog(QDialog):
    """Saves the profile when it is accepted; says why not when it cannot be.

    Parameters
    ----------
    profile
        As it is kept now.
    unit
        In which a curve's pressures are written first.
    """

    def __init__(self, profile: Profile, unit: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("A gauge kept under a name"))
        self.resize(920, 520)
        self._before = profile
        self.saved: Profile | None = None
        form = curve_form(curve_of_profile(profile), unit)
        tr = self.tr
        self.name, self.address = QLineEdit(profile.name), QLineEdit(profile.address)
        self.note, self.day, self.about = QLineEdit(profile.note), QLineEdit(), QLineEdit()
        self.kind, self.unit, self.points = QComboBox(), QComboBox(), QPlainTextEdit(form.points)
        self.kind.addItem(tr("none: it tells a pressure"), "")
        for kind, text in zip(
            KINDS, (tr("straight line"), tr("so much a decade"), tr("table")), strict=True
        ):
            self.kind.addItem(text, kind)
        self.kind.setCurrentIndex(self.kind.findData(form.kind))
        for known, symbol in UNIT_SYMBOLS.items():
            self.unit.addItem(symbol, known)
        self.unit.setCurrentIndex(self.unit.findData(form.unit))
        self.day.setText(form.calibrated)
        self.day.setPlaceholderText("2030-01-31")
        self.about.setText(form.note)
        self.points.setPlaceholderText("2.0  1.0\n3.0  10.0")
        column = QVBoxLayout(self)
        row = QHBoxLayout()
        row.setSpacing(24)
        row.addLayout(
            self._form(
                (tr("Name"), self.name),
                (tr("Address"), self.address),
                (tr("Note"), self.note),
                (tr("Signal to pressure"), self.kind),
            ),
            1,
        )
        row.addLayout(
            self._form(
                (tr("Points: signal, pressure"), self.points),
                (tr("Their unit"), self.unit),
                (tr("Calibrated on"), self.day),
                (tr("Against what"), self.about),
            ),
            1,
        )
        column.addLayout(row, 1)
        self.trouble = sentence_label()
        self.trouble.setFont(font(BASE_PX, bold=True))
        column.addWidget(self.trouble)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        dress(self.buttons)
        self.buttons.accepted.connect(self._on_accept)
        self.buttons.rejected.connect(self.reject)
        column.addWidget(self.buttons)
        self.kind.currentIndexChanged.connect(lambda _row: self._on_kind())
        self._on_kind()

    def _form(self, *rows: tuple[str, QWidget]) -> QFormLayout:
        form = QFormLayout()
        for text, widget in rows:
            widget.setFont(font(BASE_PX))
            widget.setAccessibleName(text)
            if not isinstance(widget, QPlainTextEdit):
                widget.setMinimumHeight(TOUCH_PX)
            else:
                widget.setTabChangesFocus(True)
            form.addRow(field_label(text, widget), widget)
        return form

    def _on_kind(self) -> None:
        for widget in (self.points, self.unit, self.day, self.about):
            widget.setEnabled(bool(self.kind.currentData()))

    def _on_accept(self) -> None:
        form = CurveForm(
            self.kind.currentData(),
            self.points.toPlainText(),
            self.unit.currentData(),
            self.day.text(),
            self.about.text(),
        )
        try:
            profile = edited(
                self.name.text(), self.address.text(), self.note.text(), form, self._before
            )
            replace_profile(self._before.name, profile)
        except UsageError as error:
            self.trouble.setText(str(error))
            return
        self.saved = profile
        self.accept()
