import numpy as np
import pytest

from analysis.burst.shape import has_risen


def seen(pressure_pa: np.ndarray, rise_pa: float, peak_s: float = 11.0) -> bool:
    times = np.arange(0.0, 25.0, 0.5)
    return has_risen(times, pressure_pa, onset_s=10.0, peak_s=peak_s, rise_pa=rise_pa)


TIMES = np.arange(0.0, 25.0, 0.5)
BURST = np.where(TIMES >= 10, 5 * np.exp(-(TIMES - 10).clip(0) / 40), 0.0)


@pytest.mark.parametrize("slope_pa_s", [0.0, -0.2, -1.0])
def test_a_burst_on_a_falling_line_has_risen(slope_pa_s: float) -> None:
    assert seen(60 + slope_pa_s * TIMES + BURST, 5.0)


def test_a_level_that_sinks_has_not() -> None:
    sinking = 60 - np.where(TIMES >= 10, 6 * -np.expm1(-(TIMES - 10).clip(0) / 3), 0.0)
    assert not seen(sinking, 5.0)


def test_a_slope_that_goes_on_is_no_rise() -> None:
    assert not seen(60 + 0.0 * TIMES, 5.0)


def test_too_little_to_look_at_leaves_it_to_the_explanations() -> None:
    assert has_risen(np.array([10.0]), np.array([5.0]), onset_s=10.0, peak_s=11.0, rise_pa=5.0)


def test_just_after_a_step_the_readings_alone_count() -> None:
    times = np.arange(6.0, 25.0, 0.5)
    levelling = 60 + 12 * np.exp(-(times - 6) / 6)
    assert has_risen(times, levelling, onset_s=10.0, peak_s=14.0, rise_pa=5.0)
    assert not has_risen(times, levelling, onset_s=10.0, peak_s=14.0, rise_pa=5.0, is_settled=False)
