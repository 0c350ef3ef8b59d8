"""The second look at a burst that is all but certain: its values, and what else it might be.

The explanations take a rise for one of a few exponentials. A real one is slower, or of another
shape, and what is left of it may be taken for a second burst; a valve that was turned lets the
level rise to a new balance, which begins as a burst does, and so does a swell. All are told by
fitting more freely.
"""

from collections import deque

import numpy as np
from numpy.typing import NDArray

from analysis.burst.excess import excess
from analysis.burst.explanation import Event, Explanation
from analysis.burst.fit import BurstFit, fit_burst, is_one
from analysis.burst.rivals import burst_after_all, fit_or_rival
from analysis.burst.shape import has_risen
from analysis.burst.usual_fall import ANY_FALL
from analysis.ring import Ring

Floats = NDArray[np.float64]

# A slow rise has its peak this late at most; nearer than this one burst may be taken for two.
# By so much more than usual no burst of one circuit and gauge is slow.
_SLOWEST_S, _SLOWER = 10.0, 1.4
_BEFORE = 3  # samples that make a base line
_NEW = 0.2  # share of each new rise in the usual one: some five bursts are memory enough


class SecondLook:
    """Fits events to the newest samples, of which it keeps about a thousand.

    Attributes
    ----------
    spacing_s, variance
        Distance of the samples and the variance of one, as they are now.
    usual_fall
        What is known of a burst's fall beforehand.
    usual_rise_s
        Usual time from onset to peak of bursts that stood alone.
    """

    def __init__(self, spacing_s: float) -> None:
        self.ring = Ring(1024)
        self.spacing_s = spacing_s
        self.variance = 0.0
        self.usual_fall = ANY_FALL
        self._glitches_s: deque[float] = deque(maxlen=64)
        self._quiet_from_s = float("-inf")
        self._told: tuple[Event, BurstFit] | None = None
        self.usual_rise_s: float | None = None
        self._fits: dict[tuple[Event, float, int], tuple[BurstFit, bool]] = {}

    def clear(self) -> None:
        """Forget the samples; what is usual stays."""
        self.ring.clear()
        self._fits.clear()
        self._told = None

    def settled(self, event: Event) -> None:
        """Heed an event that is final: no later one is fitted to what came before it."""
        self._fits.clear()
        if event.kind == "glitch":
            self._glitches_s.append(event.time_s)
        else:
            self._quiet_from_s = event.time_s + 3.0 * event.rise_s

    def told(self, event: Event, fit: BurstFit, is_alone: bool) -> None:
        """Heed a burst that is told; ``is_alone`` where no other event came since."""
        self._told = event, fit
        if is_alone:
            rise_s, usual_s = fit.peak_s - fit.onset_s, self.usual_rise_s
            self.usual_rise_s = rise_s if usual_s is None else usual_s + _NEW * (rise_s - usual_s)

    def decide(
        self, event: Event, best: Explanation, first_s: float, until_s: float, now_s: float
    ) -> tuple[BurstFit, bool]:
        """Values of the oldest event, and whether what is no burst explains it better.

        The first part, until ``first_s``, tells most, for the base line is known best there. What
        looks like something else is looked at up to the next event (``until_s``), and beyond: a
        slow rise, cut short by it, looks so too.
        """
        fit, is_outdone = self._fitted(event, best, min(first_s, until_s))
        if is_outdone and until_s > first_s:
            fit, is_outdone = self._fitted(event, best, until_s)
        if is_outdone and until_s < now_s:
            is_outdone = self._fitted(event, best, now_s)[1]
        return fit, is_outdone

    def _fitted(self, event: Event, best: Explanation, until_s: float) -> tuple[BurstFit, bool]:
        """Onset, size and shape from the samples until then, and whether a rival fits better."""
        times, values = self._around(event, best, until_s)
        what = event, best.fall_s, times.size
        if what not in self._fits:  # an event that waits is asked for again with each sample
            over = excess(event, times, values, self.variance)
            onset_s = event.time_s + 0.5 * self.spacing_s
            self._fits[what] = fit_or_rival(
                over, onset_s, best.fall_s, self.spacing_s, self.usual_fall
            )
        return self._fits[what]

    def after_all(self, event: Event, best: Explanation, until_s: float) -> BurstFit | None:
        """Give the burst by which a step or a bend is explained better, as it fell again."""
        times, values = self._around(event, best, until_s)
        onset_s = event.time_s + 0.5 * self.spacing_s
        if int((times <= event.time_s).sum()) < _BEFORE or times[-1] <= onset_s:
            return None  # a base line that is not known yet falls as it likes
        over = excess(event, times, values, self.variance)
        return burst_after_all(over, onset_s, best.fall_s, self.spacing_s, self.usual_fall)

    def whole(self, event: Event, fit: BurstFit, best: Explanation, now_s: float) -> BurstFit:
        """Give the fit of a slow burst whose rest was taken for the next event; else ``fit``."""
        later = [other for other in best.events[1:] if other.kind != "glitch"]
        if not later or later[0].kind != "burst":
            return fit
        until_s = later[1].time_s if len(later) > 1 else now_s
        onset_s = later[0].time_s + 0.5 * self.spacing_s
        return self._as_one(event, fit, onset_s, best, until_s) or fit

    def is_rest(self, fit: BurstFit, best: Explanation, until_s: float) -> bool:
        """Whether this is the rest of a slow burst that was told already."""
        if self._told is None:
            return False
        return self._as_one(*self._told, fit.onset_s, best, until_s) is not None

    def _as_one(
        self, event: Event, first: BurstFit, second_s: float, best: Explanation, until_s: float
    ) -> BurstFit | None:
        """Give the one burst that explains a first and a second, if one does."""
        if second_s > first.onset_s + _SLOWEST_S:
            return None
        over = excess(event, *self._around(event, best, until_s), self.variance)
        one = fit_burst(over, first.onset_s, best.fall_s, self.spacing_s, self.usual_fall)
        if one.peak_s - one.onset_s > _SLOWER * (self.usual_rise_s or _SLOWEST_S) + 0.5:
            return None
        rest = over.without(first.size_pa * first.course(over.times_s))
        second = fit_burst(rest, second_s, best.fall_s, self.spacing_s, self.usual_fall)
        is_whole = is_one(over, one, first, second, self.spacing_s, self.usual_fall)
        return one if is_whole else None

    def has_risen(self, fit: BurstFit, until_s: float) -> bool:
        """Whether the readings themselves rise, where the base line has just moved."""
        times, values = self.ring.since(fit.onset_s - max(6.0 * self.spacing_s, 4.0))
        count = int((times <= until_s - 1e-9).sum())
        onset_s, peak_s, rise_pa = fit[:3]
        return has_risen(
            times[:count], values[:count],
            onset_s=onset_s, peak_s=peak_s, rise_pa=rise_pa, is_settled=False,
        )  # fmt: skip

    def _around(self, event: Event, best: Explanation, until_s: float) -> tuple[Floats, Floats]:
        """Give the samples around an event that tell of it: times and pressures (n,)."""
        # From a little before, where a slow rise may have begun unseen, but after the last one.
        quiet_s = min(self._quiet_from_s, event.time_s - 3.0 * self.spacing_s)
        from_s = max(event.time_s - 10.0, quiet_s)
        times, values = self.ring.since(from_s)
        count = int((times <= until_s + 1e-9).sum())
        times, values = times[:count], values[:count]
        glitches = [e.time_s for e in best.events if e.kind == "glitch"]
        wild = [t for t in [*self._glitches_s, *glitches] if t >= from_s and t != event.time_s]
        if wild:
            sound = ~np.isin(times, wild)
            return times[sound], values[sound]
        return times, values
