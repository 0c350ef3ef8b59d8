"""What was seen of the bursts, in bins that widen with time, so that memory stays bounded."""

from collections import deque
from dataclasses import dataclass
from math import inf, log

import numpy as np
from numpy.typing import NDArray

from analysis.flat.dead_time import dispersion_of, hidden_behind

Array = NDArray[np.float64]

# Bins are 8 s wide at first and then 12 % of the time since the first burst: in a 30 h run 74 of
# them. The rate changes by under two fifths within one, so its curvature there costs under 1 %.
_FIRST_WIDTH_S = 8.0
_GROWTH = 0.12
# Steps between two calls longer than this are a gap nobody told about: not watched.
_LONGEST_STEP_S = 30.0
# One wild size (a valve step taken for a burst) must not widen the spread of all: capped at this
# many times the smallest visible. Sizes lognormal with a spread of e^0.6 hardly reach it.
_LARGEST = 300.0
_TINY_PA = 1e-9
# Turns between watched and not that are remembered: a burst is told some seconds after its onset.
_TURNS = 64
# The rate that hides bursts is taken over so many bins, the nearest counting most.
_NEAR: Array = np.array([1.0, 2.0, 3.0, 4.0, 5.0, 4.0, 3.0, 2.0, 1.0])
_REACH = _NEAR.size // 2
# A burst hides the next ones for half as long again as tells two apart, for in a crowd more are
# missed: on 543 invented runs the lulls told were 3.4 s too long where the true ones were 7 to
# 25 s and 3 s tell two apart, and 4 to 7 s where they were shorter.
_HIDES = 1.5
# Lulls seen before the spacing counts for more than the assumption that it is Poisson.
_SPACING_PRIOR = 10.0


@dataclass(frozen=True, slots=True)
class Tally:
    """Sums per bin, all arrays of shape (bins,).

    ``since_s`` is the mean watched time since the first burst, ``watched_s`` the time watched,
    ``log_smallest`` the mean logarithm of the smallest visible burst (Pa), ``count`` the bursts,
    ``log_rise`` and ``log_rise_squared`` the sums over them of the logarithm of the rise (Pa).
    """

    since_s: Array
    watched_s: Array
    log_smallest: Array
    count: Array
    log_rise: Array
    log_rise_squared: Array


class BurstTally:
    """Collects bursts and watched time since the first burst of a pull, in O(1) per call."""

    def __init__(self) -> None:
        self.start_s: float | None = None  # of the pull: the first call's time
        self.first_s: float | None = None  # onset of the first burst
        self.last_s: float | None = None  # onset of the last burst
        self.time_s: float | None = None  # of the last call
        self.bursts = 0
        self.counted = 0  # of them, those that began while watched
        self.live_share = 1.0  # of the latest watched time, not hidden behind bursts
        self.log_smallest: float | None = None
        self.watched_since_burst_s = 0.0
        self.watched_s = 0.0  # since the pull's start
        self._rows: list[list[float]] = []  # watched, its moment, log smallest, n, y, y^2, blind
        self._next_edge_s = 0.0
        self._edges_s: list[float] = []  # upper edges since the first burst
        self._delay_sum_s, self._delay_count = 15.0, 3.0  # a guess worth three bursts
        self._previous_lull_s: float | None = None
        self._variation_sum, self._variation_count = _SPACING_PRIOR, _SPACING_PRIOR
        self._apart_s = 0.0
        # The same without the blind time before each lull, and bursts told per blind time.
        self._live_variation_sum, self._told_sum = _SPACING_PRIOR, 0.0
        self._is_watched = True
        self._turns = deque([(-inf, True)], maxlen=_TURNS)  # from when on, whether watched
        # Last worked out; a new lull, burst or bin makes it stale.
        self._dispersion: float | None = 1.0
        self._shares_of, self._shares = (0, 0), np.ones(0)

    @property
    def delay_s(self) -> float:
        """Mean time from a burst's onset until it is told, seconds."""
        return self._delay_sum_s / self._delay_count

    @property
    def dispersion(self) -> float:
        """Variance of the count of bursts over that of a Poisson process."""
        if self._dispersion is None:
            lulls = self._variation_count
            pairs = max(lulls - _SPACING_PRIOR, 1.0)
            self._dispersion = dispersion_of(
                self._variation_sum / lulls,
                self._live_variation_sum / lulls,
                self._told_sum / pairs,
            )
        return self._dispersion

    def observe(
        self, time_s: float, smallest_pa: float | None, is_observing: bool, apart_s: float = 0.0
    ) -> None:
        """Pass the time up to ``time_s``; it counts as watched when something could be seen.

        Bursts nearer than ``apart_s`` are told as one.
        """
        if self.time_s is None:
            self.start_s = self.time_s = time_s
        step_s = time_s - self.time_s
        self.time_s = time_s
        self._apart_s = apart_s
        is_watched = is_observing and smallest_pa is not None and smallest_pa > 0.0
        if is_watched is not self._is_watched:
            self._is_watched = is_watched
            self._turns.append((time_s, is_watched))
        if not is_watched or smallest_pa is None:
            self._previous_lull_s = None
            return
        self.log_smallest = level = log(smallest_pa)
        if not 0.0 < step_s <= _LONGEST_STEP_S:
            return
        self.watched_since_burst_s += step_s
        self.watched_s += step_s
        if self.first_s is None:
            return
        since_s = time_s - 0.5 * step_s - self.first_s
        if since_s <= 0.0:
            return
        row = self._rows[-1] if since_s < self._next_edge_s else self._row(since_s)
        row[0] += step_s
        row[1] += step_s * since_s
        row[2] += step_s * level

    def add(self, onset_s: float, rise_pa: float, smallest_pa: float) -> None:
        """Count a burst. The first one only starts the clock."""
        told_s = self.time_s if self.time_s is not None else onset_s
        if self.start_s is None:
            self.start_s = self.time_s = onset_s
        self._delay_sum_s += max(0.0, told_s - onset_s)
        self._delay_count += 1.0
        self.bursts += 1
        if self.first_s is None or self.last_s is None:
            self.first_s = self.last_s = onset_s
            self.log_smallest = (
                self.log_smallest if self.log_smallest is not None else log(smallest_pa)
            )
            self.watched_since_burst_s = max(0.0, told_s - onset_s)
            if told_s > onset_s:
                self._backfill(told_s - onset_s, log(max(smallest_pa, _TINY_PA)))
            return
        self._note_lull(onset_s - self.last_s)
        self.last_s = max(self.last_s, onset_s)
        self.watched_since_burst_s = max(0.0, told_s - onset_s)
        if not self._was_watched(onset_s):
            return  # its time does not count either
        self.counted += 1
        level = log(max(smallest_pa, _TINY_PA))
        size = level + log(min(max(1.0, rise_pa / max(smallest_pa, _TINY_PA)), _LARGEST))
        row = self._row(max(0.0, onset_s - self.first_s))
        row[3] += 1.0
        row[4] += size
        row[5] += size * size
        row[6] += _HIDES * self._apart_s

    def table(self) -> Tally:
        """Give the sums so far, less the latest watched time in which bursts are not all told yet.

        Every burst known counts. Of the last seconds a part is still untold: at an age the share
        P(delay > age), taken as exponential, so that no bin with a burst in it is left unwatched.
        """
        sums = np.array([row for row in self._rows if row[0] > 0.0 or row[3] > 0.0])
        if sums.size == 0:
            sums = np.zeros((0, 7))
        watched = sums[:, 0].copy()
        with np.errstate(divide="ignore", invalid="ignore"):
            since = np.where(watched > 0.0, sums[:, 1] / watched, np.nan)
            level = np.where(watched > 0.0, sums[:, 2] / watched, np.nan)
        known = np.isfinite(since)
        if (sums[~known, 3] > 0.0).any():
            sums = _moved_to_watched(sums, known)
        age_s = np.concatenate([np.cumsum(watched[::-1])[::-1], [0.0]])
        watched -= self.delay_s * np.diff(np.exp(-age_s / self.delay_s))
        if sums[:, 6].any():
            watched *= self._live_shares(sums)
        return Tally(since[known], watched[known], level[known], *sums[known, 3:6].T)

    def _live_shares(self, sums: Array) -> Array:
        """Share of each bin's bursts that are told, which is that of its time that counts."""
        known = self._shares
        if self._shares_of != (self.counted, sums.shape[0]):
            self._shares_of = self.counted, sums.shape[0]
            # Over neighbouring bins, for the rate varies slowly and the bursts of one bin are few.
            blind_s, watched_s = (
                np.convolve(column, _NEAR)[_REACH:-_REACH] for column in (sums[:, 6], sums[:, 0])
            )
            told = blind_s / np.maximum(watched_s, blind_s + 1e-9)
            known = self._shares = 1.0 / (1.0 + hidden_behind(told, self.dispersion))
            self.live_share = float(known[-1])
        return known

    def _was_watched(self, onset_s: float) -> bool:
        """Whether a burst that began then could be seen, as far back as is remembered."""
        return next((watched for at_s, watched in reversed(self._turns) if at_s <= onset_s), True)

    def _row(self, since_s: float) -> list[float]:
        """Give the bin of a time since the first burst; a late burst may be in an earlier one."""
        while since_s >= self._next_edge_s:
            self._next_edge_s += max(_FIRST_WIDTH_S, _GROWTH * self._next_edge_s)
            self._edges_s.append(self._next_edge_s)
            self._rows.append([0.0] * 7)
        index = len(self._rows) - 1
        while index > 0 and since_s < self._edges_s[index - 1]:
            index -= 1
        return self._rows[index]

    def _backfill(self, seconds: float, level: float) -> None:
        """Count the time between the first burst's onset and its telling, in steps of a second."""
        steps = max(1, min(120, round(seconds)))
        width_s = seconds / steps
        for i in range(steps):
            since_s = (i + 0.5) * width_s
            row = self._row(since_s)
            row[0] += width_s
            row[1] += width_s * since_s
            row[2] += width_s * level

    def _note_lull(self, lull_s: float) -> None:
        previous, self._previous_lull_s = self._previous_lull_s, lull_s
        if previous is not None and previous > 0.0 and lull_s > 0.0:
            both_s, off_s = lull_s + previous, abs(lull_s - previous)
            self._variation_sum += 3.0 * (off_s / both_s) ** 2
            live_s = max(both_s - 2.0 * self._apart_s, off_s, 1e-9)
            self._live_variation_sum += 3.0 * (off_s / live_s) ** 2
            self._told_sum += min(2.0 * self._apart_s / both_s, 1.0)
            self._variation_count += 1.0
            self._dispersion = None


def _moved_to_watched(sums: Array, known: NDArray[np.bool_]) -> Array:
    """Count the bursts of bins that nobody watched, be it by coarse steps, in the nearest watched.

    To leave them out would make flat sooner than it is.
    """
    places = np.flatnonzero(known)
    if not places.size:
        return sums
    nearest = places[np.abs(places[:, None] - np.arange(known.size)).argmin(axis=0)]
    moved = sums.copy()
    moved[:, 3:] = 0.0
    np.add.at(moved[:, 3:], nearest, sums[:, 3:])
    return moved
