"""The blank-off test of pump, hoses and gauge: its step, and what it shows so far."""

from collections.abc import Callable

from PySide6.QtWidgets import QDialog, QLabel, QVBoxLayout, QWidget

from app.screen.shown import Passage, Screen
from app.window.buttons import TouchButton
from app.window.passages import Passages
from app.window.theme import BASE_PX, font


class BlankOffDialog(QDialog):
    """Does not stop the main window; follows the screen while it is open.

    Parameters
    ----------
    step
        Begins the test, or ends the one that runs.
    """

    def __init__(self, step: Callable[[], None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Blank-off test"))
        self.resize(640, 460)
        self._instruction = QLabel()
        self._instruction.setWordWrap(True)
        self._instruction.setFont(font(BASE_PX + 2, bold=True))
        self.shows = Passages()
        self.step = TouchButton("", step, is_main=True)
        self.step.enlarge()
        self.leave = TouchButton(self.tr("Close"), self.reject)
        column = QVBoxLayout(self)
        for widget in (self._instruction, self.shows, self.step, self.leave):
            column.addWidget(widget)

    def show_screen(self, screen: Screen) -> None:
        """Show how far the test is."""
        tr = self.tr
        self._instruction.setText(
            tr("Leave both valves closed.")
            if screen.is_blanking
            else tr(
                "Close the valve to the circuit. Pull pump, hoses and gauge down alone. Then "
                "close the valve to the pump, and press."
            )
        )
        text = tr("End the test") if screen.is_blanking else tr("Both valves are closed")
        self.step.name(text)
        self.step.setEnabled(screen.can_hold)
        shown = Passage(tr("What it shows"), screen.blank_off)
        self.shows.show_passages((shown,) if screen.blank_off else ())
