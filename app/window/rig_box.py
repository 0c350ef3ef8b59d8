"""The part of the job form on the rig: pump, hose and cores, and what they cost."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtWidgets import QLabel

from app.job.fields import RIG_RANGES, JobFields
from app.window.choice_box import ChoiceBox
from app.window.labels import unbroken
from app.window.numbers_box import NumbersBox
from app.window.theme import BASE_PX, font

Cost = Callable[[JobFields], tuple[str, ...]]
# What one writes, for one SI unit: L/min as on a pump's plate, mm, m, mL.
_TYPED = {"pump_speed_m3_s": 6e4, "hose_bore_m": 1e3, "hose_length_m": 1.0, "rig_volume_m3": 1e6}


class RigBox(NumbersBox):
    """Edits the fields of the rig.

    Parameters
    ----------
    fields
        As they are.
    cost
        Says what such a rig costs.
    """

    def __init__(self, fields: JobFields, cost: Cost) -> None:
        super().__init__(fields, RIG_RANGES, _TYPED)
        tr = self.tr
        self._cost = cost
        self.cores, self.cost = ChoiceBox(), QLabel()
        for text, code in (
            (tr("not said"), ""),
            (tr("in"), "in"),
            (tr("out, through a coupler with a valve"), "out"),
        ):
            self.cores.addItem(text, code)
        self.cores.setCurrentIndex(max(self.cores.findData(fields.cores), 0))
        self.cores.currentIndexChanged.connect(self._on_change)
        self._lay_out()
        self._on_change()

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
        rows = (
            (tr("Pump's speed (L/min, from its plate)"), self.numbers["pump_speed_m3_s"]),
            (tr("Hose, inside (mm)"), self.numbers["hose_bore_m"]),
            (tr("Hose, length (m)"), self.numbers["hose_length_m"]),
            (tr("Cores of the service ports"), self.cores),
            (tr("Volume of hoses and gauge (mL)"), self.numbers["rig_volume_m3"]),
        )
        self.numbers["rig_volume_m3"].setPlaceholderText(tr("1 m of 6.4 mm hose: 32 mL"))
        self.cost.setWordWrap(True)
        self.cost.setFont(font(BASE_PX + 1))
        self._form(rows).addRow(self.cost)

    def _on_change(self) -> None:
        lines = self._cost(self.filled(self._fields))
        text = "\n".join(lines) or self.tr("Tell the first four to see what hose and cores cost.")
        self.cost.setText(unbroken(text) if self.is_right else self.tr("A number here cannot be."))
        super()._on_change()
