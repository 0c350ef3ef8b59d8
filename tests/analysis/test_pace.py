import math

import numpy as np
import pytest

from analysis.pace import Pace


def fed(times: np.ndarray, pressures: np.ndarray) -> Pace:
    pace = Pace()
    for time_s, pressure_pa in zip(times.tolist(), pressures.tolist(), strict=True):
        pace.update(time_s, pressure_pa)
    return pace


@pytest.mark.parametrize("rate_hz", [0.5, 2.0, 10.0])
def test_change_of_an_exponential_is_its_constant(rate_hz: float) -> None:
    times = np.arange(0, 700, 1 / rate_hz)
    pace = fed(times, 100 * np.exp(-times / 900))
    assert pace.change_per_s(300.0) == pytest.approx(-1 / 900, rel=0.02)


def test_absolute_change_of_a_straight_line() -> None:
    times = np.arange(0, 700, 0.5)
    pace = fed(times, 50 + 0.02 * times)
    assert pace.change_pa_per_s(300.0) == pytest.approx(0.02, rel=0.02)


def test_glitches_and_a_burst_hardly_move_it() -> None:
    times = np.arange(0, 700, 0.2)
    pressures = 100 * np.exp(-times / 900)
    pressures[::97] *= 50
    pressures += np.where(times > 500, 20 * np.exp(-np.clip(times - 500, 0, None) / 10), 0)
    change = fed(times, pressures).change_per_s(300.0)
    assert change == pytest.approx(-1 / 900, rel=0.1)


def test_a_shifted_clock_changes_nothing() -> None:
    rng = np.random.default_rng(3)
    times = np.cumsum(rng.uniform(0.1, 0.9, 2000))
    pressures = 80 + rng.normal(0, 1, times.size)
    levels = fed(times, pressures).levels(1000.0)
    shifted = fed(times + 12345.678, pressures).levels(1000.0)
    assert [p for _, p in levels] == [p for _, p in shifted]


def test_unknown_before_the_window_is_covered() -> None:
    times = np.arange(0, 100, 0.5)
    assert fed(times, np.full(times.size, 10.0)).change_per_s(300.0) is None


def test_memory_is_bounded_and_zero_pressure_is_no_fault() -> None:
    times = np.arange(0, 40000, 5.0)
    pace = fed(times, np.zeros(times.size))
    assert len(pace.levels(math.inf)) == 180
    assert pace.change_per_s(300.0) is None
    assert pace.change_pa_per_s(300.0) == 0.0
