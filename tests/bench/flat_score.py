"""How well the time of flat is forecast, beside a plain fit to the true bursts."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

import numpy as np
from scipy.optimize import brentq

from tests.bench.boiling import FLAT_RATE_PER_S
from tests.bench.traces import Trace

SHARES = (0.3, 0.5, 0.7, 0.9)
_Z80 = 1.2815515655446004  # standard normal, 90 %: the ends of a central 80 % range

Forecast = tuple[float, float, float]  # low, best, high; seconds from the first reading


@dataclass(frozen=True)
class Answer:
    """One question put to a forecaster: at ``share`` of the true time, and what it said."""

    kind: str
    seed: int
    share: float
    truth_s: float
    said: Forecast | None


@dataclass(frozen=True)
class FlatScore:
    """Summary of answers; errors in natural logarithms of time."""

    asked: int
    answered: float  # share
    median_error: float  # |ln(best / truth)|
    coverage: float  # share of truths inside low..high, meant to be 0.8
    interval_score: float  # mean, Gneiting and Raftery (2007) eq. 43 at alpha 0.2; less is better


def ask(trace: Trace, forecaster: Callable[[float], Forecast | None]) -> list[Answer]:
    """Put the questions to ``forecaster(at_s)``, which may use readings up to ``at_s`` only."""
    if trace.law_flat_s is None:
        return []
    at = [(share, share * trace.law_flat_s) for share in SHARES]
    return [
        Answer(trace.kind, trace.seed, share, trace.law_flat_s, forecaster(at_s))
        for share, at_s in at
        if at_s <= trace.time_s[-1]
    ]


def score_flat(answers: Sequence[Answer]) -> FlatScore:
    """Summarise answers."""
    said = [(a.said, a.truth_s) for a in answers if a.said is not None]
    if not said:
        return FlatScore(len(answers), 0.0, float("nan"), float("nan"), float("nan"))
    logs = np.log(np.maximum(np.array([(*s, t) for s, t in said]), 1.0))
    low, best, high, truth = logs.T
    below, above = np.maximum(low - truth, 0), np.maximum(truth - high, 0)
    return FlatScore(
        asked=len(answers),
        answered=len(said) / len(answers),
        median_error=float(np.median(np.abs(best - truth))),
        coverage=float(np.mean((low <= truth) & (truth <= high))),
        interval_score=float(np.mean(high - low + 2 / 0.2 * (below + above))),
    )


def exponential_fit(trace: Trace, at_s: float) -> Forecast | None:
    """Maximum-likelihood exponential law on the TRUE visible onsets up to ``at_s``.

    Rate exp(a + b t) from the first onset (Cox and Lewis 1966, as in the NIST/SEMATECH
    e-Handbook 8.4.5.3, with its sign corrected); the range by the delta method on ln(time).
    """
    onset_s = np.array([b.onset_s for b in trace.bursts if b.is_visible and b.onset_s <= at_s])
    if onset_s.size < 4:
        return None
    first_s, since_s = float(onset_s[0]), onset_s[1:] - onset_s[0]
    span_s, count = at_s - first_s, since_s.size
    mean = float(np.mean(since_s)) / span_s  # of the onsets, on a scale of 0 to 1

    def excess(fall: float) -> float:  # the score equation, fall = -b span
        return 1 / fall - 1 / (exp(fall) - 1) - mean

    if mean >= 0.499:
        return None  # no trend yet
    fall = float(brentq(excess, 1e-6, 500.0))
    rate = count / span_s * fall / (1 - exp(-fall))  # at the first onset
    flat_s = first_s + log(rate / FLAT_RATE_PER_S) * span_s / fall
    if flat_s <= first_s:
        return None
    spread = _spread_s(fall, count, span_s, flat_s - first_s) / flat_s
    return flat_s * exp(-_Z80 * spread), flat_s, flat_s * exp(_Z80 * spread)


def _spread_s(fall: float, count: int, span_s: float, ahead_s: float) -> float:
    """Return the standard error of the crossing, from the information matrix of (a, b)."""
    grid = np.linspace(0, 1, 2001)
    weight = np.exp(-fall * grid)
    weight *= count / float(np.trapezoid(weight, grid))
    moments = [float(np.trapezoid(weight * grid**k, grid)) for k in range(3)]
    covariance = np.linalg.inv(np.array([moments[:2], moments[1:]]))
    slope = np.array([1.0, ahead_s / span_s]) / (fall / span_s)
    return sqrt(float(slope @ covariance @ slope))
