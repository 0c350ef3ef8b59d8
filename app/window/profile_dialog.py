"""Editing a gauge that is kept under a name: name, address, note, calibration curve."""

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import (
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.gauge.profile_form import CurveForm, curve_form, curve_of_profile, edited
from app.gauge.profiles import Profile, replace_profile
from app.system.errors import UsageError
from app.window.answers import Answers
from app.window.choice_box import ChoiceBox
from app.window.labels import SentenceLabel, field_label
from app.window.leaving import Leaving
from app.window.numbers import typed_number
from app.window.room import open_at
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words.display import UNIT_SYMBOLS
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
        self.setWindowTitle(self.tr("A gauge's profile"))
        self._before, self._curve = profile, curve_of_profile(profile)
        self._leaving = Leaving(
            lambda: self._typed() != self._typed_first, lambda text: self.trouble.tell(text)
        )
        self.saved: Profile | None = None
        self._make_fields(curve_form(self._curve, unit))
        self.trouble = SentenceLabel()
        self.trouble.setFont(font(BASE_PX, bold=True))
        self.buttons = Answers(self, self._on_accept)
        column = QVBoxLayout(self)
        column.addLayout(self._forms(), 1)
        column.addWidget(self.trouble)
        column.addWidget(self.buttons)
        self.kind.currentIndexChanged.connect(lambda _row: self._on_kind())
        self.unit.currentIndexChanged.connect(lambda _row: self._on_unit())
        self._on_kind()
        self._typed_first = self._typed()
        open_at(self, 920, 520)

    def _make_fields(self, form: CurveForm) -> None:
        tr, profile = self.tr, self._before
        self.name, self.address = QLineEdit(profile.name), QLineEdit(profile.address)
        self.note, self.day = QLineEdit(profile.note), QLineEdit(form.calibrated)
        self._points_shown = _written(form.points)
        self.about, self.points = QLineEdit(form.note), QPlainTextEdit(self._points_shown)
        self.kind, self.unit = ChoiceBox(), ChoiceBox()
        self.kind.addItem(tr("not needed"), "")
        for kind, text in zip(
            KINDS, (tr("straight line"), tr("so much a decade"), tr("table")), strict=True
        ):
            self.kind.addItem(text, kind)
        self.kind.setCurrentIndex(self.kind.findData(form.kind))
        for known, symbol in UNIT_SYMBOLS.items():
            self.unit.addItem(symbol, known)
        self.unit.setCurrentIndex(self.unit.findData(form.unit))
        for line in (self.address, self.note):
            line.setCursorPosition(0)  # a long one is seen from its beginning
        self.day.setPlaceholderText("2030-01-31")
        self.points.setPlaceholderText(_written("2.5  1\n3.5  10"))
        self.points.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)  # a point is a line

    def _forms(self) -> QHBoxLayout:
        tr = self.tr
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
        return row

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

    def _on_unit(self) -> None:
        """Write points that nobody touched in the other unit; what was typed is meant in it."""
        if self.points.toPlainText() == self._points_shown:
            form = curve_form(self._curve, self.unit.currentData())
            self._points_shown = _written(form.points)
            self.points.setPlainText(self._points_shown)

    def _typed(self) -> tuple[str | bool, ...]:
        lines = (self.name, self.address, self.note, self.day, self.about)
        is_other = self.points.toPlainText() != self._points_shown
        return (*(line.text() for line in lines), self.kind.currentData(), is_other)

    def reject(self) -> None:
        """Close without saving; where something was typed, only when asked a second time."""
        if self._leaving.may_go():
            super().reject()

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
                self.name.text(),
                self.address.text(),
                self.note.text(),
                form,
                self._before,
                number=typed_number,
            )
            replace_profile(self._before.name, profile)
        except UsageError as error:
            self.trouble.tell(str(error))
            return
        self.saved = profile
        self.accept()


def _written(points: str) -> str:
    """Write points as the user writes numbers, and as ``typed_number`` reads them."""
    return points.replace(".", QLocale().decimalPoint())
