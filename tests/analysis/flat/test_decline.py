import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import optimize, stats

from analysis.flat.decline import RATE_ORIGINS_S, Decline, fit_decline
from analysis.flat.intensity import fit_exponential
from analysis.flat.tally import BurstTally, Tally

Array = NDArray[np.float64]


def _tally(onset_s: Array, rise_pa: Array, until_s: float, smallest_pa: float) -> Tally:
    tally = BurstTally()
    index = 0
    for time_s in np.arange(0.0, until_s + 0.5, 1.0).tolist():
        while index < onset_s.size and onset_s[index] <= time_s:
            tally.add(float(onset_s[index]), float(rise_pa[index]), smallest_pa)
            index += 1
        tally.observe(time_s, smallest_pa, True)
    return tally.table()


def _exponential(seed: int, *, smallest_pa: float, count: float = 2000.0) -> Tally:
    """3 e-folds of rate and 1 of size in 3000 s; sizes about 10 Pa, spread 0.6."""
    rng = np.random.default_rng(seed)
    share = np.sort(rng.random(rng.poisson(count)))
    onset_s = -np.log1p(-share * (1.0 - np.exp(-3.0))) * 1000.0
    rise_pa = 10.0 * np.exp(-onset_s / 3000.0 + 0.6 * rng.normal(size=onset_s.size))
    visible = rise_pa >= smallest_pa
    return _tally(onset_s[visible], rise_pa[visible], 3000.0, smallest_pa)


def test_with_every_burst_visible_it_is_the_exponential_fit() -> None:
    rng = np.random.default_rng(1)
    onset_s = -np.log1p(-np.sort(rng.random(1500)) * (1.0 - np.exp(-3.0))) * 1000.0
    table = _tally(onset_s, np.full(1500, 10.0), 3000.0, 1e-3)
    since_s = onset_s[1:] - onset_s[0]
    law = fit_exponential(since_s, 3000.0 - onset_s[0])
    fit = fit_decline(table, 3000.0 - onset_s[0], 1.0)
    a, b = fit.best[0, :2]
    assert -b / fit.end_s == pytest.approx(law.beta_per_s, rel=0.01)
    assert a == pytest.approx(law.alpha, abs=0.02)


def test_the_share_below_sight_is_accounted_for() -> None:
    table = _exponential(2, smallest_pa=6.0)
    assert table.count.sum() < 1500  # a good part was not visible
    fit = fit_decline(table, 3000.0, 1.0)
    _a, b, _gamma, delta, h = fit.best[0]
    deviation = np.sqrt(np.diag(fit.spread[0] @ fit.spread[0].T))
    assert abs(b - 3.0) < 3.0 * deviation[1]
    assert abs(delta - 1.0 / 0.6) < 3.0 * deviation[3]
    assert abs(h - 1.0 / 0.6) < 3.0 * deviation[4]
    assert deviation[1] < 0.6


def _log_density(theta: Array, table: Tally, end_s: float) -> float:
    """The exponential hypothesis' likelihood, written out anew burst bin by burst bin."""
    a, b, gamma, delta, h = theta
    level = table.log_smallest - table.log_smallest[-1]
    x = table.since_s / end_s
    z = gamma - delta * x - h * level
    rate = np.exp(a - b * x)
    total = float(np.sum(table.count * (a - b * x) - table.watched_s * rate * stats.norm.cdf(z)))
    zero = table.log_smallest[-1]
    first = table.log_rise - zero * table.count
    second = table.log_rise_squared - 2 * zero * table.log_rise + zero**2 * table.count
    mean = gamma - delta * x
    total += float(table.count.sum() * np.log(h))
    total -= 0.5 * float(np.sum(h**2 * second - 2 * h * mean * first + mean**2 * table.count))
    return total


def test_the_top_is_where_scipy_finds_it() -> None:
    table = _exponential(3, smallest_pa=4.0)
    fit = fit_decline(table, 3000.0, 1.0)
    found = optimize.minimize(
        lambda t: -_log_density(t, table, 3000.0), fit.best[0] + 0.1, method="Nelder-Mead",
        options={"maxiter": 4000, "xatol": 1e-6, "fatol": 1e-8},
    )  # fmt: skip
    deviation = np.sqrt(np.diag(fit.spread[0] @ fit.spread[0].T))
    # The weak assumptions, which SciPy was not told of, move it by a small part of its spread.
    assert (np.abs(fit.best[0] - found.x) < 0.25 * deviation).all()


def test_the_spread_covers_the_scatter_over_runs() -> None:
    slopes, spreads = [], []
    for seed in range(30):
        fit = fit_decline(_exponential(100 + seed, smallest_pa=4.0, count=400.0), 3000.0, 1.0)
        slopes.append(fit.best[0, 1])
        spreads.append(np.sqrt((fit.spread[0] @ fit.spread[0].T)[1, 1]))
    assert np.mean(spreads) == pytest.approx(np.std(slopes), rel=0.45)
    assert np.mean(slopes) == pytest.approx(3.0, abs=0.2)


def test_starting_from_an_earlier_fit_changes_nothing() -> None:
    table = _exponential(4, smallest_pa=4.0)
    cold = fit_decline(table, 3000.0, 0.5)
    early = fit_decline(_exponential(5, smallest_pa=3.0, count=60.0), 2000.0, 1.0)
    warm = fit_decline(table, 3000.0, 0.5, early)
    matters = cold.log_evidence > cold.log_evidence.max() - 15.0
    np.testing.assert_allclose(warm.best[matters], cold.best[matters], atol=0.02)
    np.testing.assert_allclose(warm.log_evidence[matters], cold.log_evidence[matters], atol=0.02)
    assert not (warm.log_evidence > cold.log_evidence.max() - 15.0)[~matters].any()


def _favourite(fit: Decline) -> float:
    return float(RATE_ORIGINS_S[int(np.argmax(fit.log_evidence))])


def test_evidence_tells_the_laws_apart() -> None:
    rng = np.random.default_rng(6)
    exponential = fit_decline(_exponential(6, smallest_pa=0.5), 3000.0, 1.0)
    assert _favourite(exponential) == np.inf
    # Rate proportional to 1 / (t + 20 s): clock ln(1 + t / 20 s).
    onset_s = 20.0 * np.expm1(np.sort(rng.random(600)) * np.log1p(3000.0 / 20.0))
    power = fit_decline(_tally(onset_s, np.full(600, 10.0), 3000.0, 1.0), 3000.0, 1.0)
    assert 2.0 <= _favourite(power) <= 200.0


def test_regular_spacing_narrows_and_irregular_widens() -> None:
    table = _exponential(7, smallest_pa=0.5)
    spreads = [
        np.sqrt((fit.spread[0] @ fit.spread[0].T)[1, 1])
        for fit in (fit_decline(table, 3000.0, dispersion) for dispersion in (0.25, 1.0, 2.0))
    ]
    assert spreads[1] / spreads[0] == pytest.approx(2.0, rel=0.1)
    assert spreads[2] / spreads[1] == pytest.approx(np.sqrt(2.0), rel=0.1)
