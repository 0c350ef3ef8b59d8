import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.gauge.noise import NoiseEstimator

Floats = NDArray[np.floating]


def run(times_s: Floats, pressures_pa: Floats) -> NoiseEstimator:
    noise = NoiseEstimator()
    for time_s, pressure_pa in zip(times_s.tolist(), pressures_pa.tolist(), strict=True):
        noise.update(time_s, pressure_pa)
    return noise


def white(count: int, sigma_pa: float, seed: int = 0) -> Floats:
    return np.asarray(np.random.default_rng(seed).normal(0.0, sigma_pa, count))


@pytest.mark.parametrize("interval_s", [0.05, 0.3, 2.0])
def test_equals_the_standard_deviation_of_white_noise(interval_s: float) -> None:
    count = 6000 if interval_s < 0.1 else 1000
    ends = []
    for seed in range(5):
        noise = run(np.arange(count) * interval_s, 40.0 + white(count, 0.3, seed)).noise_pa
        assert noise is not None
        ends.append(noise)
    assert np.mean(ends) == pytest.approx(0.3, rel=0.06)
    assert max(ends) < 0.3 * 1.3
    assert min(ends) > 0.3 * 0.7


def test_irregular_sampling_changes_nothing() -> None:
    times_s = np.cumsum(np.random.default_rng(3).exponential(1.0, 1500))
    assert run(times_s, 40.0 + white(1500, 0.3)).noise_pa == pytest.approx(0.3, rel=0.2)


def test_slope_and_curvature_are_no_noise() -> None:
    times_s = np.arange(600) * 0.5
    falling = 2000.0 * np.exp(-times_s / 60.0) - 0.5 * times_s + 300.0
    assert run(times_s, falling + white(600, 0.3)).noise_pa == pytest.approx(0.3, rel=0.2)


def test_bursts_and_glitches_are_no_noise() -> None:
    times_s = np.arange(2000) * 0.5
    trace = 40.0 + white(2000, 0.1)
    for onset in range(50, 2000, 40):
        since = times_s[onset:] - times_s[onset]
        trace[onset:] += 5.0 * np.exp(-since / 10.0)
    trace[::97] += 300.0
    assert run(times_s, trace).noise_pa == pytest.approx(0.1, rel=0.35)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 1.0, 3.0])
def test_noise_and_rounding_together(share: float) -> None:
    """Source of step / sqrt(12): Widrow and Kollar, Quantization Noise (2008), from memory."""
    step_pa, times_s = 1.0, np.arange(4000) * 0.5
    trace = 60.0 - 0.013 * times_s + white(4000, share * step_pa)
    noise = run(times_s, np.round(trace / step_pa) * step_pa)
    wanted = step_pa * np.sqrt(share**2 + 1 / 12)
    assert noise.noise_pa == pytest.approx(wanted, rel=0.25)
    if share <= 0.5:
        assert noise.step_pa == pytest.approx(step_pa)


def test_follows_a_noise_that_falls_with_the_pressure() -> None:
    sigma_pa = np.where(np.arange(400) < 200, 30.0, 0.1)
    noise = run(np.arange(400) * 1.0, 50.0 + sigma_pa * white(400, 1.0))
    assert noise.noise_pa == pytest.approx(0.1, rel=0.3)
    early = run(np.arange(230) * 1.0, (50.0 + sigma_pa * white(400, 1.0))[:230])
    assert early.noise_pa is not None
    assert early.noise_pa < 1.0


def test_averaging_does_not_help_where_the_trace_sticks() -> None:
    times_s = np.arange(1000) * 0.5
    stuck = run(times_s, np.round(60.0 - 0.05 * times_s))
    assert stuck.stubborn_pa2 == pytest.approx(1 / 12, rel=0.05)
    fine = run(times_s, np.round((60.0 + white(1000, 1.0)) / 0.1) * 0.1)
    assert fine.stubborn_pa2 < 1e-6


def test_a_stuck_gauge_is_told() -> None:
    trace = np.round((60.0 + white(400, 0.5)) / 0.1) * 0.1
    assert not run(np.arange(400.0), trace).is_stuck
    frozen = np.concatenate([trace, np.full(12, trace[-1])])
    noise = run(np.arange(412.0), frozen)
    assert noise.is_stuck
    noise.update(412.0, 60.3)
    assert not noise.is_stuck


def test_coarse_rounding_is_not_a_stuck_gauge() -> None:
    assert not run(np.arange(400.0), np.full(400, 60.0)).is_stuck
    slow = np.round(60.0 - 0.02 * np.arange(400.0) + white(400, 0.1))
    noise = NoiseEstimator()
    stuck = 0
    for time_s, value in enumerate(slow.tolist()):
        noise.update(float(time_s), value)
        stuck += noise.is_stuck
    assert stuck < 20


@pytest.mark.parametrize("interval_s", [0.1, 0.4, 0.7])
def test_a_clock_that_tells_whole_seconds_changes_nothing(interval_s: float) -> None:
    times_s = np.floor(np.arange(3000) * interval_s)
    falling = 40.0 - 0.1 * np.arange(3000) * interval_s
    assert run(times_s, falling + white(3000, 0.3)).noise_pa == pytest.approx(0.3, rel=0.25)


def test_readings_sent_in_one_packet_tell_the_noise() -> None:
    times_s = np.repeat(np.arange(300.0), 10)
    assert run(times_s, 40.0 + white(3000, 0.3)).noise_pa == pytest.approx(0.3, rel=0.25)


def test_zero_pressure_is_accepted() -> None:
    assert run(np.arange(300.0), np.zeros(300)).noise_pa is None


def test_power_of_two_scale_and_shift_change_nothing() -> None:
    times_s, trace = np.arange(500) * 0.25, 40.0 + white(500, 0.3)
    noise = run(times_s, trace).noise_pa
    scaled = run(times_s + 1024.0, trace * 8.0).noise_pa
    assert noise is not None
    assert scaled == pytest.approx(8.0 * noise, rel=1e-12)


def test_refuses_a_window_too_short() -> None:
    with pytest.raises(ValueError, match="window"):
        NoiseEstimator(window=10)


@pytest.mark.parametrize("interval_s", [0.3, 1.0])
def test_a_fall_by_decades_is_no_noise(interval_s: float) -> None:
    times_s = np.arange(0.0, 24.0, interval_s)
    trace = 20000.0 * np.exp(-times_s / 4.0) + 30.0 + white(times_s.size, 0.3)
    noise = run(times_s, trace).noise_pa
    assert noise is not None
    assert 0.15 < noise < 1.2
