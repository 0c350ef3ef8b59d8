"""What a shape explains of an excess over a forecast that errs itself, beside plain formulas."""

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.burst.excess import Excess, excess
from analysis.burst.explanation import Event
from analysis.burst.pumpdown_filter import State
from analysis.burst.rivals import fit_or_rival
from tests.analysis.sure_forecast import certain

Floats = NDArray[np.float64]
FALL_S, RISE_S, NOISE_PA = 100.0, 0.7, 0.1
TIMES_S = np.arange(90.0, 135.0, 0.5)
SINCE_S = TIMES_S - 100.0


def _event(level_pa: float, slope_pa_s: float, level_sd: float, slope_sd: float) -> Event:
    state: State = (
        level_pa, slope_pa_s, 0.0, 0.0,
        level_sd**2, 0.3 * level_sd * slope_sd, 0.0, 0.0, slope_sd**2, 0.0, 0.0, 0.0, 0.0, 0.0,
        None,
    )  # fmt: skip
    return Event("burst", 100.0, state, FALL_S, RISE_S, FALL_S, RISE_S)


def _over(pressure_pa: Floats, level_sd: float = 0.2, slope_sd: float = 0.02) -> Excess:
    event = _event(50.0, 0.0, level_sd, slope_sd)
    return excess(event, TIMES_S, pressure_pa, NOISE_PA**2)


def test_gain_is_that_of_generalised_least_squares() -> None:
    rng = np.random.default_rng(1)
    over = _over(50.0 + rng.normal(0.0, 1.0, TIMES_S.size))
    shapes = rng.normal(0.0, 1.0, (3, TIMES_S.size)) + 1.0
    shapes *= np.sign(shapes @ over.over_pa)[:, None]
    errors = np.stack([np.ones_like(SINCE_S), SINCE_S])
    spread = np.array([[0.2**2, 0.3 * 0.2 * 0.02], [0.3 * 0.2 * 0.02, 0.02**2]])
    covariance = NOISE_PA**2 * np.eye(TIMES_S.size) + errors.T @ spread @ errors
    inverse = NOISE_PA**2 * np.linalg.inv(covariance)
    cross = np.maximum(shapes @ inverse @ over.over_pa, 0.0)
    square = np.einsum("jn,nm,jm->j", shapes, inverse, shapes)
    gain, sizes = over.gain(shapes)
    assert sizes == pytest.approx(cross / square, rel=1e-6)
    assert gain == pytest.approx(cross**2 / square, rel=1e-6)
    assert over.square_pa2 == pytest.approx(over.over_pa @ inverse @ over.over_pa, rel=1e-6)
    right = shapes @ inverse @ over.over_pa
    together = right @ np.linalg.solve(shapes @ inverse @ shapes.T, right)
    assert over.gain_together(shapes) == pytest.approx(together, rel=1e-6)


def test_a_certain_forecast_is_plain_least_squares() -> None:
    over = certain(TIMES_S, np.sin(SINCE_S) + 0.5, 1.0)
    gain, sizes = over.gain(np.ones((1, TIMES_S.size)))
    assert sizes[0] == pytest.approx(over.over_pa.mean())
    assert gain[0] == pytest.approx(over.over_pa.sum() ** 2 / TIMES_S.size)
    assert over.square_pa2 == pytest.approx(over.over_pa @ over.over_pa)


def test_a_shape_that_the_forecast_may_err_by_gains_little() -> None:
    over = _over(50.0 + 0.03 * SINCE_S, slope_sd=0.03)
    ramp = np.maximum(SINCE_S, 0.0)[None]
    assert over.gain(ramp)[0][0] < 0.02 * certain(TIMES_S, over.over_pa, 1.0).gain(ramp)[0][0]


@pytest.mark.parametrize("seed", range(5))
def test_a_line_that_is_a_little_off_makes_no_valve_of_a_burst(seed: int) -> None:
    """A slow fall on a line that was drawn a little too low: as if it never fell."""
    on_s = np.maximum(SINCE_S, 0.0)
    fallen = 1.5 * (np.exp(-on_s / FALL_S) - np.exp(-on_s / RISE_S)) * (SINCE_S > 0.0)
    noise = np.random.default_rng(seed).normal(0.0, NOISE_PA, TIMES_S.size)
    over = _over(50.0 + 0.012 * SINCE_S + fallen + noise)
    assert fit_or_rival(certain(TIMES_S, over.over_pa, NOISE_PA**2), 100.0, 60.0, 0.5)[1]
    assert not fit_or_rival(over, 100.0, 60.0, 0.5)[1]


@pytest.mark.parametrize("variance", [1e-26, 1e-32])
def test_errors_of_any_size_beside_the_noise_are_whitened(variance: float) -> None:
    # A gauge that showed one value for so long that it seemed to have no noise.
    state: State = (
        49.6, -0.774, 0.569, 0.116,
        0.0354, 6.05e-4, -0.0354, -0.01115, 6.7e-4, -6.05e-4, -8.5e-4, 0.0354, 0.01115, 6.03e-3,
        (0.01254, 7.76e-7, -3.27e-7, -7.76e-7, 8.13e-7, 0.00186),
    )  # fmt: skip
    event = Event("burst", 0.0, state, 12.0, 3.5, 35.0, 3.5)
    for later_s in np.linspace(0.0, 0.1, 20):  # a root of the squares failed for half of them
        times_s = np.array([-1.44, -0.94, *(0.5 * np.arange(26.0) + later_s)])
        told = excess(event, times_s, np.full(times_s.size, 50.0), variance)
        sizes = np.linalg.svd(told.doubt, compute_uv=False)
        assert (sizes <= 1.0 + 1e-9).all()
        assert sizes[0] > 1.0 - 1e-9
