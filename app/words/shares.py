"""Shares and ratios as one says them: half, a third, twice."""

import math

from app.words.display import number
from app.words.phrases import Translate

_LEAST, _MOST = 0.07, 0.95


def fraction(ratio: float, translate: Translate) -> str:
    """Name the nearest simple fraction of something.

    Examples
    --------
    >>> [fraction(r, lambda _context, text: text) for r in (0.48, 0.21, 0.03, 0.99)]
    ['about half', 'about a fifth', 'less than a tenth', 'nearly all']
    """
    if ratio < _LEAST:
        return translate("Fraction", "less than a tenth")
    if ratio > _MOST:
        return translate("Fraction", "nearly all")
    names = {
        0.1: translate("Fraction", "about a tenth"),
        0.2: translate("Fraction", "about a fifth"),
        0.25: translate("Fraction", "about a quarter"),
        1 / 3: translate("Fraction", "about a third"),
        0.5: translate("Fraction", "about half"),
        2 / 3: translate("Fraction", "about two thirds"),
        0.75: translate("Fraction", "about three quarters"),
        0.9: translate("Fraction", "about nine tenths"),
    }
    return names[min(names, key=lambda known: abs(math.log(known / ratio)))]


def multiple(ratio: float, translate: Translate) -> str:
    """Say how many times as much it is.

    Examples
    --------
    >>> [multiple(r, lambda _context, text: text) for r in (1.5, 2.1, 11.4)]
    ['about 1.5 times', 'about twice', 'about 11 times']
    """
    if 1.8 <= ratio <= 2.25:
        return translate("Fraction", "about twice")
    rounded = float(f"{ratio:.2g}")
    return translate("Fraction", "about {number} times").format(number=number(rounded))
