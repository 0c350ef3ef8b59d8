"""The part of the job form on the circuit's past, with the rough forecast it gives."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QLabel, QLineEdit, QWidget

from app.job_fields import OIL_KINDS, PAST_RANGES, JobFields
from app.window.labels import field_label
from app.window.numbers import shown_number, typed_number
from app.window.theme import BASE_PX, font

Forecast = Callable[[JobFields], str]


class HistoryBox(QWidget):
    """Edits the fields of the circuit's past.

    Parameters
    ----------
    fields
        As they are.
    forecast
        Says what such a past lets expect.
    """

    changed = Signal()

    def __init__(self, fields: JobFields, forecast: Forecast) -> None:
        super().__init__()
        tr = self.tr
        self._fields, self._forecast = fields, forecast
        self.numbers = {name: QLineEdit() for name in PAST_RANGES}
        self.oil_kind = QComboBox()
        self.renewed_drier = QCheckBox(tr("drier renewed just before this pull"))
        self.renewed_oil = QCheckBox(tr("oil renewed just before this pull"))
        self.forecast, self._note = QLabel(), QLabel()
        self.oil_kind.addItem(tr("not said"), "")
        for kind in OIL_KINDS:
            self.oil_kind.addItem(tr("mineral oil") if kind == "mineral" else kind, kind)
        self.oil_kind.setCurrentIndex(max(self.oil_kind.findData(fields.oil_kind), 0))
        self.renewed_drier.setChecked(fields.renewed_drier)
        self.renewed_oil.setChecked(fields.renewed_oil)
        for name, line in self.numbers.items():
            line.setText(shown_number(getattr(fields, name)))
            line.textChanged.connect(self._on_change)
        self.oil_kind.currentIndexChanged.connect(self._on_change)
        for box in (self.renewed_drier, self.renewed_oil):
            box.toggled.connect(self._on_change)
        self._lay_out()
        self._on_change()

    @property
    def is_right(self) -> bool:
        """Whether every number that is given can be."""
        return all(
            not line.text().strip() or self._number(name) is not None
            for name, line in self.numbers.items()
        )

    def filled(self, fields: JobFields) -> JobFields:
        """Give the fields with the past as it stands here."""
        return replace(
            fields,
            days_open=self._number("days_open"),
            temperature_c=self._number("temperature_c"),
            humidity_pct=self._number("humidity_pct"),
            oil_ml=self._number("oil_ml"),
            oil_kind=self.oil_kind.currentData(),
            renewed_drier=self.renewed_drier.isChecked(),
            renewed_oil=self.renewed_oil.isChecked(),
        )

    def _lay_out(self) -> None:
        tr = self.tr
        form = QFormLayout(self)
        for text, widget in (
            (tr("Days that lines stood open"), self.numbers["days_open"]),
            (tr("Humidity of that air (%)"), self.numbers["humidity_pct"]),
            (tr("Temperature of the circuit now (°C)"), self.numbers["temperature_c"]),
            (tr("Kind of oil"), self.oil_kind),
            (tr("Amount of oil (mL)"), self.numbers["oil_ml"]),
            ("", self.renewed_drier),
            ("", self.renewed_oil),
        ):
            widget.setFont(font(BASE_PX))
            if text:
                widget.setAccessibleName(text)
            form.addRow(field_label(text), widget)
        for label in (self._note, self.forecast):
            label.setWordWrap(True)
            label.setFont(font(BASE_PX + 1, bold=True))
            form.addRow(label)

    def _number(self, name: str) -> float | None:
        value = typed_number(self.numbers[name].text())
        low, high = PAST_RANGES[name]
        return value if value is not None and low <= value <= high else None

    def _on_change(self) -> None:
        self._note.setText("" if self.is_right else self.tr("A number here cannot be."))
        self._note.setVisible(not self.is_right)
        self.forecast.setText(self._forecast(self.filled(self._fields)))
        self.changed.emit()
