"""When will the trace be flat? The online forecast of the rate of visible bursts.

Bayesian: the exponential and the power law with an unknown origin, weighed by evidence, with
shrinking sizes and spacing more or less regular than Poisson (``analysis.flat.decline``), and a
weak prior from the circuit's history. No answer before the lulls are seen to lengthen.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.flat.crossing import Crossings, sample_crossings
from analysis.flat.decline import Decline, fit_decline
from analysis.flat.history import History, flat_prior
from analysis.flat.tally import BurstTally, Tally
from analysis.flat.trend import laplace_statistic
from analysis.reason import Reason
from analysis.snapshot import FlatEstimate, LullPoint

Array = NDArray[np.float64]

#: Bursts before any answer: one lull at least, and the quiet after it. What so few
#: leave open the assumptions fill, and the answer is as wide as they are.
BURSTS_NEEDED = 2
# The lulls lengthen: one-sided 10 % point of the standard normal distribution, and the same point
# on the other side for lulls that shorten.
_TREND_AT_MOST = -1.2816
# Short of a trend an answer is still given where its own middle lies within this many times the
# run so far: little has to be foretold. Bursts that come as often as ever put it far beyond.
_NEAR = 4.0
# The points drawn at the last fit are weighed by what was seen since, at most once in this time:
# seconds, and share of the run. That costs a tenth of a fit. A new one is made when so many bursts
# more have come, the run is so much longer, or a quarter of the points' worth is gone.
_WEIGH_S, _WEIGH_SHARE = 60.0, 0.04
_REFIT_S, _REFIT_BURSTS, _REFIT_LONGER, _REFIT_WORTH = 120.0, 0.2, 0.3, 0.75
# Flat called before three quarters of the true time is too early: that lies 2.5 standard
# deviations off (1 in 160; it is asked all the time, and the first yes counts), beyond 39 of 40 of
# the weight, for the tail is longer than a normal one, and beyond three quarters by the power law
# alone, for only the few last bursts tell the laws apart; flat is more likely past than not, and
# all have held for a whole flat interval (in a run of hours; else for 2 % of it), so that one
# lucky lull does not decide.
_EARLY_SHARE = 0.75
_PROBABLE, _NEARLY_ALL, _ALMOST_SURE, _SURE_BY_POWER = 0.5, 0.975, 2.5, 0.6745
_HELD_SHARE = 0.02
# No burst for this many flat intervals; the longer where so few bursts came that the answer is
# mostly the prior's: e^-2 of circuits that still boil once per interval are as quiet.
_QUIET, _QUIET_FEW, _FEW = 0.5, 2.0, 10
# Of few bursts or without a fit: e^-3 = 5 % of circuits that still boil are as quiet for so long.
_FEW_INTERVALS = 3.0
_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9


class FlatForecast:
    """Forecasts the first time at which visible bursts are rarer than one per flat interval.

    A fit is made anew only when what was seen since the last one matters; in between its answer
    stands, and only the moment moves along it. Memory is bounded: bins widen with time.

    Parameters
    ----------
    flat_interval_s
        Flat is a rate below one visible burst in this time, seconds, > 0.
    history
        The circuit's past; weak when nothing is known.

    Raises
    ------
    ValueError
        If ``flat_interval_s`` is not positive.
    """

    _drawn: Crossings | None  # at the last fit
    _likely_from_s: float
    _crossings: Crossings | None  # what the answer rests on, where there is one

    def __init__(self, *, flat_interval_s: float = 600.0, history: History | None = None) -> None:
        if not 0.0 < flat_interval_s < math.inf:
            raise ValueError(f"flat_interval_s must be positive, not {flat_interval_s}")
        self.flat_interval_s = flat_interval_s
        self._prior = flat_prior(history)
        self._forget()

    def add_burst(self, onset_s: float, rise_pa: float, smallest_burst_pa: float) -> None:
        """Tell a confirmed burst; in time order, up to a minute or so late."""
        if rise_pa >= smallest_burst_pa:  # else it is no visible one: marks may fall a little short
            self._tally.add(onset_s, rise_pa, smallest_burst_pa)

    def observe(
        self,
        time_s: float,
        smallest_burst_pa: float | None,
        is_observing: bool,
        apart_s: float = 0.0,
    ) -> None:
        """Tell what could be seen at ``time_s``, about once a second.

        The time since the last call counts as watched, unless ``is_observing`` is false (gap,
        isolation, nitrogen), nothing is known of the smallest visible burst, or it is over 30 s.
        Bursts nearer than ``apart_s`` are told as one.
        """
        self._tally.observe(time_s, smallest_burst_pa, is_observing, apart_s)

    def restart(self, time_s: float) -> None:
        """Forget everything: the vacuum was broken and a new pull starts."""
        self._forget()
        self._tally.observe(time_s, None, False)

    def set_history(self, history: History) -> None:
        """Take another past of the circuit; the next answer rests on it."""
        self._prior = flat_prior(history)
        self._looked, self._rests_until_s = _NEVER, -math.inf
        self._drawn = self._crossings = None

    def estimate(self, time_s: float) -> FlatEstimate:
        """Give the forecast at ``time_s``, from the last fit that was worth making."""
        if time_s >= self._rests_until_s and self._is_news():
            self._looked = _Moment(time_s, self._tally.bursts, self._tally.watched_s)
            gone_s = time_s - (self._tally.start_s or 0.0)
            self._rests_until_s = time_s + max(_WEIGH_S, _WEIGH_SHARE * gone_s)
            self._crossings = None
            self._estimate = self._estimate_now(time_s)
            self._moved_s = time_s
        elif time_s - self._moved_s >= _WEIGH_S:
            self._estimate = self._moved_on(time_s)
            self._moved_s = time_s
        if self._crossings is None or time_s < self._likely_from_s:
            self._likely_since_s = math.inf
        elif self._likely_since_s > time_s:
            self._likely_since_s = time_s
        return self._estimate

    @property
    def has_trend(self) -> bool:
        """Whether the lulls are seen to lengthen; an answer that is near does without."""
        return self._is_trend_real

    def is_flat(self, time_s: float) -> bool:
        """Whether flat may be called: probably past, for a while, and lately quiet.

        With few bursts no burst during three flat intervals of watching is enough.
        """
        estimate = self.estimate(time_s)
        quiet_s, interval_s = self._tally.watched_since_burst_s, self.flat_interval_s
        is_long = quiet_s >= _FEW_INTERVALS * interval_s
        if estimate.why is not None:
            return is_long and estimate.why.code == "too-few-bursts"
        gone_s = time_s - (self._tally.start_s or 0.0)
        is_lasting = time_s - self._likely_since_s >= min(interval_s, _HELD_SHARE * gone_s)
        if self._tally.bursts >= _FEW:
            return is_lasting and quiet_s >= _QUIET * interval_s
        is_past = (estimate.flat_probability or 0.0) >= _PROBABLE
        return (is_past and is_long) or (is_lasting and quiet_s >= _QUIET_FEW * interval_s)

    def _forget(self) -> None:
        self._tally = BurstTally()
        self._fit: Decline | None = None
        self._drawn = self._crossings = None
        self._fitted = self._looked = _NEVER
        self._moved_s = self._rests_until_s = -math.inf
        self._likely_from_s = self._likely_since_s = math.inf
        self._is_trend_real = False
        self._estimate = _cannot("too-few-bursts", bursts=0, needed=BURSTS_NEEDED)

    def _is_news(self) -> bool:
        """Whether anything was seen since the last look."""
        tally, last = self._tally, self._looked
        return tally.bursts > last.bursts or tally.watched_s > last.watched_s

    def _moved_on(self, time_s: float) -> FlatEstimate:
        """Give the last answer as of now: that flat is past grows likelier with every minute."""
        if self._crossings is None or self._tally.first_s is None:
            return self._estimate
        now_s = time_s - self._tally.first_s
        return replace(self._estimate, flat_probability=self._crossings.probability(now_s))

    def _estimate_now(self, time_s: float) -> FlatEstimate:
        tally = self._tally
        if tally.first_s is None or tally.start_s is None or tally.bursts < BURSTS_NEEDED:
            return _cannot("too-few-bursts", bursts=tally.bursts, needed=BURSTS_NEEDED)
        now_s = time_s - tally.first_s
        table = tally.table()
        if table.watched_s.sum() <= 0.0 or now_s <= 0.0:
            return _cannot("not-observing", watched_s=float(table.watched_s.sum()))
        trend = _trend(table, tally.dispersion)
        crossings, likely_s = self._weigh(time_s) or self._fit_anew(time_s, now_s, table)
        # Once the lulls are seen to lengthen, only their shortening takes the answer back.
        self._is_trend_real = trend <= (0.0 if self._is_trend_real else _TREND_AT_MOST)
        middle_s = crossings.quantile(_MIDDLE)
        is_near = trend < -_TREND_AT_MOST and middle_s <= _NEAR * now_s
        is_foreseen = self._is_trend_real and middle_s < crossings.horizon_s
        if not is_foreseen and not is_near:
            return _cannot("no-trend", bursts=tally.bursts, statistic=trend, needed=_TREND_AT_MOST)
        self._crossings = crossings
        self._likely_from_s = tally.first_s + likely_s
        return _answer(crossings, tally.first_s, now_s)

    def _weigh(self, time_s: float) -> tuple[Crossings, float] | None:
        """Weigh the points drawn at the last fit by what was seen since, where that will do.

        With them comes since when, after the first burst, flat may be called.
        """
        tally, last, drawn = self._tally, self._fitted, self._drawn
        if drawn is None:
            return None
        first_s, came = tally.first_s or 0.0, tally.counted - last.bursts
        weighed = drawn.seen(
            last.time_s - first_s,
            time_s - first_s,
            count=came,
            watched_s=(tally.watched_s - last.watched_s) * tally.live_share,
            dispersion=tally.dispersion,
        )
        since_s, likely_s = time_s - last.time_s, _likely_from_s(weighed)
        is_stale = (
            came >= max(1.0, _REFIT_BURSTS * last.bursts)
            or since_s >= _REFIT_LONGER * (last.time_s - first_s)
            or weighed.worth < _REFIT_WORTH * drawn.worth
            or time_s - first_s >= likely_s  # a call of flat needs all points
        )
        return None if is_stale and since_s >= _REFIT_S else (weighed, likely_s)

    def _fit_anew(self, time_s: float, now_s: float, table: Tally) -> tuple[Crossings, float]:
        """Fit the decline to all that was seen, and draw from it; with that, the same time."""
        tally = self._tally
        self._fitted = _Moment(time_s, tally.counted, tally.watched_s)
        self._fit = fit_decline(table, now_s, tally.dispersion, self._fit)
        self._drawn = sample_crossings(
            self._fit,
            self._prior,
            first_s=(tally.first_s or 0.0) - (tally.start_s or 0.0),
            flat_interval_s=self.flat_interval_s,
            past_s=table.since_s,
            past_log_smallest=table.log_smallest,
        )
        return self._drawn, _likely_from_s(self._drawn)


@dataclass(frozen=True, slots=True)
class _Moment:
    """What was known when it was fitted, or looked at."""

    time_s: float
    bursts: int
    watched_s: float


_NEVER = _Moment(-math.inf, 0, 0.0)


def _cannot(code: str, **values: float) -> FlatEstimate:
    return FlatEstimate(None, None, None, Reason(code, values))


def _likely_from_s(crossings: Crossings) -> float:
    """Time since the first burst from which flat may be called."""
    late_s = (
        crossings.latest_s(_ALMOST_SURE),
        crossings.reached_s(_NEARLY_ALL),
        crossings.latest_by_power_s(_SURE_BY_POWER),
    )
    return max(crossings.reached_s(_PROBABLE), _EARLY_SHARE * max(late_s))


def _trend(table: Tally, dispersion: float) -> float:
    """Lewis and Robinson's statistic over the watched time; negative when lulls lengthen."""
    total_s = float(table.watched_s.sum())
    middle_s = np.cumsum(table.watched_s) - 0.5 * table.watched_s
    at_s = np.repeat(middle_s, table.count.astype(np.intp))
    if at_s.size == 0:
        return 0.0
    return laplace_statistic(at_s, total_s) / math.sqrt(dispersion)


def _answer(crossings: Crossings, first_s: float, now_s: float) -> FlatEstimate:
    low_s, middle_s, high_s = (crossings.quantile(q) for q in (_LOW, _MIDDLE, _HIGH))
    lulls = crossings.lull_quantiles((_LOW, _MIDDLE, _HIGH))
    curve = _curve(crossings.look_s, lulls, first_s, 1.3 * max(high_s, now_s))
    lull_s = np.interp(now_s, crossings.look_s, lulls[1])
    return FlatEstimate(
        flat_at_s=first_s + middle_s,
        flat_low_s=first_s + low_s,
        flat_high_s=first_s + high_s,
        why=None,
        lull_s=float(lull_s),
        flat_probability=crossings.probability(now_s),
        curve=curve,
    )


def _curve(look_s: Array, lulls: Array, first_s: float, until_s: float) -> tuple[LullPoint, ...]:
    """Give the lulls for drawing, but for the first burst itself: no lull is seen there yet."""
    return tuple(
        LullPoint(first_s + at_s, low, best, high)
        for at_s, low, best, high in zip(look_s.tolist(), *lulls.tolist(), strict=True)
        if 0.0 < at_s <= until_s
    )
