"""The part of the job form on the circuit's past, with the rough forecast it gives."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtWidgets import QCheckBox, QLabel

from app.job.fields import OIL_KINDS, PAST_RANGES, JobFields
from app.window.choice_box import ChoiceBox
from app.window.numbers_box import NumbersBox
from app.window.theme import BASE_PX, font

Forecast = Callable[[JobFields], str]


class HistoryBox(NumbersBox):
    """Edits the fields of the circuit's past.

    Parameters
    ----------
    fields
        As they are.
    forecast
        Says what such a past lets expect.
    """

    def __init__(self, fields: JobFields, forecast: Forecast) -> None:
        super().__init__(fields, PAST_RANGES)
        tr = self.tr
        self._forecast = forecast
        self.oil_kind = ChoiceBox()
        self.renewed_drier = QCheckBox(tr("drier renewed just before this pull"))
        self.renewed_oil = QCheckBox(tr("oil renewed just before this pull"))
        self.forecast, self._note = QLabel(), QLabel()
        self.oil_kind.addItem(tr("not said"), "")
        for kind in OIL_KINDS:
            self.oil_kind.addItem(tr("mineral oil") if kind == "mineral" else kind, kind)
        self.oil_kind.setCurrentIndex(max(self.oil_kind.findData(fields.oil_kind), 0))
        self.renewed_drier.setChecked(fields.renewed_drier)
        self.renewed_oil.setChecked(fields.renewed_oil)
        self.oil_kind.currentIndexChanged.connect(self._on_change)
        for box in (self.renewed_drier, self.renewed_oil):
            box.toggled.connect(self._on_change)
        self._lay_out()
        self._on_change()

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
        rows = (
            (tr("Days that lines stood open"), self.numbers["days_open"]),
            (tr("Humidity of that air (%)"), self.numbers["humidity_pct"]),
            (tr("Temperature of the circuit now (°C)"), self.numbers["temperature_c"]),
            (tr("Kind of oil"), self.oil_kind),
            (tr("Amount of oil (mL)"), self.numbers["oil_ml"]),
            ("", self.renewed_drier),
            ("", self.renewed_oil),
        )
        form = self._form(rows)
        for label in (self._note, self.forecast):
            label.setWordWrap(True)
            label.setFont(font(BASE_PX + 1, bold=True))
            form.addRow(label)

    def _on_change(self) -> None:
        self._note.setText("" if self.is_right else self.tr("A number here cannot be."))
        self._note.setVisible(not self.is_right)
        self.forecast.setText(self._forecast(self.filled(self._fields)))
        super()._on_change()
