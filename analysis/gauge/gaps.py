"""Gaps: where readings are missing, told from how far apart they usually come."""

import math
from bisect import bisect_left
from collections import deque
from itertools import accumulate

REMEMBERED = 31  # readings whose spacing counts as usual
TIMES_USUAL = 5.0  # jitter of a text line over a radio reaches two or three times the spacing
SHORTEST_S = 2.0  # a gauge's own hiccup; nothing under it hides more than a burst's rise
BLIND_S = 10.0  # readings further apart than this may miss a burst altogether


class GapFinder:
    """Finds gaps in the readings.

    A gap is a spacing of more than five times the usual and of more than two seconds. Usual is
    the one in which the middle of the time lies: readings that come in packets, or only when they
    change, have many short spacings, but the pauses are usual too. So is a pace that slows down:
    gaps are remembered as the longest spacing that was none. The first spacings are usual by
    definition: a gap among them is not found.

    Examples
    --------
    >>> finder = GapFinder()
    >>> [finder.update(t) for t in (0, 1, 2, 3, 30, 31)]
    [None, None, None, None, (3, 30), None]
    """

    def __init__(self) -> None:
        self._last_s: float | None = None
        self._spacings_s: deque[float] = deque(maxlen=REMEMBERED)
        self._usual_s: float | None = None
        self._steady_s: float | None = None
        self._longest_s = math.inf  # that is no gap
        self._until_next = 0

    @property
    def usual_s(self) -> float | None:
        """Usual spacing of the readings, or ``None`` before two have come."""
        return self._usual_s

    @property
    def steady_s(self) -> float | None:
        """Usual spacing once it was kept to: a lone pause at the start is no gauge's own pace."""
        return self._steady_s

    def update(self, time_s: float) -> tuple[float, float] | None:
        """Take the time of a reading; give (from, to) when a gap ended with it."""
        last_s, self._last_s = self._last_s, time_s
        if last_s is None:
            return None
        spacing_s = time_s - last_s
        is_gap = spacing_s > self._longest_s
        self._spacings_s.append(min(spacing_s, self._longest_s))
        self._until_next -= 1
        if self._until_next <= 0:
            # Taken anew at 1, 2, 3, ... and then every half memory: it moves slowly.
            ordered = sorted(self._spacings_s)
            self._usual_s = _middle_of_time(ordered)
            if len(ordered) > 1:
                self._steady_s = min(self._usual_s, ordered[-2])
            self._longest_s = max(TIMES_USUAL * self._usual_s, SHORTEST_S)
            self._until_next = min(len(self._spacings_s), REMEMBERED // 2)
        return (last_s, time_s) if is_gap else None


def _middle_of_time(ordered: list[float]) -> float:
    """Give the spacing, of these in order, up to which the shorter ones fill half of the time."""
    return ordered[bisect_left(list(accumulate(ordered)), 0.5 * sum(ordered))]
