import numpy as np
import pytest

from analysis.crossing import Crossings


def _crossings(weight: list[float]) -> Crossings:
    count = len(weight)
    return Crossings(
        crossing_s=100.0 * np.arange(1.0, count + 1.0),
        weight=np.array(weight),
        total=np.concatenate([[0.0], np.cumsum(weight)]),
        look_s=np.arange(3.0),
        log_rate=np.outer(np.arange(1.0, count + 1.0), np.ones(3)),
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
