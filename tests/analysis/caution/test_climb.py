"""Levels that climb, quickly or slowly, that step up and stay, and that only swing."""

import math
from itertools import pairwise

import numpy as np
import pytest

from analysis.caution.climb import Climb
from analysis.pace import Pace

MICRON = 0.133322


def told(pressures: np.ndarray, noise_pa: float, climb: Climb | None = None) -> list[str]:
    """What is told at each second, or nothing."""
    pace, climb, codes = Pace(), climb or Climb(), list[str]()
    for second, pressure_pa in enumerate(pressures.tolist()):
        pace.update(float(second), pressure_pa)
        climb.look(pace, noise_pa)
        codes.append("" if climb.reason is None else climb.reason.code)
    return codes


def climbing(pressures: np.ndarray, noise_pa: float) -> list[bool]:
    return [code != "" for code in told(pressures, noise_pa)]


def noisy(pressures: np.ndarray, noise_pa: float, seed: int) -> np.ndarray:
    return pressures + np.random.default_rng(seed).normal(0, noise_pa, pressures.size)


def raised(codes: list[str]) -> int:
    return sum(now != "" and before == "" for before, now in pairwise(codes))


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


@pytest.mark.parametrize(("foot", "a_minute"), [(69.0, 1.95), (155.0, 6.75), (60.0, 0.45)])
def test_a_gauge_shut_off_that_climbs_slowly_is_told(foot: float, a_minute: float) -> None:
    """Three minutes of it are a seventh at most; the slowest takes half an hour."""
    seconds = np.arange(6000.0)
    level = MICRON * (foot + a_minute / 60 * (seconds - 1200).clip(0))
    codes = told(noisy(level, 0.3 * MICRON, 5), 0.3 * MICRON)
    assert not any(codes[:1200])
    first = codes.index("climbing")
    assert first < 1200 + (1860 if a_minute < 1 else 700)
    assert set(codes[first:]) == {"climbing"}


def test_a_trace_that_fades_or_sways_does_not_climb_slowly() -> None:
    seconds = np.arange(10000.0)
    fading = 400 / (1 + seconds / 600) + 60
    for period_s in (200.0, 900.0, 2400.0):
        level = MICRON * (fading + 8 * np.sin(2 * math.pi * seconds / period_s))
        assert "climbing" not in told(noisy(level, 0.3 * MICRON, 6), 0.3 * MICRON)


def test_what_a_warmed_circuit_gives_off_is_meant() -> None:
    seconds = np.arange(2400.0)
    level = MICRON * (60 + 3.0 / 60 * (seconds - 600).clip(0))
    climb = Climb()
    climb.warm(600.0)
    assert not any(told(noisy(level, 0.2 * MICRON, 7), 0.2 * MICRON, climb))
    assert climb.is_creeping
    assert any(climbing(noisy(level, 0.2 * MICRON, 7), 0.2 * MICRON))


def test_marking_the_heat_afterwards_ends_a_slow_climb_only() -> None:
    seconds = np.arange(1800.0)
    slow, quick = Climb(), Climb()
    told(MICRON * (60 + 3.0 / 60 * (seconds - 600).clip(0)), 0.02, slow)
    told(MICRON * (60 + 60.0 / 60 * (seconds - 600).clip(0)), 0.02, quick)
    slow.warm(1800.0)
    quick.warm(1800.0)
    assert slow.reason is None
    assert quick.reason is not None


def stepped(after: np.ndarray) -> np.ndarray:
    """From 37 to 103 micron after 20 min, and what is added from then on."""
    return MICRON * np.concatenate([np.full(1200, 37.0), 103.0 + after])


def test_a_step_up_that_stands_is_let_go_but_not_forgotten() -> None:
    sway = 3 * np.sin(2 * math.pi * np.arange(4000.0) / 1000)
    climb = Climb()
    codes = told(noisy(stepped(sway), 0.03, 8), 0.03, climb)
    assert set(codes[1400:2300]) == {"stepped-up"}
    assert not any(codes[2800:])
    assert raised(codes) == 1
    assert climb.stepped_pa == pytest.approx(66 * MICRON, rel=0.1)
    twice = np.concatenate([np.zeros(300), np.full(3000, 40.0)])  # and once more before that
    climb = Climb()
    assert raised(told(noisy(stepped(twice), 0.03, 8), 0.03, climb)) == 1
    assert climb.stepped_pa == pytest.approx(106 * MICRON, rel=0.05)
    back = np.concatenate([sway, np.full(200, -66.0)])
    climb = Climb()
    assert raised(told(noisy(stepped(back), 0.03, 8), 0.03, climb)) == 1
    assert climb.stepped_pa is None, "it is back where it was"


def test_a_step_up_that_goes_on_rising_is_not_let_go() -> None:
    """What is cut off rises ever more slowly, but rises."""
    creeping = 12 * np.log1p(np.arange(6000.0) / 300)
    codes = told(noisy(stepped(creeping), 0.03, 9), 0.03)
    assert all(codes[1400:4000])


def test_what_climbed_for_minutes_and_stands_stays_told() -> None:
    """A stopped pump on a dry circuit does that: no pump holds it in balance."""
    seconds = np.arange(6000.0)
    level = 60 + 0.5 * (seconds - 1000).clip(0, 400)
    codes = told(noisy(MICRON * level, 0.02, 10), 0.02)
    assert all(codes[1100:])


def test_a_rise_that_came_and_went_before_is_no_news() -> None:
    seconds = np.arange(6000.0)
    swing = np.abs(2 * ((seconds / 240) % 1) - 1)  # up and down in 4 min, 25 times
    level = 60 + np.where(seconds < 1000, 34.0, 30.0) * swing
    codes = told(MICRON * level, 0.02)
    assert raised(codes) <= 2
    assert not any(codes[1000:])
    # ... but what goes well beyond it, or by half of its foot, is told as soon as it does.
    stopped = np.concatenate([level, level[-1] + np.arange(600.0)])
    codes = told(MICRON * stopped, 0.02)
    assert not any(codes[1000:6000])
    assert all(codes[6080:])


def test_what_rose_to_a_new_balance_and_stands_is_let_go() -> None:
    """A valve half shut: the level goes there by the circuit's own fall time, and stays."""
    seconds = np.arange(4000.0)
    for fall_s in (40.0, 80.0):
        level = 60 + 90 * (1 - np.exp(-(seconds - 1000).clip(0) / fall_s))
        climb = Climb()
        codes = told(noisy(MICRON * level, 0.02, 10), 0.02, climb)
        assert "rising" in codes
        assert not any(codes[2700:])
        assert climb.stepped_pa == pytest.approx(90 * MICRON, rel=0.2)
