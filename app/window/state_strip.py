"""The strip along the top: the job, the gauge's state, whether it is saved, and the menus."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QMenu, QToolButton, QWidget

from app.charts.palette import Palette
from app.screen.shown import Line, Screen
from app.window.icons import pixmap
from app.window.labels import ElidedLabel, plain_tip
from app.window.theme import BASE_PX, TOUCH_PX, font, tone_colour

_SIGN_PX = 20


class StateLine(QWidget):
    """A small sign and a line of text; the sign's shape says what its colour says."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sign = QLabel()
        self._sign.setFixedSize(_SIGN_PX, _SIGN_PX)
        self.text = ElidedLabel()
        self.text.setFont(font(BASE_PX))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self._sign)
        row.addWidget(self.text, 1)

    def show_line(self, line: Line, palette: Palette) -> None:
        """Show a line."""
        self.text.show_text(line.text)
        self.setToolTip(plain_tip(line.detail))
        self.setAccessibleName(line.text)
        self.setAccessibleDescription(line.detail)
        if line.tone == "calm":
            self._sign.setPixmap(pixmap("calm", palette.muted, _SIGN_PX, 2.0))
            self._sign.setStyleSheet("")
            return
        colour = tone_colour(palette, line.tone)
        self._sign.setPixmap(pixmap(line.tone, palette.on_tone, _SIGN_PX, 2.0))
        self._sign.setStyleSheet(f"background: {colour}; border-radius: {_SIGN_PX // 2}px;")


class MenuButton(QToolButton):
    """A menu's button that Return opens too, as Space does."""

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Open the menu."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.showMenu()
        else:
            super().keyPressEvent(event)


class StateStrip(QWidget):
    """Always in sight.

    Parameters
    ----------
    job_menu, view_menu
        The two menus.
    """

    def __init__(self, job_menu: QMenu, view_menu: QMenu, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tag, self._title = QLabel(self.tr("DEMO: all invented")), ElidedLabel()
        self._tag.setFont(font(BASE_PX, bold=True))
        self._tag.hide()
        self._title.setFont(font(BASE_PX, bold=True))
        self.sensor, self.saved = StateLine(), StateLine()
        row = QHBoxLayout(self)
        row.setContentsMargins(4, 0, 0, 0)
        row.setSpacing(20)
        row.addWidget(self._tag)
        self._title.setMaximumWidth(320)
        row.addWidget(self._title)
        row.addWidget(self.sensor, 1)
        row.addWidget(self.saved, 1)
        self.buttons = [
            self._menu_button(self.tr("Job"), job_menu, "F2"),
            self._menu_button(self.tr("View"), view_menu, "F3"),
        ]
        for button in self.buttons:
            row.addWidget(button)

    def _menu_button(self, text: str, menu: QMenu, key: str) -> QToolButton:
        button = MenuButton()
        button.setText(text)
        button.setFont(font(BASE_PX))
        button.setMenu(menu)
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        button.setMinimumSize(88, TOUCH_PX)
        button.setShortcut(key)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setAccessibleName(text)
        button.setToolTip(f"{text} ({key})")
        button.setStyleSheet("QToolButton::menu-indicator { image: none; }")
        return button

    def show_screen(self, screen: Screen, palette: Palette) -> None:
        """Show the states."""
        self._tag.setVisible(screen.is_invented)
        colour = palette.attention
        self._tag.setStyleSheet(
            f"background: {colour}; color: {palette.on_tone}; border-radius: 6px; padding: 4px 8px;"
        )
        self._title.show_text(screen.title)
        self._title.setVisible(bool(screen.title))
        self.sensor.show_line(screen.sensor, palette)
        self.saved.show_line(screen.saved, palette)
