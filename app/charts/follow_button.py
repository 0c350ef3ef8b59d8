"""The button that shows that a chart no longer follows, and makes it follow again."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QWidget

from app.charts.layer import Look

_MARGIN_PX = 14


class FollowButton(QPushButton):
    """Stands in the upper right corner of its chart while that is looked at elsewhere."""

    def __init__(self, chart: QWidget) -> None:
        super().__init__(chart)
        self._chart = chart
        self.setText(self.tr("Follow (F)"))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the key does the same
        self.hide()

    def set_look(self, look: Look) -> None:
        """Use these colours and this font."""
        self.setFont(look.font)
        self.setStyleSheet(
            f"QPushButton {{ background: {look.palette.text}; color: {look.palette.surface};"
            " border: none; border-radius: 8px; padding: 12px 16px; min-height: 0; }"
        )

    def place(self) -> None:
        """Go to the corner, on top."""
        self.adjustSize()
        self.move(self._chart.width() - self.width() - _MARGIN_PX, _MARGIN_PX)
        self.raise_()
