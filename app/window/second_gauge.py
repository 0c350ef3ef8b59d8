"""The part of the gauge's dialog that takes a second gauge, at the pump."""

from collections.abc import Callable

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLineEdit, QWidget

from app.window.buttons import TouchButton
from app.window.theme import BASE_PX, TOUCH_PX, font


class SecondGauge(QWidget):
    """A tick, and an address that is typed or chosen.

    Parameters
    ----------
    address
        The last choice; empty for none.
    choose
        Lets another gauge be chosen; gets the address so far and what to do with the new one.
    """

    def __init__(
        self,
        address: str,
        choose: Callable[[str, Callable[[str], None]], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._choose = choose
        self.tick = QCheckBox(self.tr("Second gauge, at the pump"))
        self.tick.setFont(font(BASE_PX, bold=True))
        self.tick.setMinimumHeight(TOUCH_PX)
        self.tick.setToolTip(
            self.tr("Shown and recorded too. The gauge above, at the far side, alone decides.")
        )
        self.line = QLineEdit(address)
        self.line.setFont(font(BASE_PX))
        self.line.setMinimumHeight(TOUCH_PX)
        self.line.setPlaceholderText(self.tr("its address"))
        self.line.setAccessibleName(self.tr("Address of the second gauge, at the pump"))
        self.button = TouchButton(self.tr("Choose …"), self._on_choose)
        row = QHBoxLayout(self)  # one row: for low screens
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.tick)
        row.addWidget(self.line, 1)
        row.addWidget(self.button)
        self.tick.setChecked(bool(address))
        self._show_address(bool(address))
        self.tick.toggled.connect(self._show_address)

    @property
    def is_wanted(self) -> bool:
        """Whether there shall be one."""
        return self.tick.isChecked()

    @property
    def address(self) -> str:
        """Its address, empty where there shall be none."""
        return self.line.text().strip() if self.is_wanted else ""

    def changed_to(self, act: Callable[[], None]) -> None:
        """Call this whenever something else is chosen."""
        self.tick.toggled.connect(act)
        self.line.textChanged.connect(act)

    def _show_address(self, is_wanted: bool) -> None:
        self.line.setVisible(is_wanted)
        self.button.setVisible(is_wanted)

    def _on_choose(self) -> None:
        self._choose(self.line.text().strip(), self.line.setText)
