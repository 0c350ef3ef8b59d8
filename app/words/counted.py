"""How many there are of something: one has a phrase of its own, all else the plural."""

from typing import Literal

from app.words.display import NO_BREAK, number
from app.words.phrases import Translate, english

Counted = Literal[
    "bursts",
    "bursts so far",
    "readings",
    "readings a second",
    "readings or notes",
    "lost at last",
    "close and lose",
    "bad frames",
    "frames no readings",
    "frames no readings at pump",
    "rows",
    "days open",
    "earlier isolations",
]


def counted(count: float, what: Counted, translate: Translate = english) -> str:
    r"""Say how many there are: a whole number in full, else three meaningful digits.

    Examples
    --------
    >>> [counted(count, "bursts") for count in (0, 1, 7, 1200)]
    ['0 bursts', '1 burst', '7 bursts', '1\xa0200 bursts']
    >>> [counted(count, "days open") for count in (0.5, 1.0)]
    ['lines stood open for 0.5 days', 'lines stood open for 1 day']
    """
    one, many = _phrases(translate)[what]
    whole = f"{count:,}".replace(",", NO_BREAK)
    text = whole if isinstance(count, int) else number(count)
    return one if text == "1" else many.format(count=text)


def _phrases(translate: Translate) -> dict[Counted, tuple[str, str]]:
    return {
        "bursts": (translate("Counted", "1 burst"), translate("Counted", "{count} bursts")),
        "bursts so far": (
            translate("Counted", "1 burst so far"),
            translate("Counted", "{count} bursts so far"),
        ),
        "readings": (translate("Counted", "1 reading"), translate("Counted", "{count} readings")),
        "readings a second": (
            translate("Counted", "1 reading/s"),
            translate("Counted", "{count} readings/s"),
        ),
        "readings or notes": (
            translate("Counted", "1 reading or note"),
            translate("Counted", "{count} readings or notes"),
        ),
        "lost at last": (
            translate("Counted", "the last reading or note is lost"),
            translate("Counted", "the last {count} readings or notes are lost"),
        ),
        "close and lose": (
            translate("Counted", "Close and lose it"),
            translate("Counted", "Close and lose these {count}"),
        ),
        "bad frames": (
            translate("Counted", "1 bad frame"),
            translate("Counted", "{count} bad frames"),
        ),
        "frames no readings": (
            translate("Counted", "1 bad frame was no reading."),
            translate("Counted", "{count} bad frames were no readings."),
        ),
        "frames no readings at pump": (
            translate("Counted", "1 bad frame of the gauge at the pump was no reading."),
            translate("Counted", "{count} bad frames of the gauge at the pump were no readings."),
        ),
        "rows": (translate("Counted", "1 row"), translate("Counted", "{count} rows")),
        "days open": (
            translate("Counted", "lines stood open for 1 day"),
            translate("Counted", "lines stood open for {count} days"),
        ),
        "earlier isolations": (
            translate("Counted", "and 1 earlier one, see the job file"),
            translate("Counted", "and {count} earlier ones, see the job file"),
        ),
    }
