"""A closed circuit that boils on, beside a pumped one with the same bursts that pile up."""

import numpy as np
import pytest

from analysis.gauge.staircase import foot_of_stairs

NOISE_PA = 0.05
CLOSED_S = 100.0
ONSETS_S = (40.0, 112.0, 140.0, 171.0, 196.0, 230.0)


def window(fall_s: float, *, is_closed: bool, seed: int = 1) -> list[tuple[float, float]]:
    """Levels every two seconds: the excess over 10 Pa falls, but for what comes after a closing."""
    rng = np.random.default_rng(seed)
    levels, excess_pa, time_s = [], 0.0, 0.0
    while time_s < 260.0:
        if not is_closed or time_s < CLOSED_S:
            excess_pa *= np.exp(-2.0 / fall_s)
        if any(time_s - 2.0 < onset_s <= time_s for onset_s in ONSETS_S):
            excess_pa += 3.0
        levels.append((time_s, 10.0 + excess_pa + float(rng.normal(0.0, 0.2 * NOISE_PA))))
        time_s += 2.0
    return levels


@pytest.mark.parametrize("fall_s", [8.0, 30.0, 90.0])
def test_steps_that_stay_are_a_closing(fall_s: float) -> None:
    closed = window(fall_s, is_closed=True)
    from_s = foot_of_stairs(closed, NOISE_PA, fall_s)
    assert from_s is not None
    # Nothing shows between the last fall and the first step that stays.
    assert CLOSED_S - 10.0 <= from_s <= ONSETS_S[1] + 2.0
    assert foot_of_stairs(window(fall_s, is_closed=False), NOISE_PA, fall_s) is None


@pytest.mark.parametrize("fall_s", [60.0, 150.0, 250.0])
def test_bursts_that_pile_up_are_none_though_nobody_knows_the_fall(fall_s: float) -> None:
    assert foot_of_stairs(window(fall_s, is_closed=False), NOISE_PA, None) is None


def test_one_step_that_stays_may_be_a_valve() -> None:
    levels = [(2.0 * i, 10.0 if i < 20 else 16.0) for i in range(160)]
    assert foot_of_stairs(levels, NOISE_PA, 20.0) is None


def test_too_short_to_tell() -> None:
    closed = window(90.0, is_closed=True)
    short = [(time_s, level_pa) for time_s, level_pa in closed if 100.0 < time_s < 150.0]
    assert foot_of_stairs(short, NOISE_PA, 200.0) is None
