import numpy as np
import pytest

from analysis.burst.fall_meter import FallMeter


def measured(fall_s: float, *, bursts: int = 4, noise_pa: float = 0.1, seed: int = 0) -> FallMeter:
    """Bursts of 5 Pa a fall apart, each on what is left of the one before, on a falling base."""
    rng, meter = np.random.default_rng(seed), FallMeter()
    for _ in range(bursts):
        times_s = np.arange(-1.0 * fall_s, 1.5 * fall_s, max(fall_s / 40, 0.25))
        base = 60.0 - 0.02 * times_s + 3.0 * np.exp(-(times_s + fall_s) / fall_s)
        over = np.where(times_s > 0, 5.0 * np.exp(-np.maximum(times_s, 0) / fall_s), 0.0)
        meter.add(
            100.0 + times_s, base + over + rng.normal(0, noise_pa, times_s.size), 100.0, 0.5,
            noise_pa**2,
        )  # fmt: skip
    return meter


@pytest.mark.parametrize("fall_s", [4.0, 15.0, 60.0, 180.0])
def test_finds_the_fall_constant(fall_s: float) -> None:
    meter = measured(fall_s)
    assert meter.fall_s == pytest.approx(fall_s, rel=0.25)
    assert meter.spread < 0.4


def test_more_bursts_know_it_better() -> None:
    assert measured(60.0, bursts=12, noise_pa=0.8).spread < measured(60.0, bursts=1).spread + 0.2
    assert measured(60.0, bursts=12).spread <= measured(60.0, bursts=1).spread


def test_knows_nothing_before_the_first() -> None:
    meter = FallMeter()
    assert meter.fall_s is None
    assert meter.spread > 1.0


def test_too_few_samples_say_nothing() -> None:
    meter = FallMeter()
    meter.add(np.arange(4.0), np.ones(4), 1.0, 0.5, 0.01)
    assert meter.fall_s is None


def test_one_odd_fall_does_not_decide() -> None:
    meter = measured(20.0, bursts=6)
    times_s = np.arange(-20.0, 30.0, 0.5)
    step = np.where(times_s > 0, 65.0, 60.0)  # never falls
    meter.add(times_s, step, 0.0, 0.5, 0.01)
    assert meter.fall_s == pytest.approx(20.0, rel=0.35)


def test_a_fall_that_nothing_fits_says_little() -> None:
    rng = np.random.default_rng(1)
    times_s = np.arange(-20.0, 30.0, 0.5)
    wander = np.cumsum(rng.normal(0.0, 0.4, times_s.size))
    sure, unsure = FallMeter(), FallMeter()
    sure.add(times_s, wander, 0.0, 1.0, 1.0)
    unsure.add(times_s, wander, 0.0, 1.0, 1e-4)  # told ten thousand times too quiet
    assert unsure.spread > 0.5 * sure.spread
    assert unsure.count == 1


def test_what_never_falls_is_no_fall_however_often() -> None:
    meter, rng = measured(40.0, bursts=6), np.random.default_rng(3)
    times_s = np.arange(-40.0, 60.0, 0.5)
    for _ in range(12):  # a valve that is turned again and again: it was 300 s after them
        step = np.where(times_s > 0, 61.0, 60.0) + rng.normal(0.0, 0.1, times_s.size)
        meter.add(times_s, step, 0.0, 0.5, 0.01)
    assert meter.fall_s == pytest.approx(40.0, rel=0.3)
    assert meter.spread < 0.4
