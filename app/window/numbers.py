"""Numbers as they are typed: in the user's own way of writing them, or with a point."""

from PySide6.QtCore import QLocale


def typed_number(text: str) -> float | None:
    """Read a number; ``None`` where it is none."""
    value, is_number = QLocale().toDouble(text.strip())
    if not is_number:
        value, is_number = QLocale.c().toDouble(text.strip())
    return float(value) if is_number else None


def shown_number(value: float | None, factor: float = 1.0) -> str:
    """Write a number as it would be typed, times a factor; "" for none."""
    return "" if value is None else QLocale().toString(value * factor, "g", 6)
