"""The job form: vehicle, refrigerant, circuit, joints; and what to mind with them."""

from collections.abc import Callable
from dataclasses import replace
from typing import get_args

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTableWidget,
    QTableWidgetItem,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from analysis.leak import REFRIGERANTS
from app.job_fields import JobFields, Joint, JointState, VehicleKind
from app.screen import Passage
from app.window.buttons import TouchButton
from app.window.history_box import Forecast, HistoryBox
from app.window.labels import field_label
from app.window.passages import Passages
from app.window.theme import BASE_PX, TOUCH_PX, font

LITRE_M3 = 1e-3
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
    """

    def __init__(
        self,
        fields: JobFields,
        safety: Safety,
        forecast: Forecast,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("The job"))
        self.resize(1080, 640)
        self._before, self._safety = fields, safety
        self.vehicle, self.oil, self.volume = QLineEdit(), QLineEdit(), QLineEdit()
        self.kind, self.refrigerant = QComboBox(), QComboBox()
        self.joints = JointsTable(fields.joints)
        self._cautions = Passages()
        self._note = QLabel()
        self.history = HistoryBox(fields, forecast, self._on_change)
        self._fill(fields)
        self._lay_out()
        self._on_change()

    def fields(self) -> JobFields:
        """Give the fields as they stand in the form."""
        return replace(
            self.history.filled(self._before),
            vehicle=self.vehicle.text().strip(),
            vehicle_kind=self.kind.currentData(),
            refrigerant=self.refrigerant.currentText().strip(),
            volume_m3=self._volume_m3(),
            oil=self.oil.text().strip(),
            joints=self.joints.joints(),
        )

    def _fill(self, fields: JobFields) -> None:
        tr = self.tr
        kinds: dict[VehicleKind, str] = {
            "combustion": tr("combustion engine"),
            "hybrid": tr("hybrid"),
            "electric": tr("electric"),
        }
        self.kind.addItem(tr("not said"), "")
        for kind in get_args(VehicleKind):
            self.kind.addItem(kinds[kind], kind)
        self.kind.setCurrentIndex(max(self.kind.findData(fields.vehicle_kind), 0))
        self.refrigerant.setEditable(True)
        self.refrigerant.addItems(["", *REFRIGERANTS])
        self.refrigerant.setCurrentText(fields.refrigerant)
        self.vehicle.setText(fields.vehicle)
        self.oil.setText(fields.oil)
        if fields.volume_m3 is not None:
            self.volume.setText(QLocale().toString(fields.volume_m3 / LITRE_M3, "g", 6))
        self.vehicle.setPlaceholderText(tr("in your own words: what it is, its number"))
        self.oil.setPlaceholderText(tr("kind and amount, if known"))
        self.volume.setPlaceholderText(tr("litres, if known: usually 1.5 to 4"))
        self.kind.currentIndexChanged.connect(self._on_change)
        self.refrigerant.currentTextChanged.connect(self._on_change)
        self.volume.textChanged.connect(self._on_change)

    def _lay_out(self) -> None:
        tr = self.tr
        form = QFormLayout()
        for text, widget in (
            (tr("Vehicle"), self.vehicle),
            (tr("Drive"), self.kind),
            (tr("Refrigerant"), self.refrigerant),
            (tr("Volume of the circuit (L)"), self.volume),
            (tr("Oil"), self.oil),
        ):
            widget.setFont(font(BASE_PX))
            widget.setAccessibleName(text)
            form.addRow(field_label(text), widget)
        left = QVBoxLayout()
        left.addLayout(form)
        self._note.setWordWrap(True)
        left.addWidget(self._note)
        left.addWidget(self.joints, 1)
        page, tabs = QWidget(), QTabWidget()
        page.setLayout(left)
        tabs.addTab(page, tr("Vehicle and joints"))
        tabs.addTab(self.history, tr("The circuit's past"))
        tabs.setFont(font(BASE_PX))
        row = QHBoxLayout()
        row.addWidget(tabs, 3)
        row.addWidget(self._cautions, 2)
        column = QVBoxLayout(self)
        column.addLayout(row, 1)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        for button in self.buttons.buttons():
            button.setMinimumSize(140, TOUCH_PX)
            button.setFont(font(BASE_PX))
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        column.addWidget(self.buttons)

    def _volume_m3(self) -> float | None:
        value, is_number = QLocale().toDouble(self.volume.text().strip())
        if not is_number:
            value, is_number = QLocale.c().toDouble(self.volume.text().strip())
        return value * LITRE_M3 if is_number and 0.01 <= value <= 1000.0 else None

    def _on_change(self) -> None:
        self._cautions.show_passages(
            self._safety(self.refrigerant.currentText().strip(), self.kind.currentData())
        )
        is_wrong = bool(self.volume.text().strip()) and self._volume_m3() is None
        self._note.setText(
            self.tr("The volume must be a number of litres from 0.01 to 1000.") if is_wrong else ""
        )
        self._note.setVisible(is_wrong)
        if hasattr(self, "buttons"):
            save = self.buttons.button(QDialogButtonBox.StandardButton.Save)
            save.setEnabled(not is_wrong and self.history.is_right)


class JointsTable(QWidget):
    """Every joint that was, or may have been, disturbed."""

    def __init__(self, joints: tuple[Joint, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        tr = self.tr
        self._states: dict[JointState, str] = {
            "suspect": tr("suspect"),
            "renewed": tr("O-ring renewed"),
            "tight": tr("found tight"),
            "leaks": tr("leaks"),
        }
        title = QLabel(
            tr("Joints that were or may have been opened (a line that shares a block fitting too)")
        )
        title.setWordWrap(True)
        title.setFont(font(BASE_PX, bold=True))
        self.table = QTableWidget(0, 3)
        self.table.setHorizontalHeaderLabels([tr("Joint"), tr("Evidence"), tr("State")])
        self.table.setFont(font(BASE_PX))
        self.table.setAccessibleName(tr("Joints"))
        self.table.verticalHeader().setDefaultSectionSize(TOUCH_PX)
        self.table.verticalHeader().hide()
        header = self.table.horizontalHeader()
        header.setFont(font(BASE_PX - 1, bold=True))
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(2, QHeaderView.ResizeMode.Fixed)
        header.resizeSection(2, 220)
        row = QHBoxLayout()
        row.addWidget(TouchButton(tr("Add a joint"), lambda: self.add(Joint(""))))
        row.addWidget(TouchButton(tr("Remove"), self._on_remove))
        row.addStretch()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(title)
        column.addWidget(self.table, 1)
        column.addLayout(row)
        for joint in joints:
            self.add(joint)

    def add(self, joint: Joint) -> None:
        """Add a row."""
        row = self.table.rowCount()
        self.table.insertRow(row)
        self.table.setItem(row, 0, QTableWidgetItem(joint.name))
        self.table.setItem(row, 1, QTableWidgetItem(joint.evidence))
        states = QComboBox()
        for state, text in self._states.items():
            states.addItem(text, state)
        states.setCurrentIndex(states.findData(joint.state))
        self.table.setCellWidget(row, 2, states)
        self.table.setCurrentCell(row, 0)

    def joints(self) -> tuple[Joint, ...]:
        """Give the rows that have a name or evidence."""
        found = []
        for row in range(self.table.rowCount()):
            name, evidence = (self._text(row, column) for column in (0, 1))
            states = self.table.cellWidget(row, 2)
            assert isinstance(states, QComboBox)
            if name or evidence:
                found.append(Joint(name, evidence, states.currentData()))
        return tuple(found)

    def _text(self, row: int, column: int) -> str:
        item = self.table.item(row, column)
        return "" if item is None else item.text().strip()

    def _on_remove(self) -> None:
        if self.table.currentRow() >= 0:
            self.table.removeRow(self.table.currentRow())
