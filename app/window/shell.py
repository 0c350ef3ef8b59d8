"""The bare frame that is on the screen at once; the window proper is put into it after that."""

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QCloseEvent, QPaintEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

SMALL_PX = (1500, 900)  # a laptop's screen: there the window takes all of it


class Shell(QWidget):
    """A top-level widget that imports next to nothing."""

    painted = Signal()  # once, after the first paint: time for what is slow to import

    def __init__(self) -> None:
        super().__init__()
        self._content: QWidget | None = None
        self._is_painted = False
        self.setWindowTitle("Simmerdown")
        self.resize(1280, 720)

    def open(self) -> None:
        """Appear: over the whole of a small screen, in a part of a large one."""
        room = self.screen().availableSize()
        self.resize(self.size().boundedTo(room))  # also where nobody manages windows
        if room.width() <= SMALL_PX[0] or room.height() <= SMALL_PX[1]:
            self.showMaximized()
        else:
            self.show()

    def hold(self, content: QWidget) -> None:
        """Take the window proper in."""
        self._content = content
        self.setMinimumSize(content.minimumSize())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(content)
        self.setWindowIcon(content.windowIcon())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Tell once that the frame is there to be seen."""
        super().paintEvent(event)
        if not self._is_painted:
            self._is_painted = True
            QTimer.singleShot(0, self.painted.emit)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802 - Qt's name
        """Close when the window proper has closed; it saves first, and may refuse."""
        if self._content is not None and not self._content.close():
            event.ignore()
        else:
            super().closeEvent(event)
