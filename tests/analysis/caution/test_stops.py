"""Stops of the fall: sharp and at the triple point as ice makes them, smooth as pumps do."""

import numpy as np
import pytest

from analysis.caution.boil import Boil
from analysis.caution.fall import Fall
from analysis.caution.stops import has_frozen, has_stopped
from analysis.water import TRIPLE_POINT_PA, pressure_over_ice_pa

TIMES_S = np.arange(0.0, 1500.0, 0.5)
LEVEL_PA = 250.0  # ice at about -10 C, IAPWS R14-08


def fed(pressures_pa: np.ndarray, seed: int = 1) -> Fall:
    """A fall with 3 parts in 1000 of noise, rounded to a micron."""
    rng = np.random.default_rng(seed)
    noisy = pressures_pa * (1.0 + 0.003 * rng.standard_normal(pressures_pa.size))
    fall = Fall()
    for time_s, pressure_pa in zip(TIMES_S.tolist(), noisy.tolist(), strict=True):
        fall.update(time_s, round(pressure_pa / 0.1333224) * 0.1333224)
    return fall


def stops(fall: Fall, boil: Boil | None = None) -> bool:
    return has_stopped(fall, boil or Boil(600.0), LEVEL_PA, TIMES_S[-1])


@pytest.mark.parametrize("fall_s", [15.0, 40.0, 150.0])
def test_a_leak_is_neared_smoothly(fall_s: float) -> None:
    assert not stops(fed(LEVEL_PA + 1.2e4 * np.exp(-TIMES_S / fall_s)))
    # Through a viscous hose, dP/dt = -(P^2 - L^2) / (L fall): P = L coth(t / fall + c).
    assert not stops(fed(LEVEL_PA / np.tanh(TIMES_S / fall_s + 0.02)))


@pytest.mark.parametrize("power", [0.5, 1.0])
def test_gas_that_fades_over_a_leak_is_smooth_too(power: float) -> None:
    fading = 3.0 * LEVEL_PA * (1.0 + TIMES_S / 60.0) ** -power
    assert not stops(fed(LEVEL_PA + fading + 1e4 * np.exp(-TIMES_S / 8.0)))


@pytest.mark.parametrize("fall_s", [60.0, 150.0])
def test_ice_stops_the_fall_at_once(fall_s: float) -> None:
    assert stops(fed(np.maximum(1.2e4 * np.exp(-TIMES_S / fall_s), LEVEL_PA)))
    faded = 4e4 / (1.0 + TIMES_S / 4.0)
    assert stops(fed(np.maximum(faded, 1.1 * LEVEL_PA - 0.02 * TIMES_S)))


def test_a_level_that_bursts_had_raised_is_no_stop() -> None:
    boil = Boil(600.0)
    for onset_s in range(10, 200, 5):
        boil.add(float(onset_s))
    assert not stops(fed(np.maximum(1.2e4 * np.exp(-TIMES_S / 40.0), LEVEL_PA)), boil)


@pytest.mark.parametrize("factor", [1.0, 1.5])
def test_freezing_is_a_stop_at_the_triple_point_on_the_way(factor: float) -> None:
    cooling = pressure_over_ice_pa(-12.0) + (TRIPLE_POINT_PA - pressure_over_ice_pa(-12.0)) * (
        np.exp(-np.maximum(TIMES_S - 160.0, 0.0) / 60.0)
    )
    level = np.where(TIMES_S < 40.0, 2339.0 * np.exp(-TIMES_S / 29.8), cooling)
    fall = fed(factor * np.maximum(level, 1e5 * np.exp(-TIMES_S / 4.0)))
    assert has_frozen(fall, factor * pressure_over_ice_pa(-12.0))
    assert not has_frozen(fall, 10.0), "far under all ice it may have dried there"


def test_a_stand_there_to_the_end_is_not_yet_freezing() -> None:
    fall = fed(TRIPLE_POINT_PA + 1e5 * np.exp(-TIMES_S / 8.0))
    assert not has_frozen(fall, TRIPLE_POINT_PA)
