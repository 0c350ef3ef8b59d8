"""Buttons for gloved fingers: large, named for screen readers, with their key in the tool tip."""

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QIcon, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QDialogButtonBox, QMessageBox, QPushButton, QWidget

from app.charts.palette import Palette
from app.window.icons import icon
from app.window.theme import BASE_PX, TOUCH_PX, font

SURE_WITHIN_MS = 4000  # time to touch a second time


def dress(box: QDialogButtonBox | QMessageBox) -> None:
    """Make a dialog's buttons fit for a glove, without the desktop's own coloured pictures."""
    for button in box.buttons():
        button.setMinimumSize(140, TOUCH_PX)
        button.setFont(font(BASE_PX))
        button.setIcon(QIcon())


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

    def tighten(self, is_tight: bool, *, has_picture: bool) -> None:
        """Take less room than usual, without the picture if need be."""
        self.setIconSize(QSize(34, 24) if has_picture else QSize(0, 0))
        if self.property("tight") != (tight := "true" if is_tight else "false"):
            self.setProperty("tight", tight)
            self.style().polish(self)  # the style sheet looks at the property only then
            self.updateGeometry()

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

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Take Return as Space: outside a dialog Qt leaves it to whatever lies under the button."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.isAutoRepeat():
            self.click()
        else:
            super().keyPressEvent(event)

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

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Have room for either text: nothing beside it moves under the finger."""
        hint, metrics = super().sizeHint(), self.fontMetrics()
        texts = (self._plain, self._sure)
        widest = max(metrics.size(0, text).width() for text in texts)
        return QSize(hint.width() - metrics.size(0, self.text()).width() + widest, hint.height())

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Be no narrower either."""
        return self.sizeHint()

    @property
    def is_asking(self) -> bool:
        """Whether the next touch does it."""
        return self._timer.isActive()

    def rename(self, text: str) -> None:
        """Take another plain text."""
        if text != self._plain:
            self._plain = text
            self.calm_down()
            self.updateGeometry()

    def on_press(self, act: Callable[[], None]) -> None:
        """Ask first, do it at the second touch."""
        if self.is_asking:
            self.calm_down()
            act()
        else:
            self.name(self._sure)
            self.setAccessibleName(f"{self._plain}: {self._sure}")
            self._timer.start()

    def calm_down(self) -> None:
        """Go back to the plain text."""
        self._timer.stop()
        self.name(self._plain)
