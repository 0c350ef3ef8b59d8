"""Buttons for gloved fingers: large, named for screen readers, with their key in the tool tip."""

from collections.abc import Callable

from PySide6.QtCore import QSize, QTimer
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QPushButton, QWidget

from app.charts.palette import Palette
from app.window.icons import icon
from app.window.theme import BASE_PX, TOUCH_PX, font

SURE_WITHIN_MS = 4000  # time to touch a second time


class TouchButton(QPushButton):
    """A button with an optional picture and key.

    Parameters
    ----------
    text
        What it does.
    act
        Called when it is pressed.
    key
        Key of the whole window.
    hint
        A key that does the same, held by somebody else.
    picture
        Name of its picture.
    is_main
        The one that stands out.
    """

    def __init__(
        self,
        text: str,
        act: Callable[[], None],
        *,
        key: str = "",
        hint: str = "",
        picture: str = "",
        is_main: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(text, parent)
        self._picture, self._key, self._is_main = picture, key, is_main
        self._hint = key or hint
        self.setProperty("role", "main" if is_main else "plain")
        self.setFont(font(BASE_PX + (2 if is_main else 0), bold=is_main))
        self.setMinimumSize(TOUCH_PX, TOUCH_PX)
        self.setIconSize(QSize(34, 24))  # wider than the picture: it stands off the text
        self.clicked.connect(lambda: self.on_press(act))
        if key:
            self.setShortcut(QKeySequence(key))
        self.name(text)

    def enlarge(self) -> None:
        """Be higher: the one button that matters now."""
        self.setProperty("large", "true")

    def name(self, text: str) -> None:
        """Take another text; the key stays."""
        if self.text() != text:
            self.setText(text)
            if self._key:
                self.setShortcut(QKeySequence(self._key))  # a new text clears it
        self.setAccessibleName(text)
        self.setToolTip(f"{text} ({self._hint})" if self._hint else text)

    def on_press(self, act: Callable[[], None]) -> None:
        """Do it."""
        act()

    def paint_with(self, palette: Palette) -> None:
        """Draw the picture in the palette's ink."""
        if self._picture:
            ink = palette.background if self._is_main else palette.text
            self.setIcon(icon(self._picture, ink, faint=palette.muted))


class SureButton(TouchButton):
    """A button that wants a second touch, for what ends or restarts something.

    Parameters
    ----------
    sure
        What it says after the first touch.
    """

    def __init__(
        self, text: str, act: Callable[[], None], *, sure: str, key: str = "", picture: str = ""
    ) -> None:
        self._plain, self._sure = text, sure
        super().__init__(text, act, key=key, picture=picture)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SURE_WITHIN_MS)
        self._timer.timeout.connect(self.calm_down)

    @property
    def is_asking(self) -> bool:
        """Whether the next touch does it."""
        return self._timer.isActive()

    def rename(self, text: str) -> None:
        """Take another plain text."""
        if text != self._plain:
            self._plain = text
            self.calm_down()

    def on_press(self, act: Callable[[], None]) -> None:
        """Ask first, do it at the second touch."""
        if self.is_asking:
            self.calm_down()
            act()
        else:
            self.name(self._sure)
            self._timer.start()

    def calm_down(self) -> None:
        """Go back to the plain text."""
        self._timer.stop()
        self.name(self._plain)
