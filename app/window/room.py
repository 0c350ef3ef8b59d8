"""How large a dialog opens: as large as is wanted, and never larger than its screen."""

from PySide6.QtWidgets import QWidget

_FRAME_PX = 40  # what a desktop's title bar takes


def open_at(dialog: QWidget, width_px: int, height_px: int) -> None:
    """Size a dialog, within its screen."""
    room = dialog.screen().availableSize()
    dialog.resize(min(width_px, room.width()), min(height_px, room.height() - _FRAME_PX))
