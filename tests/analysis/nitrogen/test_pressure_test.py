"""The nitrogen test against CoolProp's nitrogen and against the law of its own errors."""

import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from analysis.nitrogen.pressure_test import TestPoint, judge_pressure_test


@pytest.mark.parametrize("start_pa", [3e5, 1.1e6, 2.1e6])
def test_the_temperature_s_part_is_real_nitrogen_s(start_pa: float) -> None:
    """CoolProp (Bell et al. 2014, doi 10.1021/ie4033999): nitrogen at constant density."""
    density = PropsSI("D", "P", start_pa, "T", 288.15, "Nitrogen")
    real_pa = PropsSI("P", "D", density, "T", 303.15, "Nitrogen")
    test = judge_pressure_test(TestPoint(start_pa, 15.0), TestPoint(real_pa, 30.0), 1200.0)
    assert test.expected_pa == pytest.approx(real_pa, rel=3e-3)
    assert test.finding == "no-fall-seen"


def test_warmth_hides_no_leak_and_cold_makes_none() -> None:
    # 10 bar gauge; 10 K warmer would show 0.38 bar more.
    leaky = judge_pressure_test(TestPoint(11e5, 15.0), TestPoint(10.9e5, 25.0), 1800.0)
    assert leaky.finding == "fell"
    assert leaky.fall_pa.best == pytest.approx(11e5 * 298.15 / 288.15 - 10.9e5)
    cold = judge_pressure_test(TestPoint(11e5, 25.0), TestPoint(10.65e5, 15.0), 1800.0)
    assert cold.finding == "no-fall-seen"
    assert cold.reasons[0].code == "pressure-test-cooler"


def test_what_cannot_be_is_told() -> None:
    rose = judge_pressure_test(TestPoint(11e5, 20.0), TestPoint(11.6e5, 20.0), 1800.0)
    assert (rose.finding, rose.reasons[1].code) == ("rose", "pressure-test-rose")
    short = judge_pressure_test(TestPoint(11e5, 20.0), TestPoint(11e5, 20.0), 300.0, rated_pa=10e5)
    assert {"pressure-test-short", "pressure-over-rated"} <= {r.code for r in short.reasons}


def test_the_errors_are_what_a_dial_and_a_thermometer_make() -> None:
    """Monte Carlo of the same limits of error (JCGM 101:2008): 80 in 100, 1 in 20, 9 in 10."""
    rng = np.random.default_rng(4)
    n = 4000
    dial = rng.uniform(-0.01, 0.01, (n, 2)) * 11e5
    heat = rng.uniform(-1.0, 1.0, (n, 2))
    seen = judge_pressure_test(TestPoint(11e5, 20.0), TestPoint(11e5, 20.0), 1800.0)
    inside = told = accused = doubted = 0
    for (d0, d1), (h0, h1) in zip(dial.tolist(), heat.tolist(), strict=True):
        start = TestPoint(11e5 + d0, 20.0 + h0)
        tight = judge_pressure_test(start, TestPoint(11e5 + d1, 20.0 + h1), 1800.0)
        inside += tight.fall_pa.low <= 0.0 <= tight.fall_pa.high
        accused += tight.finding == "fell"
        doubted += tight.finding == "rose"
        end_pa = 11e5 + d1 - seen.smallest_fall_seen_pa
        leaky = judge_pressure_test(start, TestPoint(end_pa, 20.0 + h1), 1800.0)
        told += leaky.finding == "fell"
    assert 0.76 < inside / n < 0.84
    assert told / n > 0.88
    assert 0.02 < accused / n < 0.06
    assert 0.02 < doubted / n < 0.06


def test_metal_that_cools_unevenly_is_no_leak() -> None:
    """A hot circuit of two halves: one is touched and cools by 12 K, the other by 18 K."""
    start_k, moles = (313.15, 318.15), 11e5 / (0.5 / 313.15 + 0.5 / 318.15)
    end_k = start_k[0] - 12.0, start_k[1] - 18.0
    start_pa = moles * sum(0.5 / kelvin for kelvin in start_k)
    end_pa = moles * sum(0.5 / kelvin for kelvin in start_k) ** 2 / sum(0.5 / k for k in end_k)
    test = judge_pressure_test(TestPoint(start_pa, 40.0), TestPoint(end_pa, 28.0), 1200.0)
    assert test.fall_pa.best == pytest.approx(11e5 * 3.0 / 300.0, rel=0.1)
    assert test.finding == "no-fall-seen"
    assert "pressure-test-uneven" in {reason.code for reason in test.reasons}
    still = judge_pressure_test(TestPoint(11e5, 20.0), TestPoint(11e5, 20.0), 1200.0)
    assert test.smallest_fall_seen_pa > 1.5 * still.smallest_fall_seen_pa
    assert still.reasons[0].code == "pressure-test-as-warm"


def test_one_mark_of_a_coarse_dial_is_no_leak() -> None:
    start, end = TestPoint(17e5, 20.0), TestPoint(16.5e5, 20.0)
    assert judge_pressure_test(start, end, 1200.0).finding == "fell"
    coarse = judge_pressure_test(start, end, 1200.0, step_pa=0.5e5)
    assert coarse.finding == "no-fall-seen"
    assert coarse.smallest_fall_seen_pa > 0.5e5
    with pytest.raises(ValueError, match="step"):
        judge_pressure_test(start, end, 1200.0, step_pa=-1.0)


def test_warmth_that_brings_it_over_the_rated_pressure_is_told() -> None:
    test = judge_pressure_test(
        TestPoint(10.9e5, 15.0), TestPoint(11.5e5, 31.0), 1200.0, rated_pa=11e5
    )
    over = {reason.code: reason.values for reason in test.reasons}["pressure-over-rated"]
    assert over["pressure_test_pa"] == 11.5e5


@pytest.mark.parametrize(
    ("start", "end", "duration_s", "why"),
    [
        (TestPoint(9e4, 20.0), TestPoint(9e4, 20.0), 900.0, "absolute"),
        (TestPoint(11e5, 200.0), TestPoint(11e5, 20.0), 900.0, "start temperature"),
        (TestPoint(11e5, 20.0), TestPoint(math.nan, 20.0), 900.0, "end pressure"),
        (TestPoint(11e5, 20.0), TestPoint(11e5, math.nan), 900.0, "end temperature"),
        (TestPoint(11e5, 20.0), TestPoint(11e5, 20.0), 0.0, "duration"),
    ],
)
def test_nonsense_is_refused(start: TestPoint, end: TestPoint, duration_s: float, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        judge_pressure_test(start, end, duration_s)


@given(
    st.floats(1.2e5, 1e8),
    st.floats(1.0, 1e8),
    st.floats(-60.0, 120.0),
    st.floats(-60.0, 120.0),
    st.floats(1e-3, 1e9),
)
def test_no_number_is_nan(
    start_pa: float, end_pa: float, start_c: float, end_c: float, duration_s: float
) -> None:
    test = judge_pressure_test(TestPoint(start_pa, start_c), TestPoint(end_pa, end_c), duration_s)
    numbers = (test.fall_pa.low, test.fall_pa.best, test.fall_pa.high, test.expected_pa)
    assert all(map(math.isfinite, numbers))
    assert test.fall_pa.low <= test.fall_pa.best <= test.fall_pa.high
