"""A number as it is typed: with the decimal sign of the user's land, or with a point."""

from PySide6.QtCore import QLocale


def typed_number(text: str) -> float | None:
    """Give the number, or ``None`` if it is none."""
    text = text.strip()
    value, is_number = QLocale().toDouble(text)
    if not is_number:
        value, is_number = QLocale.c().toDouble(text)
    return float(value) if is_number else None
