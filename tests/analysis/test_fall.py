import numpy as np
import pytest

from analysis.fall import Fall

MICRON = 0.133322


def fed(times: np.ndarray, pressures: np.ndarray) -> Fall:
    fall = Fall()
    for time_s, pressure_pa in zip(times.tolist(), pressures.tolist(), strict=True):
        fall.update(time_s, pressure_pa)
    return fall


@pytest.mark.parametrize("rate_hz", [1.0, 5.0, 20.0])
def test_only_a_gauge_without_a_circuit_falls_in_seconds(rate_hz: float) -> None:
    times = np.arange(0, 200, 1 / rate_hz)
    shut = 25 * MICRON + 1e5 * np.exp(-times / 0.4)
    assert fed(times, shut).is_too_fast
    circuit = 150 * MICRON + 1e5 * np.exp(-times / 3.0) + 60 * MICRON / (1 + times / 300)
    assert not fed(times, circuit).is_too_fast


def test_a_slow_gauge_behind_a_shut_valve_stands_still_once_down() -> None:
    # A gauge with 3 s of lag takes half a minute down, but then nothing moves any more.
    times = np.arange(0, 200, 0.5)
    assert fed(times, 30 * MICRON + 1e5 * np.exp(-times / 2.0)).is_too_fast


def test_a_trace_that_begins_low_tells_nothing() -> None:
    times = np.arange(0, 200, 0.5)
    assert not fed(times, np.full(times.size, 40 * MICRON)).is_too_fast


def test_one_glitch_is_no_fall() -> None:
    times = np.arange(0, 100, 0.5)
    pressures = 1e5 * np.exp(-times / 40)
    pressures[10] = 1.0
    assert not fed(times, pressures).is_too_fast


@pytest.mark.parametrize(("tau_s", "is_slow"), [(20.0, False), (400.0, True)])
def test_arrival_at_a_level(tau_s: float, is_slow: bool) -> None:
    times = np.arange(0, 4000, 1.0)
    fall = fed(times, 250 + 2000 * np.exp(-times / tau_s))
    assert fall.is_slow_arrival(250.0, None) is is_slow
