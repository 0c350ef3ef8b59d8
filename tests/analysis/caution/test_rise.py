import numpy as np
import pytest

from analysis.caution.rise import SuddenRise

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
