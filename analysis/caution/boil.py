"""Whether the bursts so far make a boil-off, or are a mark or two in hours."""

import math
from bisect import bisect_left, insort

# At the rate of flat one burst is due in a flat interval: three within one are a boil-off, while
# a detector that is wrong once in an hour makes that of nothing in one run of 80 (Poisson).
BOILING_COUNT = 3
KEPT = 32


class Boil:
    """Remembers the onsets of the last bursts.

    Parameters
    ----------
    within_s
        Three bursts within this time are a boil-off: the flat interval.
    """

    def __init__(self, within_s: float) -> None:
        self._within_s = within_s
        self._onsets_s: list[float] = []  # in order of time
        self.has_boiled = False

    @property
    def known_from_s(self) -> float:
        """Since when all onsets are remembered."""
        return self._onsets_s[0] if len(self._onsets_s) == KEPT else -math.inf

    @property
    def onsets_s(self) -> list[float]:
        """The onsets remembered, in order."""
        return self._onsets_s

    def add(self, onset_s: float) -> None:
        """Take a confirmed burst; they may come a little out of order."""
        insort(self._onsets_s, onset_s)
        del self._onsets_s[:-KEPT]
        lately = self._onsets_s[-BOILING_COUNT:]
        if len(lately) == BOILING_COUNT and lately[-1] - lately[0] <= self._within_s:
            self.has_boiled = True

    def forget(self) -> None:
        """Begin a new pull."""
        self._onsets_s.clear()
        self.has_boiled = False

    def count(self, from_s: float) -> int:
        """How many of the bursts remembered began since ``from_s``."""
        return len(self._onsets_s) - bisect_left(self._onsets_s, from_s)
