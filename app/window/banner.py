"""The banner over the whole window, to be seen from across the workshop."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.charts.palette import Palette
from app.screen.shown import Alarm
from app.window.buttons import TouchButton
from app.window.icons import pixmap
from app.window.labels import FittingLabel
from app.window.theme import tone_colour

_SIGN_PX = 120


class Banner(QWidget):
    """Covers its parent until it was seen or its cause is gone.

    Parameters
    ----------
    parent
        The window that it covers.
    seen
        Called when it was seen.
    hold_now
        Called by the second button, which only "flat" has.
    """

    def __init__(
        self, parent: QWidget, seen: Callable[[], None], hold_now: Callable[[], None]
    ) -> None:
        super().__init__(parent)
        self._covered = parent
        self._seen = seen
        self._shown: tuple[Alarm, Palette] | None = None
        self.setObjectName("banner")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._sign = QLabel()
        self._sign.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._title, self._text = FittingLabel(40, 130), FittingLabel(20, 44, bold=False)
        for label in (self._title, self._text):
            label.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.seen = TouchButton(self.tr("Seen"), seen)
        self.hold = TouchButton(self.tr("Start the standing test"), hold_now, is_main=True)
        for button in (self.seen, self.hold):
            button.enlarge()
        row = QHBoxLayout()
        row.addStretch()
        row.addWidget(self.hold)
        row.addSpacing(20)
        row.addWidget(self.seen)
        row.addStretch()
        column = QVBoxLayout(self)
        column.setContentsMargins(60, 40, 60, 40)
        column.addWidget(self._sign)
        column.addWidget(self._title, 2)
        column.addWidget(self._text, 3)
        column.addSpacing(20)
        column.addLayout(row)
        parent.installEventFilter(self)
        self.hide()

    def show_alarm(self, alarm: Alarm | None, palette: Palette) -> None:
        """Cover the window with an alarm, or uncover it."""
        if alarm is None:
            self._shown = None
            if self.isVisible():
                self.hide()
                self._covered.setFocus()
            return
        if self._shown == (alarm, palette):
            return
        self._shown = (alarm, palette)
        self._paint_with(alarm, palette)
        self.hold.setVisible(alarm.code == "flat")
        self.setAccessibleName(f"{alarm.title}. {alarm.text}")
        self.setGeometry(self._covered.rect())
        self.raise_()
        self.show()
        self._title.show_text(alarm.title)
        self._text.show_text(alarm.text)
        self.setFocus()

    def _paint_with(self, alarm: Alarm, palette: Palette) -> None:
        colour = tone_colour(palette, alarm.tone)
        ink = palette.on_tone
        sign = "flat" if alarm.code == "flat" else "caution"
        self._sign.setPixmap(pixmap(sign, ink, _SIGN_PX, 2.0))
        self.setStyleSheet(
            f"#banner {{ background: {colour}; }}"
            f"#banner QLabel {{ color: {ink}; background: transparent; }}"
            f"#banner QPushButton {{ background: {colour}; color: {ink}; border: 3px solid {ink};"
            " border-radius: 10px; min-width: 240px; min-height: 60px;"
            " font-size: 22px; font-weight: bold; }"
            f"#banner QPushButton[role=main] {{ background: {ink}; color: {colour}; }}"
            f"#banner QPushButton:focus {{ border: 9px double {ink}; padding: 0 8px; }}"
            f"#banner QPushButton[role=main]:focus {{ border-color: {colour}; }}"
        )

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Take a touch anywhere as seen."""
        self._seen()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Take Escape, Return and Space as seen."""
        if event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Space):
            self._seen()
        else:
            super().keyPressEvent(event)

    def focusNextPrevChild(self, is_next: bool) -> bool:  # noqa: N802 - Qt's name
        """Keep Tab on the banner: what it covers cannot be seen."""
        if self._shown is None:  # it is being hidden, and Qt looks for another place of the focus
            return super().focusNextPrevChild(is_next)
        places: list[QWidget] = [b for b in (self.hold, self.seen) if b.isVisible()]
        here = self.focusWidget()
        step = 1 if is_next else -1
        at = places.index(here) + step if here in places else (0 if is_next else -1)
        places[at % len(places)].setFocus(
            Qt.FocusReason.TabFocusReason if is_next else Qt.FocusReason.BacktabFocusReason
        )
        return True

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Keep covering the window when its size changes."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self.setGeometry(self._covered.rect())
        return False
