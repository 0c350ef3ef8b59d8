"""Simmerdown's own pictures, drawn in the colour that is wanted."""

from functools import lru_cache

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from app.system.paths import asset


@lru_cache(maxsize=128)
def pixmap(name: str, colour: str, px: int, ratio: float = 1.0) -> QPixmap:
    """Draw a picture.

    Raises
    ------
    FileNotFoundError
        If there is none of that name.
    """
    text = asset(f"icons/{name}.svg").read_text(encoding="utf-8").replace("#000000", colour)
    drawn = QPixmap(round(px * ratio), round(px * ratio))
    drawn.setDevicePixelRatio(ratio)
    drawn.fill(Qt.GlobalColor.transparent)
    painter = QPainter(drawn)
    QSvgRenderer(QByteArray(text.encode())).render(painter, QRectF(0, 0, px, px))
    painter.end()
    return drawn


def icon(name: str, colour: str, px: int = 24, *, faint: str | None = None) -> QIcon:
    """Give a picture for a button; ``faint`` is its colour while nothing can be pressed."""
    made = QIcon(pixmap(name, colour, px, 2.0))
    if faint is not None:
        made.addPixmap(pixmap(name, faint, px, 2.0), QIcon.Mode.Disabled)
    return made
