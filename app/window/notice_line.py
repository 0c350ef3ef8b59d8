"""One line under the strip for what the technician has to read once."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QWidget

from app.charts.palette import Palette
from app.window.buttons import TouchButton
from app.window.spoken import say
from app.window.theme import BASE_PX, font


class NoticeLine(QFrame):
    """Shows a line until it is closed; a later one takes its place."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("notice")
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.text.setTextFormat(Qt.TextFormat.PlainText)
        self.text.setFont(font(BASE_PX + 1, bold=True))
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 4, 4, 4)
        row.addWidget(self.text, 1)
        row.addWidget(TouchButton(self.tr("Close"), self.hide))
        self.hide()

    def tell(self, text: str) -> None:
        """Show a line."""
        self.text.setText(text)
        self.text.setAccessibleName(text)
        self.show()
        say(self, text)

    def paint_with(self, palette: Palette) -> None:
        """Take the palette's colours."""
        colour = palette.attention
        self.setStyleSheet(
            f"#notice {{ background: {colour}; border-radius: 8px; }}"
            f"#notice QLabel {{ color: {palette.on_tone}; background: transparent; }}"
        )
