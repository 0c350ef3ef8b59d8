"""Thinning a hold: live and afterwards the same points."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.hold.bins import MOST_BINS, bin_width_s
from analysis.hold.trace import HoldThinner, thin


def test_a_glitch_of_one_reading_leaves_no_trace() -> None:
    t = np.arange(0.0, 100.0, 0.1)
    clean = 20.0 + 0.01 * t
    wild = clean.copy()
    wild[[0, 50, 400, 777, -1]] = [900.0, 3000.0, 0.0, 90.0, 0.0]
    assert thin(t, wild, None).pressure_pa == pytest.approx(
        thin(t, clean, None).pressure_pa, rel=1e-4
    )


@settings(deadline=None, max_examples=40)
@given(
    st.integers(0, 2**32 - 1),
    st.sampled_from([0.05, 0.7, 3.0, 20.0]),
    st.integers(2, 900),
    st.booleans(),
)
def test_live_and_afterwards_give_the_same_points(
    seed: int, interval_s: float, count: int, has_temperature: bool
) -> None:
    rng = np.random.default_rng(seed)
    t = 1e4 + np.cumsum(interval_s * rng.uniform(0.0, 2.0, count))
    p = np.round(rng.uniform(10, 500, count), 1)
    celsius = rng.uniform(10, 30, count) if has_temperature else None
    live = HoldThinner()
    for i in range(count):
        live.add(float(t[i]), float(p[i]), None if celsius is None else float(celsius[i]))
    now, whole = live.thinned(), thin(t, p, celsius)
    assert now is not None
    assert now.count.tolist() == whole.count.tolist()
    assert now.time_s == pytest.approx(whole.time_s, rel=1e-9, abs=1e-9)
    assert now.pressure_pa == pytest.approx(whole.pressure_pa, rel=1e-9)
    assert now.step_pa == pytest.approx(whole.step_pa)
    assert now.longest_gap_s == pytest.approx(whole.longest_gap_s)
    assert (now.temperature_c is None) == (whole.temperature_c is None)


@given(st.floats(0, 1e6))
def test_bins_are_never_too_many(duration_s: float) -> None:
    width = bin_width_s(duration_s)
    assert duration_s // width < MOST_BINS
    assert width == 0.5 or duration_s // (width / 2) >= MOST_BINS


def test_memory_stays_bounded() -> None:
    live = HoldThinner()
    for second in range(40_000):
        live.add(float(second), 20.0, None)
    hold = live.thinned()
    assert hold is not None
    assert len(hold.time_s) <= MOST_BINS
    assert hold.count.sum() == 40_000


def test_the_rounding_step_is_seen() -> None:
    t = np.arange(600.0)
    p = 30 + 0.02 * t + 0.3 * np.sin(t)
    assert thin(t, np.round(p / 0.1333) * 0.1333, None).step_pa == pytest.approx(0.1333)


def test_nothing_before_the_first_reading() -> None:
    assert HoldThinner().thinned() is None
