import numpy as np
import pytest

from analysis.caution.fall import Fall

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


def test_a_trace_that_begins_low_tells_nothing() -> None:
    times = np.arange(0, 200, 0.5)
    assert not fed(times, np.full(times.size, 40 * MICRON)).is_too_fast


def test_one_glitch_is_no_fall() -> None:
    times = np.arange(0, 100, 0.5)
    pressures = 1e5 * np.exp(-times / 40)
    pressures[10] = 1.0
    assert not fed(times, pressures).is_too_fast


@pytest.mark.parametrize("bad_pa", [0.0, 0.5])
def test_some_bad_readings_in_a_row_are_no_fall(bad_pa: float) -> None:
    times = np.arange(0, 900, 0.5)
    pressures = 14.0 + 1e5 * np.exp(-times / 40)
    pressures[1000:1005] = bad_pa
    assert fed(times[:1005], pressures[:1005]).is_too_fast
    after, never = fed(times, pressures), fed(times, 14.0 + 1e5 * np.exp(-times / 40))
    assert not after.is_too_fast
    assert after.under_s(15.0) == pytest.approx(never.under_s(15.0))


def test_a_dip_from_which_it_is_back_at_once_is_no_fall() -> None:
    times = np.arange(0, 900, 0.2)
    pressures = 7.6 + 1e5 * np.exp(-times / 40)
    pressures[2100:2102] *= 0.6
    fall = fed(times, pressures)
    assert not fall.is_too_fast
    assert fall.came_back_s == pytest.approx(420.6, abs=0.3)
    shut = np.where(times < 420, pressures, 4.0 + 1e-4 * (times - 420) ** 2)  # air leaks in
    assert fed(times, shut).came_back_s == -np.inf


def test_some_readings_at_full_scale_are_no_fall_from_air() -> None:
    times = np.arange(0, 900, 0.5)
    pressures = 14.0 + 1e5 * np.exp(-times / 40)
    never = fed(times, pressures)
    for first in (600, 1000, 1030, 1060):
        pressures[first : first + 3] = 1.01325e5
    after = fed(times, pressures)
    assert not after.is_too_fast
    assert after.under_s(15.0) == pytest.approx(never.under_s(15.0))


def test_air_that_stays_is_a_new_fall() -> None:
    times = np.arange(0, 900, 0.5)
    pressures = 14.0 + 1e5 * np.exp(-times / 40)
    again = times >= 600
    pressures[again] = 4.0 + 1e5 * np.exp(-np.maximum(times[again] - 615, 0) / 0.5)
    assert fed(times, pressures).is_too_fast


def test_a_gauge_that_measures_seldom_proves_no_quick_fall() -> None:
    times = np.arange(0, 300, 0.1)
    measured = np.floor(times / 10) * 10
    circuit = 5.0 + 1e5 * np.exp(-measured / 6)
    assert not fed(times, circuit).is_too_fast


def test_a_trace_that_begins_at_2000_micron_is_judged_too() -> None:
    times = np.arange(0, 100, 0.5)
    assert fed(times, 4.0 + 260 * np.exp(-times / 0.7)).is_too_fast
    # 3 s is what 1 L behind the widest hose takes at 150 micron, where it is slowest.
    assert not fed(times, 12.0 + 260 * np.exp(-times / 3.0)).is_too_fast


def test_a_gap_in_the_fall_proves_nothing() -> None:
    times = np.concatenate([np.arange(0, 5, 0.5), np.arange(25, 60, 0.5)])
    assert not fed(times, np.where(times < 10, 9000.0, 4.0)).is_too_fast


def test_times_between_pressures_bracket_the_truth() -> None:
    times = np.arange(0, 400, 2.0)
    fall = fed(times, 9000 * np.exp(-times / 40))
    least, most = (fall.between_s(4000.0, 1000.0, at=at) for at in ("least", "most"))
    # In whole edges, a twentieth of ln P apart.
    truth_s = 2.0 * (np.floor(20 * np.log(4000)) - np.floor(20 * np.log(1000)))
    assert least is not None
    assert most is not None
    assert least <= truth_s <= most <= least + 8.0
    assert fall.between_s(1000.0, 1e-2, at="most") is None
