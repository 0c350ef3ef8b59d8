"""A box that says what stands in the way, over the window."""

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QMessageBox, QWidget

from app.window.buttons import dress
from app.window.theme import BASE_PX


def warning_box(window: QWidget, title: str, text: str) -> QMessageBox:
    """Give one without buttons, still to be opened."""
    box = QMessageBox(window)
    box.setStyleSheet(f"QLabel {{ font-size: {BASE_PX}px; }}")
    box.setTextFormat(Qt.TextFormat.PlainText)  # a file's name may look like anything
    box.setIcon(QMessageBox.Icon.Warning)
    box.setWindowTitle(title)
    box.setText(text)
    return box


def warn(window: QWidget, title: str, text: str) -> None:
    """Say it, and wait until it is closed."""
    box = warning_box(window, title, text)
    close = QCoreApplication.translate("Warning", "Close")
    box.addButton(close, QMessageBox.ButtonRole.RejectRole)
    dress(box)
    box.exec()
    box.deleteLater()
