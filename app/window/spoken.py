"""What a screen reader says by itself, wherever the keyboard is."""

from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QWidget


def say(widget: QWidget, text: str) -> None:
    """Let a screen reader say a text; nothing happens where there is none."""
    QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(widget, text))
