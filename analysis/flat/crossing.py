"""When the rate of visible bursts falls below one per flat interval: a weighted sample of answers.

Around each hypothesis' best fit the likelihood is taken as normal (Laplace's method); points drawn
from it are weighted by what is held plausible beforehand (``analysis.flat.plausible``).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.flat.decline import RATE_ORIGINS_S, Decline, clocks
from analysis.flat.history import FlatPrior
from analysis.flat.normal import log_normal_tail, normal_points
from analysis.flat.plausible import log_prior, log_rough_prior

Array = NDArray[np.float64]

_POINTS = 320
_NORMALS = normal_points(_POINTS, 6)
_PAST, _FUTURE = 10, 18  # times at which the rate is looked at; 28 in all
_DRAWN = 100  # equally weighted points that the band is read from
# How far is looked ahead: times the run's length so far, and two days, as a very wet circuit may
# take one.
_FARTHEST, _FARTHEST_S = 40.0, 2.0 * 86400.0
_RULED_OUT = 0.01  # a law of which so little is left
# The rate is known no better than this (ln): bursts missed or false, the noise's own wander.
_RATE_DOUBT = 0.15


@dataclass(frozen=True, slots=True)
class Crossings:
    """Weighted points of the posterior.

    ``crossing_s`` (points,), time since the first burst, ascending; ``weight`` (points,), sums to
    1; ``total`` (points + 1,), what they sum to from 0 up to 1; ``look_s`` (times,); ``log_rate``
    (points, times) of the visible bursts, per second; ``is_power`` (points,), the law.
    """

    crossing_s: Array
    weight: Array
    total: Array
    look_s: Array
    log_rate: Array
    is_power: NDArray[np.bool_]

    def quantile(self, share: float) -> float:
        """Time since the first burst by which ``share`` of the weight has crossed."""
        return float(np.interp(share, self.total[1:] - 0.5 * self.weight, self.crossing_s))

    def probability(self, since_s: float) -> float:
        """Posterior probability of having crossed by a time since the first burst."""
        index = int(self.crossing_s.searchsorted(since_s, side="right"))
        return float(self.total[index])

    @property
    def horizon_s(self) -> float:
        """How far was looked ahead, seconds since the first burst."""
        return float(self.look_s[-1])

    def reached_s(self, share: float) -> float:
        """Earliest time since the first burst at which ``probability`` is at least ``share``."""
        index = int(self.total[1:].searchsorted(share))
        return float(self.crossing_s[min(index, self.crossing_s.size - 1)])

    def latest_s(self, deviations: float) -> float:
        """Time since the first burst this many standard deviations late, taken as lognormal.

        So few points do not hold the one in hundreds that is the latest.
        """
        return self._late_s(self.weight, deviations)

    def latest_by_power_s(self, deviations: float) -> float:
        """Give the same under the power law alone, the later one; 0 where it is ruled out."""
        weight = np.where(self.is_power, self.weight, 0.0)
        share = float(weight.sum())
        return 0.0 if share < _RULED_OUT else self._late_s(weight / share, deviations)

    def _late_s(self, weight: Array, deviations: float) -> float:
        log_s = np.log(np.maximum(self.crossing_s, 1.0))
        mean = float(weight @ log_s)
        return float(np.exp(mean + deviations * np.sqrt(weight @ (log_s - mean) ** 2)))

    @property
    def worth(self) -> float:
        """How many points of equal weight they are worth (Kish)."""
        return 1.0 / float(self.weight @ self.weight)

    def seen(
        self, from_s: float, until_s: float, *, count: int, watched_s: float, dispersion: float
    ) -> "Crossings":
        """Weigh the points by the bursts of a further stretch, by Bayes' rule.

        Parameters
        ----------
        from_s, until_s
            The stretch, seconds since the first burst; short against the run.
        count, watched_s
            The bursts in it, and how much of it was watched.
        dispersion
            Variance of the count over that of a Poisson process.
        """
        middle_s = 0.5 * (from_s + until_s)
        after = min(max(int(self.look_s.searchsorted(middle_s)), 1), self.look_s.size - 1)
        left_s, right_s = self.look_s[after - 1], self.look_s[after]
        share = (middle_s - left_s) / (right_s - left_s)
        log_rate = (1.0 - share) * self.log_rate[:, after - 1] + share * self.log_rate[:, after]
        log_likelihood = count * log_rate - watched_s * np.exp(np.minimum(log_rate, 50.0))
        log_likelihood /= dispersion
        weight = self.weight * np.exp(log_likelihood - log_likelihood.max())
        weight /= weight.sum()
        return replace(self, weight=weight, total=np.concatenate([[0.0], np.cumsum(weight)]))

    def lull_quantiles(self, shares: tuple[float, ...]) -> Array:
        """Lulls (1 / rate) at ``look_s`` below which these shares lie: (shares, times), seconds."""
        places = (np.arange(_DRAWN) + 0.5) / _DRAWN
        drawn = np.searchsorted(self.total[1:], places).clip(max=self.weight.size - 1)
        # Of so many, the point halfway between places is Hazen's quantile.
        ordered = np.sort(-self.log_rate[drawn], axis=0)
        at = np.clip(np.array(shares) * _DRAWN - 0.5, 0.0, _DRAWN - 1.0)
        below = np.minimum(at.astype(np.intp), _DRAWN - 2)
        step = (at - below)[:, None]
        log_lull = (1.0 - step) * ordered[below] + step * ordered[below + 1]
        lulls: Array = np.exp(np.minimum(log_lull, 50.0))
        return lulls


def sample_crossings(
    fit: Decline,
    prior: FlatPrior,
    *,
    first_s: float,
    flat_interval_s: float,
    past_s: Array,
    past_log_smallest: Array,
) -> Crossings:
    """Draw the times of flat from the fit.

    Parameters
    ----------
    fit, prior
        The fitted decline, and the time of flat expected from the circuit's history.
    first_s
        From the pull's start to the first burst, seconds.
    flat_interval_s
        Flat is a rate below one burst in this time.
    past_s, past_log_smallest
        Smallest visible burst so far (times since the first burst; ln Pa); taken to stay as it is.
    """
    rough = log_rough_prior(fit)
    hypothesis = _allot(fit.log_evidence + rough)
    points = fit.best[hypothesis] + np.einsum("pkl,pl->pk", fit.spread[hypothesis], _NORMALS[:, :5])
    points[:, 4] = np.maximum(points[:, 4], 0.05)
    look_s = _looks(fit.end_s)
    level = np.interp(look_s, past_s, past_log_smallest) - fit.log_size_zero
    log_rate = _log_rates(points, hypothesis, fit.end_s, look_s, level)
    log_flat = _RATE_DOUBT * _NORMALS[:, 5] - np.log(flat_interval_s)
    crossing_s, steepness = _last_fall(log_rate, look_s, log_flat)
    lateness = np.maximum(log_rate[:, 0] - log_flat, 0.1) / np.maximum(steepness, 0.05)
    log_weight = -rough[hypothesis] + log_prior(
        points, hypothesis, fit, crossing_s, lateness, first_s=first_s, duration=prior
    )
    weight = np.exp(log_weight - log_weight.max())
    order = np.argsort(crossing_s)
    weight = weight[order] / weight.sum()
    total = np.concatenate([[0.0], np.cumsum(weight)])
    is_power = np.isfinite(RATE_ORIGINS_S)[hypothesis[order]]
    return Crossings(crossing_s[order], weight, total, look_s, log_rate[order], is_power)


def _allot(log_weight: Array) -> NDArray[np.intp]:
    """Hypothesis of each point, in proportion to the weights, spread evenly over the points."""
    share = np.exp(log_weight - log_weight.max())
    upper = np.cumsum(share) / share.sum()
    golden = (np.arange(1.0, _POINTS + 1.0) * 0.6180339887498949) % 1.0
    return np.minimum(np.searchsorted(upper, golden), RATE_ORIGINS_S.size - 1)


def _looks(end_s: float) -> Array:
    past = np.linspace(0.0, 1.0, _PAST, endpoint=False) ** 2
    future = np.exp(np.linspace(0.0, np.log(max(_FARTHEST, _FARTHEST_S / end_s)), _FUTURE))
    return np.concatenate([past, future]) * end_s


def _log_rates(
    points: Array, hypothesis: NDArray[np.intp], end_s: float, look_s: Array, level: Array
) -> Array:
    rate_clock, size_clock = clocks(look_s, end_s)
    a, b, gamma, delta, h = points.T[:, :, None]
    z = gamma - delta * size_clock[hypothesis] - h * level
    log_rate: Array = a - b * rate_clock[hypothesis] + log_normal_tail(z)
    return log_rate


def _last_fall(log_rate: Array, look_s: Array, log_flat: Array) -> tuple[Array, Array]:
    """When the rate falls below the flat one, and how steeply there per e-fold of time.

    The last time it does: while the trace fell fast, or in a disturbed stretch, small bursts
    could not be seen, and that is no decline. At 0 where it was never above. Linear between
    looks; the last slope goes on past the end.
    """
    above = log_rate >= log_flat[:, None]
    last = look_s.size - 1
    after = last + 1 - np.argmax(above[:, ::-1], axis=1)
    index = np.where(above.any(axis=1), np.minimum(after, last), 0)
    upper = np.maximum(index, 1)
    rows = np.arange(log_rate.shape[0])
    before, after = log_rate[rows, upper - 1], log_rate[rows, upper]
    left, right = look_s[upper - 1], look_s[upper]
    fall = np.maximum(before - after, 1e-9)
    share = np.where(index == 0, 0.0, np.clip((before - log_flat) / fall, 0.0, 10.0))
    steepness = fall * 0.5 * (left + right) / (right - left)
    return left + share * (right - left), steepness
