"""How well the forecast keeps its word over many invented runs; seeds fixed, the hundreds slow."""

import math

import numpy as np
import pytest

from analysis.flat.forecast import FlatForecast
from tests.bench.boil_off import SELDOM_S, draw
from tests.bench.forecast import Run, judge, score


def _steady(lull_s: float, until_s: float, *, seed: int = 1) -> FlatForecast:
    """Poisson bursts whose lulls do not lengthen."""
    rng = np.random.default_rng(seed)
    forecast = FlatForecast()
    next_s = rng.exponential(lull_s)
    for time_s in np.arange(0.0, until_s, 1.0).tolist():
        while next_s <= time_s:
            forecast.add_burst(next_s, float(rng.lognormal(2.0, 0.6)), 1.0)
            next_s += rng.exponential(lull_s)
        forecast.observe(time_s, 1.0, True)
    return forecast


def test_steady_bursts_are_no_trend() -> None:
    refused = 0
    for seed in range(12):
        estimate = _steady(20.0, 3000.0, seed=seed).estimate(3000.0)
        refused += estimate.why is not None and estimate.why.code == "no-trend"
        assert estimate.flat_probability in (None, 0.0)
    assert refused >= 10


def test_dense_steady_bursts_are_never_flat() -> None:
    forecast = _steady(30.0, 7200.0)
    assert not forecast.is_flat(7200.0)


def _calibrate(count: int, first_seed: int) -> list[Run]:
    runs = [judge(draw(np.random.default_rng(first_seed + i))) for i in range(count)]
    slack = 2.5 * math.sqrt(0.8 * 0.2 / count)
    # A median of n absolute errors scatters by 1.2 / sqrt(n) of itself, if they are normal; the
    # ratio of two by half as much again, less what they have in common.
    loose = 1.0 + 2.0 / math.sqrt(count)
    for share, most in ((0.3, 1.2), (0.5, 0.75), (0.7, 0.75), (0.9, 0.75)):
        result = score(runs, share)
        assert result.error <= most * loose * result.plain_error, share
        assert 0.75 - slack <= result.coverage <= 0.9 + slack, share
        if share >= 0.5:
            assert result.answered >= 0.92 - slack, share
    assert np.mean([r.called_at < 0.75 for r in runs]) <= 0.01 + slack / 4.0
    return runs


@pytest.mark.slow
@pytest.mark.timeout(600)
def test_calibration_where_bursts_are_few() -> None:
    runs = [
        judge(draw(np.random.default_rng(23000 + i), first_lull_s=SELDOM_S)) for i in range(150)
    ]
    slack = 2.5 * math.sqrt(0.8 * 0.2 / len(runs))
    for share in (0.5, 0.7, 0.9):
        result = score(runs, share)
        assert 0.75 - slack <= result.coverage <= 0.9 + slack, share
        assert result.answered >= 0.9 - slack, share


@pytest.mark.slow
@pytest.mark.timeout(600)
def test_bursts_that_come_as_often_as_ever_are_mostly_no_trend() -> None:
    answered = [
        _steady(lull_s, 3600.0, seed=seed).estimate(3600.0).why is None
        for lull_s in (15.0, 30.0, 60.0)
        for seed in range(25)
    ]
    assert np.mean(answered) < 0.2


def test_calibration_on_a_few_invented_runs() -> None:
    _calibrate(40, 20000)  # the first of the hundreds below


@pytest.mark.slow
@pytest.mark.timeout(600)
def test_calibration_on_some_hundred_invented_runs() -> None:
    runs = _calibrate(300, 20000)
    assert np.median([r.called_at for r in runs]) <= 1.15
