"""The largest thing in the window: the verdict sentence, with the pressure beside it."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.charts.palette import Palette
from app.screen.shown import Screen
from app.window.buttons import TouchButton
from app.window.icons import pixmap
from app.window.labels import FittingLabel
from app.window.spoken import say
from app.window.theme import font, tone_colour

SIGN_PX = 64


class VerdictBar(QFrame):
    """Sign, sentence, "why?" and pressure.

    Parameters
    ----------
    ask_why
        Called by the "why?" button.
    """

    def __init__(self, ask_why: Callable[[], None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self.setObjectName("verdict")
        self._palette: Palette | None = None
        self._said = ("", "")
        self._sign = QLabel()
        self._sign.setFixedWidth(SIGN_PX + 24)
        self._sign.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.sentence = FittingLabel(17, 38)
        self.sentence.setAlignment(Qt.AlignmentFlag.AlignVCenter)
        self.why = TouchButton(self.tr("Why?"), ask_why, key="F4")
        self._pressure, self._unit, self._temperature = QLabel("–"), QLabel(), QLabel()
        self.at_pump = QLabel()
        self._lay_out()

    def _lay_out(self) -> None:
        self._pressure.setFont(font(46, bold=True))
        self._unit.setFont(font(18))
        self._temperature.setFont(font(18))
        numbers = QVBoxLayout()
        numbers.setSpacing(0)
        numbers.addStretch()
        self.at_pump.setFont(font(14))
        for label in (self._pressure, self._unit, self._temperature, self.at_pump):
            label.setAlignment(Qt.AlignmentFlag.AlignRight)
            numbers.addWidget(label)
        numbers.addStretch()
        holder = QWidget()
        holder.setFixedWidth(210)
        holder.setLayout(numbers)
        numbers.setContentsMargins(0, 0, 0, 0)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 16, 0)
        row.setSpacing(12)
        row.addWidget(self._sign)
        row.addWidget(self.sentence, 1)
        row.addWidget(self.why, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addWidget(holder)

    def show_screen(self, screen: Screen, palette: Palette) -> None:
        """Show the moment."""
        self.sentence.show_text(screen.verdict)
        if (screen.sign, screen.tone) != self._said:  # its figures change each second
            self._said = screen.sign, screen.tone
            say(self, screen.verdict)
        self.why.setEnabled(bool(screen.why))
        self._pressure.setText(screen.pressure)
        self._unit.setText(screen.unit)
        self._temperature.setText(screen.temperature)
        self._temperature.setVisible(bool(screen.temperature))
        self.at_pump.setText(screen.at_pump)
        self.at_pump.setVisible(bool(screen.at_pump))
        self.at_pump.setStyleSheet(f"color: {palette.pump};")
        self._pressure.setAccessibleName(
            self.tr("Pressure {pressure} {unit}").format(pressure=screen.pressure, unit=screen.unit)
        )
        colour = tone_colour(palette, screen.tone)
        ink = palette.on_tone
        self._sign.setPixmap(pixmap(screen.sign, ink, SIGN_PX, 2.0))
        self._sign.setStyleSheet(
            f"background: {colour}; border-top-left-radius: 7px; border-bottom-left-radius: 7px;"
        )
        self.setStyleSheet(f"#verdict {{ border: 2px solid {colour}; }}")
