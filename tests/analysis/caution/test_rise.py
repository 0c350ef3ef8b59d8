import numpy as np
import pytest

from analysis.caution.rise import Climb, SuddenRise
from analysis.pace import Pace

MICRON = 0.133322


def sudden(times: np.ndarray, pressures: np.ndarray) -> list[float]:
    """When a sudden rise was first seen, and when it was over."""
    watch, changes = SuddenRise(), []
    for time_s, pressure_pa in zip(times.tolist(), pressures.tolist(), strict=True):
        was_high = watch.is_high
        watch.update(time_s, pressure_pa)
        if watch.is_high != was_high:
            changes.append(time_s)
    return changes


@pytest.mark.parametrize("rate_hz", [0.5, 2.0, 20.0])
def test_air_is_seen_within_seconds_and_its_end_too(rate_hz: float) -> None:
    times = np.arange(0, 400, 1 / rate_hz)
    pressures = np.where((times >= 200) & (times < 300), 4000.0, 30.0)
    begun, ended = sudden(times, pressures)
    assert 200 <= begun <= 200 + max(5.0, 4 / rate_hz)
    assert 300 <= ended <= 300 + max(3.0, 3 / rate_hz)


def test_a_large_burst_and_a_glitch_are_none() -> None:
    times = np.arange(0, 400, 0.2)
    pressures = np.full(times.size, 60 * MICRON)
    pressures += np.where(times > 100, 100 * MICRON * np.exp(-(times - 100).clip(0) / 60), 0)
    pressures[1500] = 1e5
    assert sudden(times, pressures) == []


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


def test_a_gauge_that_drops_out_for_two_seconds_makes_no_rise() -> None:
    times = np.arange(0, 400, 0.9)
    pressures = np.where((times > 200) & (times < 202), 0.0, 123 * MICRON)
    assert sudden(times, pressures) == []


def test_a_doubling_that_holds_is_a_rise_and_a_burst_is_not() -> None:
    times = np.arange(0, 400, 0.5)
    held = np.where(times < 200, 100 * MICRON, 320 * MICRON)
    (begun,) = sudden(times, held)
    assert 210 <= begun <= 216
    since = (times - 200).clip(0)
    burst = 100 * MICRON + np.where(times < 200, 0.0, 220 * MICRON * np.exp(-since / 40))
    assert sudden(times, burst) == []


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


def test_air_that_is_pumped_away_again_is_over_though_the_level_stays_higher() -> None:
    # Damp air: from 30 Pa to 4000 Pa, and back to 60 Pa only.
    times = np.arange(0, 900, 0.5)
    since = (times - 200).clip(0)
    pressures = np.where(times < 200, 30.0, 60.0 + 4000.0 * np.exp(-since / 40.0))
    begun, ended = sudden(times, pressures)
    assert 200 <= begun <= 205
    assert 285 <= ended <= 310  # a tenth of the height after 2.3 fall times


def test_what_was_meant_is_forgotten() -> None:
    watch = SuddenRise()
    for second in range(60):
        watch.update(float(second), 30.0 if second < 40 else 4000.0)
    assert watch.is_high
    watch.forget()
    assert not watch.is_high
    for second in range(60, 120):
        watch.update(float(second), 4000.0)
    assert not watch.is_high
