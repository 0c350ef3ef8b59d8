"""A time axis on which a night without readings takes little room."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

Span = tuple[float, float]
_LEAST_S = 2 * 3600.0  # shorter breaks belong to the visit [practice]
_LEAST_SHARE = 0.1  # of the whole: what is less takes no room away
_WIDTH = 0.03  # of the axis: what a folded break is drawn with
_MOST = 9


@dataclass(frozen=True, slots=True)
class Folds:
    """Time from the first to the last reading, cut at its long breaks.

    Attributes
    ----------
    stretches
        The spans between the breaks, in order, seconds.
    """

    stretches: tuple[Span, ...]

    def place(self, time_s: float) -> float:
        """Give where a time lies on the axis, 0 to 1; beyond its ends it goes on straight."""
        knots = np.array([end for stretch in self.stretches for end in stretch])
        widths = np.empty(len(knots) - 1)
        widths[1::2] = _WIDTH
        shown_s = np.diff(knots)[::2]
        left = 1.0 - _WIDTH * (len(self.stretches) - 1)
        widths[::2] = left * shown_s / shown_s.sum()
        places = np.concatenate(([0.0], np.cumsum(widths)))
        for at, is_beyond in ((0, time_s < knots[0]), (-1, time_s > knots[-1])):
            if is_beyond:
                return float(places[at] + (time_s - knots[at]) * left / shown_s.sum())
        return float(np.interp(time_s, knots, places))

    def shares(self) -> tuple[tuple[Span, float], ...]:
        """Give each stretch with its share of the time that is shown."""
        total_s = sum(until_s - from_s for from_s, until_s in self.stretches)
        return tuple((each, (each[1] - each[0]) / total_s) for each in self.stretches)


def folds(from_s: float, until_s: float, gaps: Iterable[Span]) -> Folds:
    """Cut a run at the gaps that would take the room of what was measured.

    Examples
    --------
    >>> axis = folds(0.0, 90_000.0, [(5000.0, 80_000.0), (81_000.0, 81_060.0)])
    >>> axis.stretches
    ((0.0, 5000.0), (80000.0, 90000.0))
    >>> round(axis.place(80_000.0) - axis.place(5000.0), 3)
    0.03
    """
    until_s = max(until_s, from_s + 1.0)
    least_s = max(_LEAST_S, _LEAST_SHARE * (until_s - from_s))
    inside = ((max(a, from_s), min(b, until_s)) for a, b in gaps)
    long = sorted((b - a, a, b) for a, b in inside if b - a >= least_s)[-_MOST:]
    stretches, begun_s = [], from_s
    for gap_from_s, gap_until_s in sorted((a, b) for _, a, b in long):
        if gap_from_s > begun_s and until_s > gap_until_s:
            stretches.append((begun_s, gap_from_s))
            begun_s = gap_until_s
    return Folds((*stretches, (begun_s, until_s)))
