"""What is heard, and seen when the window is not: tone, desktop notice, the task bar's blink."""

from collections.abc import Callable

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QSystemTrayIcon, QWidget

from app.screen.shown import Alarm
from app.window.sound import Sound

REPEAT_MS = 15_000  # somebody under the bonnet hears the second one


class Outside:
    """Tells an alarm until it is stopped.

    Parameters
    ----------
    window
        The window that wants attention.
    is_loud
        Whether the tone may be heard; asked each time, since it may be turned off meanwhile.
    """

    def __init__(self, window: QWidget, is_loud: Callable[[], bool]) -> None:
        self._window, self._is_loud = window, is_loud
        self._sound = Sound()
        self._alarm: Alarm | None = None
        self._tray: QSystemTrayIcon | None = None
        self._timer = QTimer(window)
        self._timer.setInterval(REPEAT_MS)
        self._timer.timeout.connect(self._sing)

    def alarm(self, alarm: Alarm) -> None:
        """Begin."""
        self._alarm = alarm
        QApplication.alert(self._window.window())
        self._sing()
        self._timer.start()
        if QSystemTrayIcon.isSystemTrayAvailable():
            if self._tray is None:
                self._tray = QSystemTrayIcon(self._window.windowIcon(), self._window)
            self._tray.show()
            self._tray.showMessage(alarm.title, alarm.text, self._window.windowIcon())

    def stop(self) -> None:
        """End the alarm: it was seen, or is over."""
        self._alarm = None
        self._timer.stop()

    def close(self) -> None:
        """End for good."""
        self.stop()
        self._sound.stop()
        if self._tray is not None:
            self._tray.hide()

    def _sing(self) -> None:
        if self._alarm is not None and self._is_loud():
            self._sound.play(self._alarm.tone)
