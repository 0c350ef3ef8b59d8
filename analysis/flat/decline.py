"""How the bursts decline: rate and size fitted together, under several hypotheses at once.

In a *clock* x(t) both laws are straight lines: the exponential law's clock is the time itself,
the power law's is ln(1 + t / origin) with an unknown origin before the first burst. In it

    ln rate of all bursts = a - b x,    ln size ~ normal(m - c x, sigma),

and a burst is visible when its size exceeds the smallest visible one, exp(L(t)). So the rate of
visible bursts is exp(a - b x) Phi(z), z = (m - c x - L) / sigma. With gamma = m / sigma,
delta = c / sigma and h = 1 / sigma (Olsen 1978, Econometrica 46, 1211) z is linear in the
parameters and the likelihood well behaved, and Newton's method finds its top.
The counts enter as a quasi-likelihood, divided by their dispersion (McCullagh and Nelder, 1989,
chapter 9): more or less regular spacing widens or narrows the answer without naming its law.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.flat.normal import log_tail_and_ratio
from analysis.flat.tally import Tally

Array = NDArray[np.float64]

#: Origins tried for the power law's clock lie this factor apart, from 2 s to 11 h before the first
#: burst.
ORIGIN_STEP = 3.0
_TRIED_S = 2.0 * ORIGIN_STEP ** np.arange(10.0)
#: Origin of the rate's clock under each hypothesis, seconds; ``inf`` is the exponential law. The
#: sizes shrink in the same clock, or, the power law's once more, exponentially in time.
_ORIGINS_S: Array = np.array([np.inf, *_TRIED_S])
_POWERS = np.arange(1, _ORIGINS_S.size)
_RATE_PLACES = np.concatenate([[0], _POWERS, _POWERS])
_SIZE_PLACES = np.concatenate([[0], _POWERS, np.zeros_like(_POWERS)])
RATE_ORIGINS_S: Array = _ORIGINS_S[_RATE_PLACES]
SIZE_ORIGINS_S: Array = _ORIGINS_S[_SIZE_PLACES]

# Weak assumptions, worth about one burst each, so that few bursts cannot run away. Invented from
# common practice, no source: rate at the first burst one in 15 s, give or take a factor 20;
# sizes spread by a factor e^0.6; the mean size e^1.5 times the smallest visible, give or take
# e^2.5; the rate down by three e-folds, give or take six; the sizes by a third as many.
_SPREAD, _SPREAD_WEIGHT = 0.6, 3.0
#: e-folds of size per e-fold of rate, and their spread.
RATIO, RATIO_SD = 0.35, 0.35
# As linear forms of (a, b, gamma, delta, h): a, gamma - 1.5 h, b, delta - ratio b / spread.
_FORMS: Array = np.array(
    [
        [1.0, 0.0, 0.0, 0.0, 0.0],
        [0.0, 0.0, 1.0, 0.0, -1.5],
        [0.0, 1.0, 0.0, 0.0, 0.0],
        [0.0, -RATIO / _SPREAD, 0.0, 1.0, 0.0],
    ]
)
_CENTRE: Array = np.array([-2.7, 0.0, 3.0, 0.0])
_FORM_SD: Array = np.array([3.0, 2.5 / _SPREAD, 6.0, 3.0 * RATIO_SD / _SPREAD])
# Steps at most; from a fit a minute old two or three do. A hypothesis this far behind in log
# likelihood has no weight, and is not waited for.
_STEPS, _HOPELESS = 40, 20.0
_CLOSE = 0.02  # gain of a step by a seventh of a standard deviation
_LEAST, _ONES = 1e-4, np.eye(5)  # eigenvalue kept of a bend scaled to a unit diagonal


@dataclass(frozen=True, slots=True)
class Decline:
    """Best parameters under each hypothesis, and how sure they are.

    ``best`` : (hypotheses, 5), the parameters (a, b, gamma, delta, h) with clocks scaled to 1 at
    ``end_s`` and log sizes counted from ``log_size_zero``; ``spread`` : (hypotheses, 5, 5), with
    spread spread^T the covariance; ``log_evidence`` : (hypotheses,), Laplace's.
    """

    end_s: float
    log_size_zero: float
    best: Array
    spread: Array
    log_evidence: Array


def clock(origin_s: Array, since_s: Array, end_s: float) -> Array:
    """Clock of an origin at a time since the first burst, 1 at ``end_s``; broadcasts."""
    is_log = np.isfinite(origin_s)
    origin = np.where(is_log, origin_s, 1.0)
    logarithmic = np.log1p(since_s / origin) / np.log1p(end_s / origin)
    return np.where(is_log, logarithmic, since_s / end_s)


def clocks(since_s: Array, end_s: float) -> tuple[Array, Array]:
    """Clocks of rate and size under every hypothesis: each (hypotheses, times)."""
    tried = clock(_ORIGINS_S[:, None], since_s, end_s)  # each once: logarithms cost the most
    return tried[_RATE_PLACES], tried[_SIZE_PLACES]


def fit_decline(
    tally: Tally, end_s: float, dispersion: float, start: Decline | None = None
) -> Decline:
    """Fit rate and size together under every hypothesis.

    Parameters
    ----------
    tally
        What was seen; at least one bin.
    end_s
        Time since the first burst now, > 0.
    dispersion
        Variance of the counts over that of a Poisson process.
    start
        An earlier fit of the same run to start from; the answer does not depend on it.
    """
    surface = _Surface(tally, end_s, 1.0 / dispersion)
    best = surface.first_guess() if start is None else surface.carry_over(start)
    value, slope, bend = surface.at(best)
    damping = np.zeros(best.shape[0])
    for _ in range(_STEPS):
        step = _solve(bend, slope, damping)
        gain = np.einsum("jk,jk->j", step, slope)
        matters = value + gain > value.max() - _HOPELESS
        if float(gain[matters].max()) < _CLOSE:
            best[matters] += step[matters]  # what is left behind is of third order
            value[matters] += 0.5 * gain[matters]
            break
        trial = best + step
        trial[:, 4] = np.maximum(trial[:, 4], 0.3 * best[:, 4])
        new_value, new_slope, new_bend = surface.at(trial)
        better = new_value >= value - 1e-9
        best = np.where(better[:, None], trial, best)
        value = np.where(better, new_value, value)
        slope = np.where(better[:, None], new_slope, slope)
        bend = np.where(better[:, None, None], new_bend, bend)
        damping = np.where(better, damping * 0.1, np.maximum(damping * 5.0, 0.3))
        damping[damping < 1e-3] = 0.0
    root = np.linalg.cholesky(_positive(bend))
    spread: Array = np.linalg.inv(root).transpose(0, 2, 1)
    log_volume: Array = -np.log(np.einsum("jkk->jk", root)).sum(axis=1)
    return Decline(end_s, surface.zero, best, spread, value + log_volume)


class _Surface:
    """Logarithm of the posterior density, its slope and (negative) bend, for every hypothesis."""

    def __init__(self, tally: Tally, end_s: float, weight: float) -> None:
        self.n = tally.count
        self.watched = tally.watched_s
        self.weight = weight
        self.end_s = end_s
        self.zero = float(tally.log_smallest[-1])
        level = tally.log_smallest - self.zero
        rate_clock, size_clock = clocks(tally.since_s, end_s)
        ones = np.ones_like(rate_clock)
        self.rate_design = np.stack([ones, -rate_clock], axis=2)
        self.size_design = np.stack([ones, -size_clock, -level * ones], axis=2)
        size = tally.log_rise - self.zero * self.n
        squares = tally.log_rise_squared - self.zero * (2.0 * tally.log_rise - self.zero * self.n)
        line = self.size_design[:, :, :2]
        self.count = float(self.n.sum())
        line_t = line.transpose(0, 2, 1)
        self.line_square = (line_t * self.n) @ line
        self.line_size = line_t @ size
        self.square = float(squares.sum())

    def first_guess(self) -> Array:
        """Rate falling by half an e-fold so far, sizes near the smallest visible."""
        per_second = (self.count + 1.0) / max(float(self.watched.sum()), 1.0)
        start = np.array([np.log(per_second) + 0.5, 1.0, 1.5, 0.3, 1.0 / _SPREAD])
        return np.tile(start, (RATE_ORIGINS_S.size, 1))

    def carry_over(self, start: Decline) -> Array:
        """Express an earlier fit in this one's scales."""
        best = start.best.copy()
        earlier_s = np.array(start.end_s)
        best[:, 1] /= clock(RATE_ORIGINS_S, earlier_s, self.end_s)
        best[:, 3] /= clock(SIZE_ORIGINS_S, earlier_s, self.end_s)
        best[:, 2] += best[:, 4] * (start.log_size_zero - self.zero)
        return best

    def at(self, theta: Array) -> tuple[Array, Array, Array]:
        """Value (hypotheses,), slope (hypotheses, 5) and bend (hypotheses, 5, 5)."""
        value, slope, bend = self._counts(theta)
        value = value + self._sizes(theta, slope, bend)
        return self._with_assumptions(theta, value, slope, bend)

    def _counts(self, theta: Array) -> tuple[Array, Array, Array]:
        """How many bursts were visible: weighted counts, and the share below sight."""
        w, n = self.weight, self.n
        rate_line = (self.rate_design @ theta[:, :2, None])[:, :, 0]
        z = (self.size_design @ theta[:, 2:, None])[:, :, 0]
        log_share, ratio = log_tail_and_ratio(z)
        # In logarithms: an endless rate of bursts too small to see must not look like none.
        seen = w * self.watched * np.exp(np.minimum(rate_line + log_share, 50.0))
        edge = seen * ratio
        value = (w * (n * rate_line)).sum(axis=1) - seen.sum(axis=1)
        slope_z = -edge
        bend_z = -edge * z
        if w != 1.0:  # the sizes' own truncation, which whole counts would cancel
            left = (1.0 - w) * n
            value -= (left * log_share).sum(axis=1)
            slope_z = slope_z - left * ratio
            bend_z = bend_z - left * ratio * (z + ratio)
        slope = np.empty_like(theta)
        rate_t = self.rate_design.transpose(0, 2, 1)
        size_t = self.size_design.transpose(0, 2, 1)
        slope[:, :2] = (rate_t @ (w * n - seen)[:, :, None])[:, :, 0]
        slope[:, 2:] = (size_t @ slope_z[:, :, None])[:, :, 0]
        bend = np.empty((theta.shape[0], 5, 5))
        cross = rate_t @ (self.size_design * edge[:, :, None])
        bend[:, :2, :2] = rate_t @ (self.rate_design * seen[:, :, None])
        bend[:, :2, 2:] = cross
        bend[:, 2:, :2] = cross.transpose(0, 2, 1)
        bend[:, 2:, 2:] = size_t @ (self.size_design * bend_z[:, :, None])
        return value, slope, bend

    def _sizes(self, theta: Array, slope: Array, bend: Array) -> Array:
        """Add the sizes: n ln h - (h y - gamma + delta x)^2 / 2; gives their value.

        The assumption about their spread has the same form, as so many sizes more.
        """
        h, line = theta[:, 4], theta[:, 2:4]
        weight = self.count + _SPREAD_WEIGHT
        square = self.square + _SPREAD_WEIGHT * _SPREAD**2
        pulled = np.einsum("jkl,jl->jk", self.line_square, line)
        along = np.einsum("jk,jk->j", line, self.line_size)
        slope[:, 2:4] += h[:, None] * self.line_size - pulled
        slope[:, 4] += weight / h - h * square + along
        bend[:, 2:4, 2:4] += self.line_square
        bend[:, 2:4, 4] -= self.line_size
        bend[:, 4, 2:4] -= self.line_size
        bend[:, 4, 4] += weight / (h * h) + square
        value: Array = weight * np.log(h) - 0.5 * h * h * square + h * along
        value -= 0.5 * np.einsum("jk,jk->j", line, pulled)
        return value

    def _with_assumptions(
        self, theta: Array, value: Array, slope: Array, bend: Array
    ) -> tuple[Array, Array, Array]:
        """Add the weak normal assumptions: linear forms of the parameters."""
        off = (theta @ _FORMS.T - _CENTRE) / _FORM_SD
        scaled = _FORMS / _FORM_SD[:, None]
        value = value - 0.5 * (off * off).sum(axis=1)
        return value, slope - off @ scaled, bend + scaled.T @ scaled


def _solve(bend: Array, slope: Array, damping: Array) -> Array:
    damped = _positive(bend, damping)
    step = np.linalg.solve(damped, slope[:, :, None])[:, :, 0]
    return np.asarray(step, dtype=np.float64)


def _positive(bend: Array, damping: Array | None = None) -> Array:
    """Make the bend positive definite: scaled to a unit diagonal, eigenvalues kept above 1e-4."""
    scale = np.sqrt(np.maximum(np.abs(np.einsum("jkk->jk", bend)), 1e-9))
    scales = scale[:, :, None] * scale[:, None, :]
    unit = bend / scales
    extra = np.zeros(bend.shape[0]) if damping is None else damping
    if not _is_positive(unit - _LEAST * _ONES):
        extra = extra + np.maximum(_LEAST - np.linalg.eigvalsh(unit)[:, 0], 0.0)
    result: Array = (unit + extra[:, None, None] * _ONES) * scales
    return result


def _is_positive(bend: Array) -> bool:
    """Whether all are positive definite: a failed root costs a third of all eigenvalues."""
    try:
        np.linalg.cholesky(bend)
    except np.linalg.LinAlgError:
        return False
    return True
