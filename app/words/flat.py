"""How long it still takes until flat, in words: no longer than anybody would wait for it."""

from app.words.display import about
from app.words.phrases import Translate

LONGEST_S = 86400.0
"""A very wet circuit can take a day [common practice, no source]: beyond it no figure helps."""


def flat_ahead(low_s: float, best_s: float, high_s: float, translate: Translate) -> str:
    """Say when it will be flat, from the times that are left.

    Examples
    --------
    >>> from app.words.phrases import english
    >>> flat_ahead(2100.0, 3000.0, 4800.0, english)
    'Flat in about 50 min (35 min to 80 min).'
    >>> flat_ahead(40000.0, 60000.0, 9e6, english)
    'Flat in about 16 h 40 min (11 h 10 min to more than a day).'
    >>> flat_ahead(7800.0, 25317000.0, 1e9, english)
    'At this rate not flat within a day (2 h 10 min at the least).'
    >>> flat_ahead(90000.0, 25317000.0, 1e9, english)
    'At this rate not flat within a day.'
    """
    if low_s > LONGEST_S:
        return translate("Flat", "At this rate not flat within a day.")
    if best_s > LONGEST_S:
        text = translate("Flat", "At this rate not flat within a day ({low} at the least).")
        return text.format(low=about(low_s))
    high = translate("Flat", "more than a day") if high_s > LONGEST_S else about(high_s)
    text = translate("Flat", "Flat in about {best} ({low} to {high}).")
    return text.format(best=about(best_s), low=about(low_s), high=high)
