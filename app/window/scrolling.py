"""What can be scrolled where there is too little room for it."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QScroller, QWidget


class Scrolling(QScrollArea):
    """Scrolled up and down, by finger too."""

    def __init__(self, body: QWidget | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        QScroller.grabGesture(self.viewport(), QScroller.ScrollerGestureType.TouchGesture)
        if body is not None:
            self.setWidget(body)


def scrolling_page(page: QWidget) -> Scrolling:
    """Let a page of fields be scrolled; the keyboard goes to the fields."""
    area = Scrolling(page)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area
