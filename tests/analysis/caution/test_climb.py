"""Levels that climb, and that step up and stay."""

import numpy as np

from analysis.caution.climb import Climb
from analysis.pace import Pace

MICRON = 0.133322


def climbing(pressures: np.ndarray, noise_pa: float) -> list[bool]:
    pace, climb, seen = Pace(), Climb(), []
    for second, pressure_pa in enumerate(pressures.tolist()):
        pace.update(float(second), pressure_pa)
        climb.look(pace, noise_pa)
        seen.append(climb.reason is not None)
    return seen


def test_a_stopped_pump_is_a_climb_and_pulling_again_ends_it() -> None:
    rng = np.random.default_rng(1)
    seconds = np.arange(900.0)
    level = 30 + 0.1 * (seconds - 300).clip(0, 300) - 0.2 * (seconds - 600).clip(0, 150)
    seen = climbing(level + rng.normal(0, 0.05, 900), 0.05)
    assert not any(seen[:300])
    assert all(seen[380:600])
    assert not any(seen[800:])


def test_no_climb_on_noise_nor_through_bursts() -> None:
    rng = np.random.default_rng(2)
    seconds = np.arange(7200.0)
    level = 40 + rng.normal(0, 0.1, 7200)
    for onset in range(100, 7200, 150):
        level += np.where(seconds >= onset, 8 * np.exp(-(seconds - onset).clip(0) / 50), 0)
    assert not any(climbing(level, 0.1))


def test_a_level_that_doubles_and_stays_is_told_however_small_the_rise() -> None:
    rng = np.random.default_rng(3)
    seconds = np.arange(2400.0)
    noise_pa = rng.normal(0, 0.1, 2400)
    leak_pa = 5.0 + np.where(seconds < 1200, 0.0, 18.0 * (1.0 - np.exp(-(seconds - 1200) / 4.0)))
    seen = climbing(leak_pa + noise_pa, 0.1)
    assert not any(seen[:1200])
    assert all(seen[1400:])
    # Bursts that pile up fall; a gauge that was off for three minutes comes back to where it was.
    burst_pa = 18.0 * np.exp(-(seconds - 1200).clip(0) / 200.0) * (seconds >= 1200)
    assert not any(climbing(5.0 + burst_pa + noise_pa, 0.1))
    off_pa = np.where((seconds > 1200) & (seconds < 1400), 1.0, 23.0)
    assert not any(climbing(off_pa + noise_pa, 0.1))


def test_a_valve_turned_a_little_is_no_climb() -> None:
    rng = np.random.default_rng(3)
    seconds = np.arange(900.0)
    for fall_s in (5.0, 15.0, 30.0):
        level = 20.0 * (1 + 0.4 * (1 - np.exp(-(seconds - 300).clip(0) / fall_s)))
        assert not any(climbing(level + rng.normal(0, 0.02, 900), 0.02))


def test_a_closed_valve_is_a_climb_even_through_bursts() -> None:
    # Cut off, the level rises by itself once in a fall time (30 s here), and bursts add to it.
    rng = np.random.default_rng(4)
    seconds = np.arange(600.0)
    level = 20.0 * (1 + (seconds - 300).clip(0) / 30.0)
    for onset in (310, 330, 352):
        level += np.where(seconds >= onset, 6.0, 0.0)
    seen = climbing(level + rng.normal(0, 0.05, 600), 0.05)
    assert not any(seen[:300])
    assert all(seen[375:])
