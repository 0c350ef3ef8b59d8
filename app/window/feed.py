"""The one seam between the threads and Qt: a timer that looks, thirty times a second."""

from collections.abc import Callable
from queue import Empty, SimpleQueue

from PySide6.QtCore import QObject, Qt, QTimer

LOOK_MS = 33  # about a screen's frame: a reading is on the screen before anybody can notice


class Feed(QObject):
    """Calls ``look`` in the window's thread, and hands it what other threads post.

    Parameters
    ----------
    tell
        Gets each posted line.
    """

    def __init__(self, tell: Callable[[str], None], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._tell = tell
        self._posted: SimpleQueue[str] = SimpleQueue()
        self._look: Callable[[], None] | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.setTimerType(Qt.TimerType.CoarseTimer)
        self._timer.timeout.connect(self._on_time)

    def post(self, text: str) -> None:
        """Leave a line for the technician. From any thread."""
        self._posted.put(text)

    def start(self, look: Callable[[], None]) -> None:
        """Begin to look."""
        self._look = look
        self._timer.start()

    def stop(self) -> None:
        """Look no more."""
        self._timer.stop()

    def _on_time(self) -> None:
        while True:
            try:
                self._tell(self._posted.get_nowait())
            except Empty:
                break
        if self._look is not None:
            self._look()
