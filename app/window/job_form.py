"""The job form: vehicle, refrigerant, circuit, joints; and what to mind with them."""

from collections.abc import Callable
from dataclasses import replace
from typing import get_args

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from analysis.hold.leak import REFRIGERANTS
from app.hold.phrases import kind_phrases
from app.job.fields import JobFields, VehicleKind
from app.screen.shown import Passage
from app.window.answers import Answers
from app.window.buttons import dress
from app.window.choice_box import ChoiceBox
from app.window.history_box import Forecast, HistoryBox
from app.window.joints_table import JointsTable
from app.window.labels import SentenceLabel, field_label
from app.window.leaving import Leaving
from app.window.numbers import shown_number, typed_number
from app.window.passages import Passages
from app.window.rig_box import Cost, RigBox
from app.window.room import open_at
from app.window.scrolling import scrolling_page
from app.window.theme import BASE_PX, font
from app.words.terms import drive_names

LITRE_M3, GRAM_KG = 1e-3, 1e-3
# Wider than any usual one, vans and buses too [practice]: beyond it a unit was likely mistaken.
_USUAL_L, _USUAL_G = (0.3, 25.0), (100.0, 15_000.0)
Safety = Callable[[str, str], tuple[Passage, ...]]


class JobForm(QDialog):
    """Edits the fields of a job.

    Parameters
    ----------
    fields
        As they are.
    safety
        Gives the cautions for a refrigerant and a kind of vehicle.
    forecast
        Says what the circuit's past lets expect.
    cost
        Says what hose and cores cost.
    is_read_only
        The job is damaged: what it holds is shown, and nothing can be changed.
    """

    def __init__(
        self,
        fields: JobFields,
        safety: Safety,
        forecast: Forecast,
        cost: Cost = lambda _fields: (),
        parent: QWidget | None = None,
        *,
        is_read_only: bool = False,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("The job"))
        open_at(self, 1080, 640)
        self._before, self._safety = fields, safety
        self.vehicle, self.oil, self.volume = QLineEdit(), QLineEdit(), QLineEdit()
        self.charge = QLineEdit()
        self.kind, self.refrigerant, self.circuit = ChoiceBox(), ChoiceBox(), ChoiceBox()
        self.joints = JointsTable(fields.joints)
        self._cautions = Passages()
        self._note = QLabel()
        self.history = HistoryBox(fields, forecast)
        self.rig = RigBox(fields, cost)
        self._fill(fields)
        self._lay_out()
        self._on_change()
        if is_read_only:
            self._only_show()
        self._typed_first = self._typed()
        self._leaving = Leaving(lambda: self._typed() != self._typed_first, self._tell)

    def fields(self) -> JobFields:
        """Give the fields as they stand in the form."""
        return replace(
            self.rig.filled(self.history.filled(self._before)),
            vehicle=self.vehicle.text().strip(),
            vehicle_kind=self.kind.currentData(),
            refrigerant=self.refrigerant.currentText().strip(),
            volume_m3=self._volume_m3(),
            circuit_kind=self.circuit.currentData(),
            charge_kg=self._charge_kg(),
            oil=self.oil.text().strip(),
            joints=self.joints.joints(),
        )

    def reject(self) -> None:
        """Close without saving; where something was typed, only when asked a second time."""
        if self._leaving.may_go():
            super().reject()

    def _tell(self, text: str) -> None:
        self._told.setText(text)
        self._told.show()

    def _typed(self) -> tuple[object, ...]:
        is_right = self.history.is_right and self.rig.is_right
        return (self.fields(), is_right, self.volume.text(), self.charge.text())

    def _fill(self, fields: JobFields) -> None:
        tr = self.tr
        kinds = drive_names(QCoreApplication.translate)
        self.kind.addItem(tr("not said"), "")
        for kind in get_args(VehicleKind):
            self.kind.addItem(kinds[kind], kind)
        self.kind.setCurrentIndex(max(self.kind.findData(fields.vehicle_kind), 0))
        self.refrigerant.setEditable(True)
        self.refrigerant.addItems(["", *REFRIGERANTS])
        self.refrigerant.setCurrentText(fields.refrigerant)
        self.vehicle.setText(fields.vehicle)
        self.oil.setText(fields.oil)
        self.circuit.addItem(tr("not said: as an ordinary one"), "")
        for code, text in kind_phrases(QCoreApplication.translate).items():
            self.circuit.addItem(text, code)
        self.circuit.setCurrentIndex(max(self.circuit.findData(fields.circuit_kind), 0))
        self.volume.setText(shown_number(fields.volume_m3, 1.0 / LITRE_M3))
        self.charge.setText(shown_number(fields.charge_kg, 1.0 / GRAM_KG))
        self.charge.setPlaceholderText(tr("grams, by weight, once it is in"))
        self.vehicle.setPlaceholderText(tr("in your own words: what it is, its number"))
        self.oil.setPlaceholderText(tr("kind and amount, if known"))
        self.volume.setPlaceholderText(tr("litres, if known: usually 1.5 to 4"))
        self.kind.currentIndexChanged.connect(self._on_change)
        self.refrigerant.currentTextChanged.connect(self._on_change)
        self.volume.textChanged.connect(self._on_change)
        self.charge.textChanged.connect(self._on_change)
        self.history.changed.connect(self._on_change)
        self.rig.changed.connect(self._on_change)

    def _lay_out(self) -> None:
        tr = self.tr
        form = QFormLayout()
        for text, widget in (
            (tr("Vehicle"), self.vehicle),
            (tr("Drive"), self.kind),
            (tr("Refrigerant"), self.refrigerant),
            (tr("Volume of the circuit (L)"), self.volume),
            (tr("Kind of circuit, for the hold"), self.circuit),
            (tr("Oil"), self.oil),
            (tr("Charged (g)"), self.charge),
        ):
            widget.setFont(font(BASE_PX))
            widget.setAccessibleName(text)
            form.addRow(field_label(text, widget), widget)
        left = QVBoxLayout()
        left.addLayout(form)
        self._note.setWordWrap(True)
        left.addWidget(self._note)
        left.addStretch()
        self._page, tabs = QWidget(), QTabWidget()
        self._page.setLayout(left)
        tabs.addTab(scrolling_page(self._page), tr("Vehicle"))
        tabs.addTab(self.joints, tr("Joints"))
        tabs.addTab(scrolling_page(self.history), tr("The circuit's past"))
        tabs.addTab(scrolling_page(self.rig), tr("Pump and hose"))
        tabs.setFont(font(BASE_PX))
        tabs.setUsesScrollButtons(False)  # they are too small for a finger: long names are cut
        tabs.setElideMode(Qt.TextElideMode.ElideRight)
        row = QHBoxLayout()
        row.addWidget(tabs, 3)
        row.addWidget(self._cautions, 2)
        column = QVBoxLayout(self)
        self._told = SentenceLabel()
        self._told.setFont(font(BASE_PX, bold=True))
        self._told.hide()
        column.addWidget(self._told)
        column.addLayout(row, 1)
        self.buttons = Answers(self, self.accept)
        column.addWidget(self.buttons)

    def _only_show(self) -> None:
        self.setWindowTitle(self.tr("The job, to be read only"))
        self._tell(
            self.tr("This job is damaged and open to be read only: nothing can be changed here.")
        )
        for part in (self._page, self.history, self.rig):
            part.setEnabled(False)
            for line in part.findChildren(QLineEdit):
                line.setPlaceholderText("")  # beside what is greyed it would look typed
        self.joints.only_show()  # the list can still be scrolled
        self.buttons.setStandardButtons(QDialogButtonBox.StandardButton.Close)
        dress(self.buttons)

    def _hints(self) -> list[str]:
        """Ask about what can be, but is mostly a slip of the unit."""
        hints = []
        for line, (least, most), ask in (
            (
                self.volume,
                _USUAL_L,
                self.tr("Circuits usually hold 1.5 to 4 L: is {text} L right, and no mL?"),
            ),
            (
                self.charge,
                _USUAL_G,
                self.tr("Charges are usually 0.3 to 2 kg: are {text} g right, and no kg or oz?"),
            ),
        ):
            value = typed_number(line.text())
            if value is not None and not least <= value <= most:
                hints.append(ask.format(text=line.text().strip()))
        return hints

    def _volume_m3(self) -> float | None:
        value = typed_number(self.volume.text())
        return value * LITRE_M3 if value is not None and 0.01 <= value <= 1000.0 else None

    def _charge_kg(self) -> float | None:
        value = typed_number(self.charge.text())
        return value * GRAM_KG if value is not None and 1.0 <= value <= 1e5 else None

    def _on_change(self) -> None:
        self._cautions.show_passages(
            self._safety(self.refrigerant.currentText().strip(), self.kind.currentData())
        )
        notes = []
        if self.volume.text().strip() and self._volume_m3() is None:
            notes.append(self.tr("The volume must be a number of litres from 0.01 to 1000."))
        if self.charge.text().strip() and self._charge_kg() is None:
            notes.append(self.tr("The charge must be a number of grams from 1 to 100000."))
        hints = [] if notes else self._hints()  # what is refused need not be asked about
        self._note.setText("\n".join(notes + hints))
        self._note.setVisible(bool(notes + hints))
        self.buttons.yes.setEnabled(not notes and self.history.is_right and self.rig.is_right)
