import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import expm
from scipy.stats import norm

from analysis.burst.pumpdown_filter import Drift, State, advance, shows_rate, start

Floats = NDArray[np.float64]
FALL_S, RISE_S = 20.0, 1.3


def matrix(state: State) -> tuple[Floats, Floats]:
    bb, bv, bs, bq, vv, vs, vq, ss, sq, qq = state[4:14]
    covariance = [[bb, bv, bs, bq], [bv, vv, vs, vq], [bs, vs, ss, sq], [bq, vq, sq, qq]]
    return np.array(state[:4]), np.array(covariance)


def flat(mean: Floats, covariance: Floats) -> State:
    return (*mean.tolist(), *covariance[np.triu_indices(4)].tolist(), None)


def random_state(rng: np.random.Generator) -> State:
    root = rng.normal(size=(4, 4))
    return flat(rng.uniform([30, -0.5, 0, 0], [90, 0.5, 5, 5]), root @ root.T)


@pytest.mark.parametrize("seed", range(20))
def test_equals_the_matrix_form_of_a_kalman_filter(seed: int) -> None:
    """Textbook Kalman filter, its vapour part by the matrix exponential (SciPy)."""
    rng = np.random.default_rng(seed)
    state = random_state(rng)
    mean, covariance = matrix(state)
    dt, variance, stray = float(rng.uniform(0.1, 3)), 0.2, 0.05
    # What is doubted in proportion to slope and vapour is taken out to compare the rest.
    mean[1] = mean[2] = mean[3] = 0.0
    drift = Drift(dt, variance, stray, wander=0.01)
    with_it, without, off, like, total = advance(
        flat(mean, covariance), 60.0, drift, FALL_S, RISE_S, 0.0
    )
    forward = np.eye(4)
    forward[0, 1] = dt
    forward[2:, 2:] = expm(np.array([[-1 / FALL_S, 1 / RISE_S], [0, -1 / RISE_S]]) * dt)
    walk = 0.01 * dt
    own = np.zeros((4, 4))
    own[:2, :2] = [[walk * dt * dt / 3 + stray * dt, walk * dt / 2], [walk * dt / 2, walk]]
    mean, covariance = forward @ mean, forward @ covariance @ forward.T + own
    np.testing.assert_allclose(matrix(without)[1], covariance, rtol=1e-9, atol=1e-12)
    seen = np.array([1.0, 0.0, 1.0, 0.0])
    spread = seen @ covariance @ seen + variance
    gain = covariance @ seen / spread
    assert total == pytest.approx(spread)
    assert off == pytest.approx((60.0 - seen @ mean) / np.sqrt(spread))
    density = norm.logpdf(60.0, seen @ mean, np.sqrt(spread))
    assert like - 0.5 * np.log(2 * np.pi) == pytest.approx(density)
    after = covariance - np.outer(gain, gain) * spread
    np.testing.assert_allclose(matrix(with_it)[0], mean + gain * (60.0 - seen @ mean), rtol=1e-9)
    np.testing.assert_allclose(matrix(with_it)[1], after, rtol=1e-7, atol=1e-9)


def test_a_burst_has_the_area_of_its_size_times_its_fall() -> None:
    state = flat(np.array([50.0, 0.0, 0.0, 4.0]), np.zeros((4, 4)))
    drift, area, top = Drift(0.05, 1.0, 0.0, 0.0), 0.0, 0.0
    for _ in range(8000):
        _, state, *_ = advance(state, 50.0, drift, FALL_S, RISE_S, 0.0)
        area += state[2] * 0.05
        top = max(top, state[2])
    assert area == pytest.approx(4.0 * FALL_S, rel=1e-3)
    peak_s = FALL_S * RISE_S / (FALL_S - RISE_S) * np.log(FALL_S / RISE_S)
    assert top == pytest.approx(4.0 * np.exp(-peak_s / FALL_S), rel=1e-3)


def test_the_base_line_ends_at_zero_and_not_below() -> None:
    state = flat(np.array([1000.0, -100.0, 0.0, 0.0]), np.zeros((4, 4)))
    for _ in range(1000):
        _, state, *_ = advance(state, 0.0, Drift(1.0, 1.0, 0.0, 0.0), FALL_S, RISE_S, 0.0)
        assert state[0] > -1e-2


def test_unequal_steps_and_equal_times_are_sound() -> None:
    state, rng = start(60.0, 0.01), np.random.default_rng(5)
    for dt in [0.0, 0.0, 5.0, 0.1, 600.0, 0.0, 0.3]:
        state, *_ = advance(
            state, 60.0 + float(rng.normal()), Drift(dt, 0.01, 1e-4, 1e-5), FALL_S, RISE_S, 0.5
        )
        assert np.isfinite(state[:14]).all()
        assert np.linalg.eigvalsh(matrix(state)[1]).min() > -1e-9


def test_the_rate_of_a_dying_slope_is_an_extended_kalman_filter() -> None:
    """Textbook form, with the derivatives by differences of the forecast itself."""
    rng = np.random.default_rng(3)
    root = rng.normal(size=(5, 5)) * np.array([0.3, 0.3, 0.3, 0.3, 0.02])[:, None]
    covariance, mean = root @ root.T, np.array([80.0, -9.0, 0.0, 0.0, 0.25])
    dt, variance = 0.8, 0.3

    def packed(x: Floats, p: Floats) -> State:
        fading = (x[4], p[0, 4], p[1, 4], p[2, 4], p[3, 4], p[4, 4])
        return (*flat(x[:4], p[:4, :4])[:14], fading)

    def forecast(x: Floats) -> Floats:
        drift = Drift(dt, variance, 0.0, 0.0)
        without = advance(packed(x, np.zeros((5, 5))), 0.0, drift, FALL_S, RISE_S, 0.0)[1]
        assert without[14] is not None
        return np.array([*without[:4], without[14][0]])

    forward = (
        np.stack([forecast(mean + d) - forecast(mean - d) for d in 1e-5 * np.eye(5)], 1) / 2e-5
    )
    drift = Drift(dt, variance, 0.0, 0.0)
    with_it, without, off, _, total = advance(
        packed(mean, covariance), 75.0, drift, FALL_S, RISE_S, 0.0
    )
    walk = (0.05 * 9.0) ** 2 * dt
    own = np.zeros((5, 5))
    own[:2, :2] = [[walk * dt * dt / 3, walk * dt / 2], [walk * dt / 2, walk]]
    own[4, 4] = (0.1 * 0.25) ** 2 * dt
    after = forward @ covariance @ forward.T + own
    np.testing.assert_allclose(matrix(without)[1], after[:4, :4], rtol=1e-6, atol=1e-9)
    assert without[14] is not None
    assert with_it[14] is not None
    np.testing.assert_allclose(without[14][1:], after[4], rtol=1e-6, atol=1e-9)
    seen = np.array([1.0, 0.0, 1.0, 0.0, 0.0])
    gain = after @ seen / (seen @ after @ seen + variance)
    x = forecast(mean) + gain * (75.0 - seen @ forecast(mean))
    np.testing.assert_allclose([*with_it[:4], with_it[14][0]], x, rtol=1e-6, atol=1e-9)
    last = after - np.outer(gain, gain) * total
    np.testing.assert_allclose(with_it[14][1:], last[4], rtol=1e-6, atol=1e-9)
    assert off == pytest.approx((75.0 - seen @ forecast(mean)) / np.sqrt(total))


@pytest.mark.parametrize("constant_s", [2.0, 5.0, 12.0])
def test_the_rate_of_an_exponential_fall_is_learned(constant_s: float) -> None:
    """V/S is the time constant of a fall towards an ultimate pressure at constant speed."""
    rng, dt = np.random.default_rng(4), 0.5
    state = start(340.0, 0.01)
    for i in range(1, int(6.0 * constant_s / dt)):
        level = 40.0 + 300.0 * np.exp(-i * dt / constant_s) + 0.1 * rng.standard_normal()
        state, *_ = advance(state, level, Drift(dt, 0.01, 1e-5, 1e-6), FALL_S, RISE_S, 0.0)
    assert state[14] is not None
    assert 1.0 / state[14][0] == pytest.approx(constant_s, rel=0.25)
    assert shows_rate(state, 0.01)
    assert not shows_rate(state, 100.0)


def test_a_rate_that_is_lost_in_the_slopes_own_doubt_is_given_up() -> None:
    """A straight fall has none; a fall that dies in ten seconds has one, and far over it."""
    rng, dt = np.random.default_rng(5), 0.5
    straight = start(300.0, 0.01)
    for i in range(1, 1200):
        level = 300.0 - 0.05 * i * dt + 0.1 * rng.standard_normal()
        straight, *_ = advance(straight, level, Drift(dt, 0.01, 1e-5, 1e-6), FALL_S, RISE_S, 0.0)
    dying = start(340.0, 0.01)
    for i in range(1, 40):
        level = 40.0 + 300.0 * np.exp(-i * dt / 10.0) + 0.1 * rng.standard_normal()
        dying, *_ = advance(dying, level, Drift(dt, 0.01, 1e-5, 1e-6), FALL_S, RISE_S, 0.0)
    assert straight[1] == pytest.approx(-0.05, rel=0.2)
    assert not shows_rate(straight, 0.01)
    assert shows_rate(dying, 0.01)
