"""Pump hum that beats with the gauge's pace: a trace that swings evenly has no bursts in it.

Circuits and gauges of wide range, invented here.
"""

import numpy as np
import pytest

from analysis.gauge.swell import Swell
from analysis.ring import Ring
from tests.analysis.bursts_made import bursts_pa
from tests.analysis.read_by_gauge import MICRON_PA, Gauge, told_after


def _marks_on_a_swell(
    seed: int, periods_s: tuple[float, float], noises: tuple[float, float]
) -> int:
    """Fifteen quiet minutes with a swell between these periods, so many noises high."""
    rng = np.random.default_rng(seed)
    gauge = Gauge(
        interval_s=1.0 / rng.uniform(2.0, 10.0),
        lag_s=1e-3,
        noise_pa=MICRON_PA * np.exp(rng.uniform(np.log(0.2), np.log(2.0))),
        step_pa=0.1 * MICRON_PA,
    )
    period_s = np.exp(rng.uniform(*np.log(periods_s)))
    high_pa = gauge.noise_pa * np.exp(rng.uniform(*np.log(noises)))
    time_s = np.arange(0.0, 900.0, gauge.interval_s)
    level_pa = MICRON_PA * (rng.uniform(80.0, 200.0) + 1500.0 * np.exp(-time_s / 40.0))
    swell_pa = high_pa * np.sin(2.0 * np.pi * time_s / period_s)
    return told_after(time_s, gauge.read(rng, level_pa + swell_pa), 0.0)


def test_an_even_beat_is_no_boil_off() -> None:
    marks = [_marks_on_a_swell(seed, (1.5, 8.0), (2.0, 15.0)) for seed in range(24)]
    # The first swings may pass for bursts, until it is seen that they never rest. Before that was
    # looked at, these 24 had 1930 marks, then 24, and now 6.
    assert max(marks) <= 8, marks
    assert sum(marks) <= 40, marks


@pytest.mark.parametrize("seeds", [range(12), range(12, 24)], ids=["first", "second"])
def test_a_slow_swell_is_no_boil_off(seeds: range) -> None:
    marks = [_marks_on_a_swell(seed, (15.0, 90.0), (3.0, 60.0)) for seed in seeds]
    # Both together were 743 before a burst had to explain its rise better than a smooth course
    # does, and are 80 now, 33 of them in the first half.
    assert sum(marks) <= 60, marks


@pytest.mark.parametrize("seed", range(8))
def test_noise_and_bursts_do_not_swing(seed: int) -> None:
    rng = np.random.default_rng(seed)
    swell, samples = Swell(), Ring(256)
    time_s = np.arange(0.0, 600.0, 0.5)
    pressure_pa = 20.0 + rng.normal(0.0, 0.1, time_s.size)
    pressure_pa += bursts_pa(time_s, np.cumsum(rng.exponential(12.0, 45)), 3.0, 8.0)
    for at_s, pressure in zip(time_s.tolist(), pressure_pa.tolist(), strict=True):
        samples.append(at_s, pressure)
        assert swell.variance(samples, 0.01) == 0.01


def test_a_swing_counts_as_noise_of_its_own_size() -> None:
    swell, samples = Swell(), Ring(256)
    for k in range(200):
        samples.append(0.5 * k, 20.0 + 2.0 * np.sin(0.5 * np.pi * 0.5 * k))  # 4 s
        variance = swell.variance(samples, 0.01)
    # The variance of a sine is half its height squared; of two differences the larger tells.
    assert 2.0 <= variance <= 2.0 * 16.0 / 6.0 + 1e-9
