import numpy as np
import pytest
from scipy import stats

from analysis.flat.trend import (
    laplace_statistic,
    lewis_robinson_statistic,
    local_variation,
    reversal_p_value,
    reversals,
)
from tests.analysis.published import COAL, GEYSER, NIST, SUBMARINE


def test_laplace_on_the_handbook_example() -> None:
    # Data: NIST/SEMATECH e-Handbook 8.2.2.3; value computed from the formula in 8.2.3.4.
    statistic = laplace_statistic(NIST, 1500.0)
    assert statistic == pytest.approx(-1.32695, abs=5e-6)
    assert stats.norm.cdf(statistic) == pytest.approx(0.0923, abs=5e-5)


def test_laplace_on_coal_mining_disasters() -> None:
    # R package boot, coal; value computed from the formula.
    assert laplace_statistic(COAL, 1963.0, start_s=1851.0) == pytest.approx(-7.678, abs=2e-3)


def test_laplace_sees_an_engine_deteriorate() -> None:
    # Meeker and Escobar (1998), submarine engine: failures grow more frequent.
    assert laplace_statistic(SUBMARINE, 25.518, ends_at_event=True) > 4.0


def test_a_geyser_has_no_trend() -> None:
    # R package MASS, geyser; value computed from the formula.
    times = np.cumsum(GEYSER)
    statistic = laplace_statistic(times, float(times[-1]), ends_at_event=True)
    assert statistic == pytest.approx(-0.131, abs=5e-4)


def test_reversals_of_the_handbook_example() -> None:
    # NIST/SEMATECH e-Handbook 8.2.3.4: 33 reversals among 10 times.
    lulls = np.diff(NIST, prepend=0.0)
    assert reversals(lulls) == 33


@pytest.mark.parametrize(("count", "level"), [(31, 0.10), (33, 0.05), (36, 0.01)])
def test_critical_values_of_reversals(count: int, level: float) -> None:
    # NIST/SEMATECH e-Handbook 8.2.3.4, table for r = 10.
    assert reversal_p_value(count, 10) <= level < reversal_p_value(count - 1, 10)


def test_reversals_agree_with_kendalls_tau() -> None:
    lulls = np.random.default_rng(3).exponential(size=12)
    tau = stats.kendalltau(np.arange(12), lulls, method="exact", alternative="greater")
    count = reversals(lulls)
    assert count == round((tau.statistic + 1.0) * 12 * 11 / 4)
    assert reversal_p_value(count, 12) == pytest.approx(tau.pvalue, rel=1e-9)


def test_exact_and_approximate_reversals_join() -> None:
    for count in (900, 960, 1020):
        mean, variance = 60 * 59 / 4, 125 * 59 * 60 / 72
        rough = stats.norm.sf((count - 0.5 - mean) / np.sqrt(variance))
        assert reversal_p_value(count, 60) == pytest.approx(rough, abs=1e-3)
    assert 0.0 < reversal_p_value(1000, 61) < 1.0


@pytest.mark.parametrize("shape", [0.5, 1.0, 4.0])
def test_lewis_robinson_allows_for_the_spacing(shape: float) -> None:
    rng = np.random.default_rng(11)
    statistics = []
    for _ in range(300):
        times = np.cumsum(rng.gamma(shape, 1.0 / shape, 150))
        times = times[times < 100.0]
        statistics.append(lewis_robinson_statistic(times, 100.0))
    assert np.std(statistics) == pytest.approx(1.0, abs=0.15)
    # A renewal process that starts at time zero has its first events a little late.
    assert np.mean(statistics) == pytest.approx(0.0, abs=0.4)


@pytest.mark.parametrize("shape", [0.5, 1.0, 4.0])
def test_local_variation_of_gamma_lulls(shape: float) -> None:
    # Shinomoto, Shima and Tanji (2003): its mean is 3 / (2 shape + 1).
    lulls = np.random.default_rng(5).gamma(shape, size=20000)
    assert local_variation(lulls) == pytest.approx(3.0 / (2.0 * shape + 1.0), rel=0.03)
    slowing = lulls * np.exp(np.linspace(0.0, 4.0, lulls.size))
    assert local_variation(slowing) == pytest.approx(local_variation(lulls), rel=0.01)


def test_too_little_to_judge_is_refused() -> None:
    with pytest.raises(ValueError, match="event"):
        laplace_statistic([], 10.0)
    with pytest.raises(ValueError, match="three"):
        lewis_robinson_statistic([1.0, 2.0], 10.0)
    with pytest.raises(ValueError, match="equal"):
        lewis_robinson_statistic([1.0, 2.0, 3.0], 10.0)
    with pytest.raises(ValueError, match="two"):
        local_variation([1.0])
