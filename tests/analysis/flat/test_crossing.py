import numpy as np
import pytest
from scipy.stats import poisson

from analysis.flat.crossing import Crossings, _last_fall


def _crossings(weight: list[float]) -> Crossings:
    count = len(weight)
    return Crossings(
        crossing_s=100.0 * np.arange(1.0, count + 1.0),
        weight=np.array(weight),
        total=np.concatenate([[0.0], np.cumsum(weight)]),
        look_s=np.arange(3.0),
        log_rate=np.outer(np.arange(1.0, count + 1.0), np.ones(3)),
        is_power=np.arange(count) % 2 == 1,
    )


@pytest.mark.parametrize("share", [0.05, 0.1, 0.45, 0.5, 0.9, 0.999])
def test_a_share_is_reached_when_its_probability_first_is(share: float) -> None:
    crossings = _crossings([0.1, 0.3, 0.2, 0.4])
    at_s = crossings.reached_s(share)
    assert crossings.probability(at_s) >= share
    assert crossings.probability(at_s - 0.001) < share


def test_lulls_are_hazens_quantiles_of_equally_weighted_points() -> None:
    crossings = _crossings([0.01] * 100)
    shares = (0.1, 0.5, 0.9)
    lulls = crossings.lull_quantiles(shares)
    expected = np.quantile(-np.arange(1.0, 101.0), shares, method="hazen")
    assert np.log(lulls[:, 0]) == pytest.approx(expected, rel=1e-9)


def test_the_latest_is_that_of_a_lognormal() -> None:
    crossings = _crossings([0.1, 0.3, 0.2, 0.4])
    log_s = np.log([100.0, 200.0, 300.0, 400.0])
    mean = np.average(log_s, weights=[0.1, 0.3, 0.2, 0.4])
    sd = np.sqrt(np.average((log_s - mean) ** 2, weights=[0.1, 0.3, 0.2, 0.4]))
    assert crossings.latest_s(2.5) == pytest.approx(np.exp(mean + 2.5 * sd))
    power = np.average(log_s[[1, 3]], weights=[3.0, 4.0])
    assert crossings.latest_by_power_s(0.0) == pytest.approx(np.exp(power))
    assert _crossings([1.0, 0.0]).latest_by_power_s(0.0) == 0.0


def test_what_was_seen_weighs_the_points_as_poisson_counts_do() -> None:
    crossings = Crossings(
        crossing_s=np.array([100.0, 200.0, 300.0]),
        weight=np.array([0.2, 0.5, 0.3]),
        total=np.array([0.0, 0.2, 0.7, 1.0]),
        look_s=np.array([0.0, 1000.0, 2000.0]),
        log_rate=np.log(np.array([[0.02, 0.01, 0.002], [0.03, 0.015, 0.01], [0.04, 0.03, 0.02]])),
        is_power=np.zeros(3, dtype=np.bool_),
    )
    weighed = crossings.seen(900.0, 1100.0, count=4, watched_s=150.0, dispersion=1.0)
    expected = crossings.weight * poisson.pmf(4, 150.0 * np.array([0.01, 0.015, 0.03]))
    assert weighed.weight == pytest.approx(expected / expected.sum())
    assert weighed.total[-1] == pytest.approx(1.0)
    regular = crossings.seen(900.0, 1100.0, count=4, watched_s=150.0, dispersion=0.5)
    assert regular.worth < weighed.worth < crossings.worth


def test_a_stretch_in_which_little_could_be_seen_is_no_decline() -> None:
    look_s = np.array([0.0, 100.0, 200.0, 400.0, 800.0])
    blind_at_first = np.array([[-9.0, 1.0, -9.0, 1.0, -1.0], [-2.0, -3.0, -3.0, -3.0, -4.0]])
    crossing_s, _ = _last_fall(blind_at_first, look_s, np.zeros(2))
    assert crossing_s == pytest.approx([600.0, 0.0])  # never above: from the first burst on
