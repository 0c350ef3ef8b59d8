"""The part of the job form on the rig: pump, hose and cores, and what they cost."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QLineEdit, QWidget

from app.job_fields import RIG_RANGES, JobFields
from app.window.labels import field_label, unbroken
from app.window.numbers import shown_number, typed_number
from app.window.theme import BASE_PX, font

Cost = Callable[[JobFields], tuple[str, ...]]
# What one writes, for one SI unit: L/min as on a pump's plate, mm, m, mL.
_TYPED = {"pump_speed_m3_s": 6e4, "hose_bore_m": 1e3, "hose_length_m": 1.0, "rig_volume_m3": 1e6}


class RigBox(QWidget):
    """Edits the fields of the rig.

    Parameters
    ----------
    fields
        As they are.
    cost
        Says what such a rig costs.
    """

    changed = Signal()

    def __init__(self, fields: JobFields, cost: Cost) -> None:
        super().__init__()
        tr = self.tr
        self._fields, self._cost = fields, cost
        self.numbers = {name: QLineEdit() for name in RIG_RANGES}
        self.cores, self.cost = QComboBox(), QLabel()
        for text, code in (
            (tr("not said"), ""),
            (tr("in"), "in"),
            (tr("out, through a coupler with a valve"), "out"),
        ):
            self.cores.addItem(text, code)
        self.cores.setCurrentIndex(max(self.cores.findData(fields.cores), 0))
        for name, line in self.numbers.items():
            line.setText(shown_number(getattr(fields, name), _TYPED[name]))
            line.textChanged.connect(self._on_change)
        self.cores.currentIndexChanged.connect(self._on_change)
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
        """Give the fields with the rig as it stands here."""
        return replace(
            fields,
            pump_speed_m3_s=self._number("pump_speed_m3_s"),
            hose_bore_m=self._number("hose_bore_m"),
            hose_length_m=self._number("hose_length_m"),
            rig_volume_m3=self._number("rig_volume_m3"),
            cores=self.cores.currentData(),
        )

    def _lay_out(self) -> None:
        tr = self.tr
        form = QFormLayout(self)
        for text, widget in (
            (tr("Pump's speed (L/min, from its plate)"), self.numbers["pump_speed_m3_s"]),
            (tr("Hose, inside (mm)"), self.numbers["hose_bore_m"]),
            (tr("Hose, length (m)"), self.numbers["hose_length_m"]),
            (tr("Cores of the service ports"), self.cores),
            (tr("Volume of hoses and gauge (mL)"), self.numbers["rig_volume_m3"]),
        ):
            widget.setFont(font(BASE_PX))
            widget.setAccessibleName(text)
            form.addRow(field_label(text), widget)
        self.numbers["rig_volume_m3"].setPlaceholderText(tr("1 m of 6.4 mm hose: 32 mL"))
        self.cost.setWordWrap(True)
        self.cost.setFont(font(BASE_PX + 1))
        form.addRow(self.cost)

    def _number(self, name: str) -> float | None:
        typed = typed_number(self.numbers[name].text())
        if typed is None:
            return None
        low, high = RIG_RANGES[name]
        value = typed / _TYPED[name]
        return value if low <= value <= high else None

    def _on_change(self) -> None:
        lines = self._cost(self.filled(self._fields))
        text = "\n".join(lines) or self.tr("Tell the first four to see what hose and cores cost.")
        self.cost.setText(unbroken(text) if self.is_right else self.tr("A number here cannot be."))
        self.changed.emit()
