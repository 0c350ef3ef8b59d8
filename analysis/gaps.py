"""Gaps: where readings are missing, told from how far apart they usually come."""

import math
from collections import deque

from analysis.middle import median

REMEMBERED = 31  # readings whose spacing counts as usual; odd, so that the median is one of them
TIMES_USUAL = 5.0  # jitter of a text line over a radio reaches two or three times the spacing
SHORTEST_S = 2.0  # a gauge's own hiccup; nothing under it hides more than a burst's rise


class GapFinder:
    """Finds gaps in the readings.

    A gap is a spacing of more than five times the usual (the running median) and of more than
    two seconds. The first spacings are usual by definition: a gap among them is not found.

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
        self._longest_s = math.inf  # that is no gap
        self._until_next = 0

    @property
    def usual_s(self) -> float | None:
        """Usual spacing of the readings, or ``None`` before two have come."""
        return self._usual_s

    def update(self, time_s: float) -> tuple[float, float] | None:
        """Take the time of a reading; give (from, to) when a gap ended with it."""
        last_s, self._last_s = self._last_s, time_s
        if last_s is None:
            return None
        spacing_s = time_s - last_s
        if spacing_s > self._longest_s:
            return (last_s, time_s)
        self._spacings_s.append(spacing_s)
        self._until_next -= 1
        if self._until_next <= 0:
            # The median is taken anew at 1, 2, 3, ... and then every half memory: it moves slowly.
            self._usual_s = median(self._spacings_s)
            self._longest_s = max(TIMES_USUAL * self._usual_s, SHORTEST_S)
            self._until_next = min(len(self._spacings_s), REMEMBERED // 2)
        return None
