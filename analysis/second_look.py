"""The second look at a burst that is all but certain: its values, and what else it might be.

The explanations take a rise for one of a few exponentials. A real one is slower, or of another
shape, and what is left of it may be taken for a second burst; a valve that was turned lets the
level rise to a new balance, which begins as a burst does. Both are told by fitting more freely.
"""

from collections import deque

import numpy as np
from numpy.typing import NDArray

from analysis.burst_fit import BurstFit, expected, fit_burst, is_one
from analysis.explanation import Event, Explanation
from analysis.onsets import SLOWEST_RISE_S
from analysis.ring import Ring
from analysis.shape import has_risen

Floats = NDArray[np.float64]

# A slow rise has its peak this late at most; nearer than this one burst may be taken for two.
# By so much more than usual no burst of one circuit and gauge is slow.
_SLOWEST_S, _SLOWER = 10.0, 1.4
_BUMP = 0.5
# What the explanations hold to be left of a burst may differ from what its fit says is left.
_BORNE_OUT = 0.4
_NEW = 0.2  # share of each new rise in the usual one: some five bursts are memory enough


class SecondLook:
    """Fits events to the newest samples, of which it keeps about a thousand.

    Attributes
    ----------
    spacing_s, variance
        Distance of the samples and the variance of one, as they are now.
    """

    def __init__(self, spacing_s: float) -> None:
        self.ring = Ring(1024)
        self.spacing_s = spacing_s
        self.variance = 0.0
        self._glitches_s: deque[float] = deque(maxlen=64)
        self._quiet_from_s = float("-inf")
        self._told: tuple[Event, BurstFit] | None = None
        self._foot: tuple[Event, BurstFit] | None = None
        self._usual_rise_s: float | None = None

    def clear(self) -> None:
        """Forget the samples; what is usual stays."""
        self.ring.clear()
        self._told = self._foot = None

    def settled(self, event: Event) -> None:
        """Heed an event that is final: no later one is fitted to what came before it."""
        if event.kind == "glitch":
            self._glitches_s.append(event.time_s)
        else:
            self._quiet_from_s = event.time_s + 3.0 * event.rise_s

    def told(self, event: Event, fit: BurstFit, is_alone: bool) -> None:
        """Heed a burst that is told; ``is_alone`` where no other event came since."""
        self._told = event, fit
        if is_alone:
            rise_s, usual_s = fit.peak_s - fit.onset_s, self._usual_rise_s
            self._usual_rise_s = rise_s if usual_s is None else usual_s + _NEW * (rise_s - usual_s)

    def fit(self, event: Event, best: Explanation, until_s: float) -> BurstFit:
        """Onset, size and shape, from the samples until ``until_s``."""
        times, over = self._over(event, best, until_s)
        onset_s = event.time_s + 0.5 * self.spacing_s
        return fit_burst(times, over, onset_s, best.fall_s, self.spacing_s, self.variance)

    def is_rest(self, fit: BurstFit, best: Explanation, until_s: float) -> bool:
        """Whether this is the rest of a slow burst that was told already."""
        return self._told is not None and self._as_one(self._told, fit, best, until_s) is not None

    def with_foot(
        self, event: Event, fit: BurstFit, best: Explanation, until_s: float
    ) -> tuple[Event, BurstFit]:
        """Join a burst with the foot of its rise, if that was taken for one too small to tell."""
        foot, self._foot = self._foot, None
        one = None if foot is None else self._as_one(foot, fit, best, until_s)
        return (event, fit) if foot is None or one is None else (foot[0], one)

    def too_small(self, event: Event, fit: BurstFit) -> None:
        """Heed a burst that is not told for its size: it may be the foot of the next."""
        self._foot = event, fit

    def _as_one(
        self, before: tuple[Event, BurstFit], fit: BurstFit, best: Explanation, until_s: float
    ) -> BurstFit | None:
        """Fit one slow burst to what was taken for two, if it explains them as well."""
        event, first = before
        if fit.onset_s > first.onset_s + _SLOWEST_S:
            return None
        times, over = self._over(event, best, until_s)
        one = fit_burst(times, over, first.onset_s, first.fall_s, self.spacing_s, self.variance)
        usual_s = self._usual_rise_s or _SLOWEST_S
        if event.rise_s > SLOWEST_RISE_S:  # slower than those always looked for, and known to be
            usual_s = max(usual_s, event.rise_s)
        if one.peak_s - one.onset_s > _SLOWER * usual_s + 0.5:
            return None
        # Gas does not come evenly: what adds less than half while one still rises is no other.
        if fit.onset_s < one.peak_s and fit.rise_pa < _BUMP * one.rise_pa:
            return one
        is_so = is_one(one, first, fit, times, over, self.spacing_s, self.variance)
        return one if is_so else None

    def is_borne_out(self, event: Event, fit: BurstFit, best: Explanation, noise_pa: float) -> bool:
        """Whether as much of a burst that is alone still stands as should after its fit."""
        if len(best.events) > 1:
            return True
        time_s = float(self.ring.since(event.time_s)[0][-1])
        due_pa = fit.size_pa * float(fit.course(np.array([time_s]))[0])
        had_pa = event.before[2] * np.exp((event.time_s - time_s) / best.fall_s)
        return bool(best.state[2] - had_pa > _BORNE_OUT * due_pa - noise_pa)

    def has_risen(self, fit: BurstFit, until_s: float) -> bool:
        """Whether the readings themselves rise, where the base line has just moved."""
        times, values = self.ring.since(fit.onset_s - max(6.0 * self.spacing_s, 4.0))
        count = int((times <= until_s - 1e-9).sum())
        onset_s, peak_s, rise_pa = fit[:3]
        return has_risen(
            times[:count], values[:count],
            onset_s=onset_s, peak_s=peak_s, rise_pa=rise_pa, is_settled=False,
        )  # fmt: skip

    def _over(self, event: Event, best: Explanation, until_s: float) -> tuple[Floats, Floats]:
        """Give the samples around an event, and their excess over the forecast without it."""
        # From a little before, where a slow rise may have begun unseen, but after the last one.
        quiet_s = min(self._quiet_from_s, event.time_s - 3.0 * self.spacing_s)
        times, values = self.ring.since(max(event.time_s - 8.0, quiet_s))
        count = int((times <= until_s + 1e-9).sum())
        times, values = times[:count], values[:count]
        glitches = [e.time_s for e in best.events if e.kind == "glitch"]
        spoilt = np.isin(times, [*self._glitches_s, *glitches]) & (times != event.time_s)
        times, values = times[~spoilt], values[~spoilt]
        return times, values - expected(event, times - event.time_s)
