"""The noise of a hold read back from made-up noise, and the rounding that does not average out."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import lfilter

from analysis.hold.noise import pressure_scaling, read_noise, undithered_pa
from analysis.hold.trace import ThinnedHold


def _hold(pressure_pa: NDArray[np.floating], step_pa: float = 0.0) -> ThinnedHold:
    n = len(pressure_pa)
    t = 4.0 * np.arange(n, dtype=np.float64) + 2.0
    return ThinnedHold(
        t,
        np.asarray(pressure_pa, dtype=np.float64),
        None,
        np.full(n, 8.0),
        step_pa,
        4.0 * n,
        0.5,
        50.0,
    )


def test_white_noise_is_found_white() -> None:
    rng = np.random.default_rng(3)
    spreads = []
    for _ in range(20):
        noise = 0.2 * rng.standard_normal(200)
        found = read_noise(_hold(50 + noise), noise, 0.0)
        spreads.append(np.hypot(found.white_pa, found.wander_pa).mean())
    assert np.mean(spreads) == pytest.approx(0.2, rel=0.1)


def test_the_variance_of_a_mean_matches_ar1_theory() -> None:
    # Var of the mean of n AR(1) values with correlation a: s^2 / n (1 + a) / (1 - a) for large n
    # (Box and Jenkins, Time Series Analysis, chapter 2).
    rng, alike, n = np.random.default_rng(5), 0.8, 250
    theory = 0.1**2 / n * (1 + alike) / (1 - alike)
    found = []
    for _ in range(30):
        shocks = np.sqrt(1 - alike**2) * rng.standard_normal(n + 100)
        wander = 0.1 * lfilter([1.0], [1.0, -alike], shocks)[100:]
        hold = _hold(50 + wander)
        covariance = read_noise(hold, wander - wander.mean(), 0.0).covariance_pa2(hold.time_s)
        found.append(covariance.mean())
    assert np.median(found) == pytest.approx(theory, rel=0.4)


def test_noise_that_grows_with_the_pressure_is_seen() -> None:
    rng = np.random.default_rng(1)
    level = np.linspace(20, 200, 240)
    scale = pressure_scaling(level * (1 + 0.01 * rng.standard_normal(240)))
    assert scale[-20:].mean() / scale[:20].mean() > 4


def test_rounding_without_noise_is_step_over_root_twelve() -> None:
    # Widrow and Kollar, Quantization Noise: uniform error, step / sqrt(12).
    assert undithered_pa(1.2, 0.0) == pytest.approx(1.2 / np.sqrt(12))
    assert undithered_pa(0.0, 0.1) == 0.0


def test_noise_of_a_step_dithers_the_rounding_away() -> None:
    assert undithered_pa(1.0, 1.0) < 1e-6
