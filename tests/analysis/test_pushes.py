"""What events do to the filter's state, against matrices."""

import numpy as np
import pytest

from analysis.pushes import arrived, coming, moved, pushed, set_free
from tests.analysis.test_pumpdown_filter import flat, matrix, random_state

SEEDS = pytest.mark.parametrize("seed", range(5))


@SEEDS
@pytest.mark.parametrize("rise_s", [2.0, 30.0])
def test_a_turn_that_is_over_has_come_or_goes_on_as_a_slope(rise_s: float, seed: int) -> None:
    state = random_state(np.random.default_rng(seed))
    mean, covariance = matrix(state)
    forward = np.eye(4)
    forward[3, 3] = 0.0
    place, share = (0, 1.0) if rise_s < 5.0 else (1, 1.0 / rise_s)
    forward[place, 3] = share
    expected = forward @ covariance @ forward.T
    if place == 1:  # a slope that dies again is not known for long
        expected[1, 1] += (share * mean[3]) ** 2
    over_mean, over_covariance = matrix(arrived(state, rise_s))
    np.testing.assert_allclose(over_mean, forward @ mean, atol=1e-12)
    np.testing.assert_allclose(over_covariance, expected, atol=1e-12)


@SEEDS
def test_a_push_adds_variance_and_nothing_else(seed: int) -> None:
    state = random_state(np.random.default_rng(seed))
    mean, covariance = matrix(state)
    for after, added in (
        (pushed(state, 8, 3.0), [0.0, 3.0, 0.0, 0.0]),
        (set_free(state, 2.0, 5.0), [0.0, 0.0, 4.0, 25.0]),
        (moved(state, 2.0, 5.0), [4.0, 0.0, 0.0, 25.0]),
    ):
        np.testing.assert_array_equal(matrix(after)[0], mean)
        np.testing.assert_allclose(matrix(after)[1], covariance + np.diag(added))
    assert flat(*matrix(state))[:14] == state[:14]


def test_what_may_come_in_all_is_the_more_the_slower_it_comes() -> None:
    assert coming(2.0, 0.1, 0.5, 0.7) == pytest.approx(2.0 / (1.0 - np.exp(-0.5 / 0.7)))
    assert coming(2.0, 0.1, 0.5, 20.0) > 10.0 * coming(2.0, 0.1, 0.5, 0.7)
    assert coming(0.0, 0.1, 0.5, 0.7) == 1.0  # ten times the noise at least
