"""The table of the job form that lists every joint."""

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.job.fields import Joint
from app.window.buttons import TouchButton
from app.window.choice_box import ChoiceBox
from app.window.theme import BASE_PX, TOUCH_PX, font
from app.words.terms import joint_names


class JointsTable(QWidget):
    """Every joint that was, or may have been, disturbed."""

    def __init__(self, joints: tuple[Joint, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        tr = self.tr
        self._states = joint_names(QCoreApplication.translate)
        title = QLabel(
            tr("Joints that were or may have been opened (a line that shares a block fitting too)")
        )
        title.setWordWrap(True)
        title.setFont(font(BASE_PX, bold=True))
        self.table = QTableWidget(0, 3)
        self.table.setHorizontalHeaderLabels([tr("Joint"), tr("Evidence"), tr("State")])
        self.table.setFont(font(BASE_PX))
        self.table.setAccessibleName(tr("Joints"))
        self.table.setTabKeyNavigation(False)  # else Tab never leaves it; arrows do that
        self.table.verticalHeader().setDefaultSectionSize(TOUCH_PX)
        self.table.verticalHeader().hide()
        header = self.table.horizontalHeader()
        header.setFont(font(BASE_PX - 1, bold=True))
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(2, QHeaderView.ResizeMode.Fixed)
        header.resizeSection(2, 220)
        row = QHBoxLayout()
        self._buttons = (
            TouchButton(tr("Add a joint"), lambda: self.add(Joint(""))),
            TouchButton(tr("Remove"), self._on_remove),
        )
        for button in self._buttons:
            row.addWidget(button)
        row.addStretch()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(title)
        column.addWidget(self.table, 1)
        column.addLayout(row)
        for joint in joints:
            self.add(joint)

    def only_show(self) -> None:
        """Let nothing be changed any more."""
        self.table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        states = (self.table.cellWidget(row, 2) for row in range(self.table.rowCount()))
        for widget in (*self._buttons, *states):
            widget.setEnabled(False)

    def add(self, joint: Joint) -> None:
        """Add a row."""
        row = self.table.rowCount()
        self.table.insertRow(row)
        self.table.setItem(row, 0, QTableWidgetItem(joint.name))
        self.table.setItem(row, 1, QTableWidgetItem(joint.evidence))
        states = ChoiceBox()
        for state, text in self._states.items():
            states.addItem(text, state)
        states.setCurrentIndex(states.findData(joint.state))
        self.table.setCellWidget(row, 2, states)
        self.table.setCurrentCell(row, 0)
        self._name_states()

    def _name_states(self) -> None:
        """Let a screen reader say which joint each state is of, and Tab come to them in order."""
        before: QWidget = self.table
        for row in range(self.table.rowCount()):
            states = self.table.cellWidget(row, 2)
            assert states is not None
            states.setAccessibleName(self.tr("State of joint {number}").format(number=row + 1))
            states.setAccessibleDescription(states.accessibleName())  # on Linux the choice is told
            self.setTabOrder(before, states)
            before = states
        self.setTabOrder(before, self._buttons[0])

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
            self._name_states()
