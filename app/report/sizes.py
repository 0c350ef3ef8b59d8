"""How large the texts are and how much of them is shown, from roomy to tight."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sizes:
    """One tightness of the page.

    Attributes
    ----------
    text_pt
        Size of the text, points.
    joints, events, reasons
        Most rows of each list.
    field, cell, event, reason, source
        Most characters of a fact, a joint's cell, an event, a reason, a limit's source.
    """

    text_pt: float
    joints: int
    events: int
    reasons: int
    field: int
    cell: int
    event: int
    reason: int
    source: int


LEVELS = (
    Sizes(7.5, 14, 16, 10, 200, 90, 160, 200, 80),
    Sizes(7.0, 14, 16, 10, 160, 70, 130, 180, 70),
    Sizes(6.5, 12, 14, 9, 110, 55, 110, 160, 60),
    Sizes(6.0, 10, 12, 7, 70, 40, 80, 140, 50),
    Sizes(5.5, 8, 10, 6, 45, 28, 60, 110, 40),
    Sizes(5.0, 5, 7, 5, 30, 18, 40, 80, 24),
)
"""The last one always leaves room for the charts: a test fills it with the longest texts."""
