"""Numbers as they are typed: in the user's own way of writing them, or with a point or comma."""

import math
import re

from PySide6.QtCore import QLocale

# Thousands set apart by a blank or an apostrophe are no riddle; "9 8" may be 9.8, and is no number.
_GAP = re.compile(r"(?<=\d)[ \u00a0\u202f'\u2019](?=\d{3}(?!\d))")
# 1.250 is 1250 to one and one and a quarter to the other; 0.350 and 10.5 are no thousands.
_RIDDLE = re.compile(r"[+-]?[1-9]\d{0,2}([.,])\d{3}")


def typed_number(text: str) -> float | None:
    """Read a number; ``None`` where it is none, or where a mark may set thousands apart.

    A number taken a thousand times too large is worse than one that has to be typed again.
    """
    digits = _GAP.sub("", text.strip())
    riddle = _RIDDLE.fullmatch(digits)
    if riddle and riddle[1] == QLocale().groupSeparator():
        return None
    for locale, written in ((QLocale(), digits), (QLocale.c(), digits.replace(",", "."))):
        locale.setNumberOptions(QLocale.NumberOption.RejectGroupSeparator)
        value, is_number = locale.toDouble(written)
        if is_number and math.isfinite(value):  # Qt takes "nan" and "inf" for numbers
            return float(value)
    return None


def shown_number(value: float | None, factor: float = 1.0) -> str:
    """Write a number as it would be typed, times a factor; "" for none."""
    locale = QLocale()
    locale.setNumberOptions(QLocale.NumberOption.OmitGroupSeparator)
    return "" if value is None else locale.toString(value * factor, "g", 6)
