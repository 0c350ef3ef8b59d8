"""When will the trace be flat? The online forecast of the rate of visible bursts.

Bayesian: the exponential and the power law with an unknown origin, weighed by evidence, with
shrinking sizes and spacing more or less regular than Poisson (``analysis.decline``), and a weak
prior from the circuit's history. No answer before the lulls are seen to lengthen.
"""

import math

import numpy as np

from analysis.crossing import Crossings, sample_crossings
from analysis.decline import Decline, fit_decline
from analysis.history import History, flat_prior
from analysis.reason import Reason
from analysis.snapshot import FlatEstimate, LullPoint
from analysis.tally import BurstTally, Tally
from analysis.trend import laplace_statistic

#: Bursts before any answer: five parameters are fitted, though weak assumptions carry most.
BURSTS_NEEDED = 5
# The lulls lengthen: one-sided 10 % point of the standard normal distribution. Short of it an
# answer is still given when even its far end lies within this many times the run so far, which
# happens where the rate is near the flat rate already and little has to be foretold.
_TREND_AT_MOST = -1.2816
_NEAR = 5.0
# A new fit when this much time has passed since the last one: seconds, and share of the run.
_REFIT_S, _REFIT_SHARE = 55.0, 0.03
# Flat is called when it is probably past, and almost surely at most a seventh of the run away:
# on invented runs under 1 in 100 calls come before 3/4 of the true time, half of them by 1.15.
_PROBABLE, _ALMOST_SURE, _SOON = 0.8, 0.975, 1.15
# Without a fit, when the last burst is this many flat intervals ago: e^-3 = 5 % of circuits that
# still boil once per interval are as quiet.
_FEW_INTERVALS = 3.0
_LOW, _MIDDLE, _HIGH = 0.1, 0.5, 0.9


class FlatForecast:
    """Forecasts the first time at which visible bursts are rarer than one per flat interval.

    The estimate is made anew when 55 s and 3 % of the run have passed since the last one, so its
    cost stays small over a run. Memory is bounded: bins widen with time.

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

    def __init__(self, *, flat_interval_s: float = 600.0, history: History | None = None) -> None:
        if not 0.0 < flat_interval_s < math.inf:
            raise ValueError(f"flat_interval_s must be positive, not {flat_interval_s}")
        self.flat_interval_s = flat_interval_s
        self._prior = flat_prior(history)
        self._tally = BurstTally()
        self._fit: Decline | None = None
        self._fitted_s = -math.inf
        self._soon = 0.0  # probability that flat is past or soon
        self._is_trend_real = False
        self._estimate = _cannot("too-few-bursts", bursts=0, needed=BURSTS_NEEDED)

    def add_burst(self, onset_s: float, rise_pa: float, smallest_burst_pa: float) -> None:
        """Tell a confirmed visible burst; in time order, up to a minute or so late."""
        self._tally.add(onset_s, rise_pa, smallest_burst_pa)

    def observe(self, time_s: float, smallest_burst_pa: float | None, is_observing: bool) -> None:
        """Tell what could be seen at ``time_s``, about once a second.

        The time since the last call counts as watched, unless ``is_observing`` is false (gap,
        isolation, nitrogen), nothing is known of the smallest visible burst, or it is over 30 s.
        """
        self._tally.observe(time_s, smallest_burst_pa, is_observing)

    def restart(self, time_s: float) -> None:
        """Forget everything: the vacuum was broken and a new pull starts."""
        self._tally = BurstTally()
        self._tally.observe(time_s, None, False)
        self._fit = None
        self._fitted_s = -math.inf
        self._soon = 0.0  # probability that flat is past or soon
        self._is_trend_real = False
        self._estimate = _cannot("too-few-bursts", bursts=0, needed=BURSTS_NEEDED)

    def estimate(self, time_s: float) -> FlatEstimate:
        """Give the forecast at ``time_s``, at most 55 s or 3 % of the run old."""
        start_s = self._tally.start_s
        elapsed_s = 0.0 if start_s is None else time_s - start_s
        if time_s - self._fitted_s >= max(_REFIT_S, _REFIT_SHARE * elapsed_s):
            self._fitted_s = time_s
            self._estimate = self._estimate_now(time_s)
        return self._estimate

    def is_flat(self, time_s: float) -> bool:
        """Whether flat may be called: probably past, and no burst for half a flat interval.

        With too few bursts for a fit: no burst during three flat intervals of watching.
        """
        estimate = self.estimate(time_s)
        quiet_s = self._tally.watched_since_burst_s
        if estimate.flat_probability is None:
            few = estimate.why is not None and estimate.why.code == "too-few-bursts"
            return few and quiet_s >= _FEW_INTERVALS * self.flat_interval_s
        is_probable = estimate.flat_probability >= _PROBABLE and self._soon >= _ALMOST_SURE
        return is_probable and quiet_s >= 0.5 * self.flat_interval_s

    def _estimate_now(self, time_s: float) -> FlatEstimate:
        tally = self._tally
        if tally.first_s is None or tally.start_s is None or tally.bursts < BURSTS_NEEDED:
            return _cannot("too-few-bursts", bursts=tally.bursts, needed=BURSTS_NEEDED)
        table = tally.table()
        now_s = time_s - tally.first_s
        if table.watched_s.sum() <= 0.0 or now_s <= 0.0:
            return _cannot("not-observing", watched_s=float(table.watched_s.sum()))
        trend = _trend(table, tally.dispersion)
        self._fit = fit_decline(table, now_s, tally.dispersion, self._fit)
        crossings = sample_crossings(
            self._fit,
            self._prior,
            first_s=tally.first_s - tally.start_s,
            flat_interval_s=self.flat_interval_s,
            past_s=table.since_s,
            past_log_smallest=table.log_smallest,
        )
        # Once the lulls are seen to lengthen, only their shortening takes the answer back.
        self._is_trend_real = trend <= (0.0 if self._is_trend_real else _TREND_AT_MOST)
        if not self._is_trend_real and crossings.quantile(_HIGH) > _NEAR * now_s:
            return _cannot("no-trend", bursts=tally.bursts, statistic=trend, needed=_TREND_AT_MOST)
        self._soon = crossings.probability(_SOON * now_s)
        return _answer(crossings, tally.first_s, now_s)


def forecast_before_start(history: History | None = None) -> FlatEstimate:
    """How long until flat, seconds from the pull's start, before anything is seen.

    Rough practice, no source (``analysis.history``): say so wherever it is shown.
    """
    prior = flat_prior(history)
    reach = 1.2816 * prior.log_sd
    middle_s = math.exp(prior.log_mean)
    return FlatEstimate(
        middle_s, middle_s * math.exp(-reach), middle_s * math.exp(reach), None, None, 0.0
    )


def _cannot(code: str, **values: float) -> FlatEstimate:
    return FlatEstimate(None, None, None, Reason(code, values))


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
    curve = _curve(crossings, first_s, 1.3 * max(high_s, now_s))
    lull_s = crossings.lull_quantiles((_MIDDLE,))[0, crossings.now_index]
    return FlatEstimate(
        flat_at_s=first_s + middle_s,
        flat_low_s=first_s + low_s,
        flat_high_s=first_s + high_s,
        why=None,
        lull_s=float(lull_s),
        flat_probability=crossings.probability(now_s),
        curve=curve,
    )


def _curve(crossings: Crossings, first_s: float, until_s: float) -> tuple[LullPoint, ...]:
    lulls = crossings.lull_quantiles((_LOW, _MIDDLE, _HIGH))
    return tuple(
        LullPoint(first_s + float(at_s), float(low), float(best), float(high))
        for at_s, low, best, high in zip(crossings.look_s, *lulls, strict=True)
        if at_s <= until_s
    )
