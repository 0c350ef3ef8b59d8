"""A valve turned a little: the level jumps and stays, which no burst does.

Circuits of wide range that have boiled for ten minutes and then stand still, invented here.
"""

import numpy as np

from tests.analysis.read_by_gauge import MICRON_PA, drawn_gauge, told_after


def _marks_as_the_valve_is_turned(seed: int) -> int:
    rng = np.random.default_rng(seed)
    gauge = drawn_gauge(rng, 0.8, (0.1, 1.0, 2.0))
    rough_pa = max(gauge.noise_pa, gauge.step_pa)
    fall_s = np.exp(rng.uniform(np.log(8.0), np.log(60.0)))
    level_pa, turn_s = MICRON_PA * rng.uniform(40.0, 300.0), rng.uniform(0.1, 1.2)
    time_s = np.arange(0.0, 1000.0, gauge.interval_s)
    true_pa = level_pa * (1.0 + 2.0 * np.exp(-time_s / 150.0))
    for onset_s in np.arange(100.0, 600.0, 45.0):
        since_s = np.maximum(time_s - onset_s, 0.0)
        true_pa += 20.0 * rough_pa * (np.exp(-since_s / fall_s) - np.exp(-since_s / 0.5))
    jump_pa = rough_pa * np.exp(rng.uniform(np.log(4.0), np.log(40.0)))
    true_pa += jump_pa * np.clip((time_s - 800.0) / turn_s, 0.0, 1.0)
    return told_after(time_s, gauge.read(rng, true_pa), 790.0)


def test_a_level_that_jumps_and_stays_is_no_burst() -> None:
    marks = [_marks_as_the_valve_is_turned(seed) for seed in range(48, 96)]
    # Some are hardly over the noise, and within a minute no one can tell. It was 17 before a
    # fall was waited for, and before a step was let live beside the bursts it looks like.
    assert sum(marks) <= 7, marks
