"""Ticks are few, round, in order and inside, whatever the range."""

import math
from functools import partial

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.charts.axis import TickMaker
from app.charts.ticks import (
    clock,
    fit_linear,
    fit_log,
    log_pressure_ticks,
    lull_ticks,
    pressure_ticks,
    time_ticks,
)
from sensors.units import PA_PER_UNIT

_AT_MOST = st.integers(2, 12)


@given(st.floats(-1e5, 1e6), st.floats(1, 1e6), _AT_MOST)
def test_times(low_s: float, span_s: float, at_most: int) -> None:
    _check(time_ticks, low_s, low_s + span_s, at_most)


@given(st.floats(0, 1e5), st.floats(1e-2, 1e5), _AT_MOST, st.sampled_from(sorted(PA_PER_UNIT)))
@example(low_pa=1.0, span_pa=53329.0, at_most=2, unit="micron")  # had no tick
def test_pressures(low_pa: float, span_pa: float, at_most: int, unit: str) -> None:
    _check(partial(pressure_ticks, unit=unit), low_pa, low_pa + span_pa, at_most)


@given(st.floats(-2, 5), st.floats(1, 6), _AT_MOST, st.sampled_from(sorted(PA_PER_UNIT)))
def test_log_pressures(low: float, span: float, at_most: int, unit: str) -> None:
    _check(partial(log_pressure_ticks, unit=unit), low, low + span, at_most)


@given(st.floats(-1, 3), st.floats(1, 4), _AT_MOST)
def test_lulls(low: float, span: float, at_most: int) -> None:
    _check(lull_ticks, low, low + span, at_most)


def _check(make: TickMaker, low: float, high: float, at_most: int) -> None:
    ticks = make(low, high, at_most)
    slack = 1e-6 * (abs(low) + abs(high) + 1)
    assert 1 <= len(ticks) <= at_most + 1
    places = [at for at, _ in ticks]
    assert places == sorted(places)
    assert low - slack <= places[0]
    assert places[-1] <= high + slack
    assert len({text for _, text in ticks}) == len(ticks)


@pytest.mark.parametrize(
    ("low_s", "high_s", "texts"),
    [
        (0.0, 300.0, ["0:00", "0:01", "0:02", "0:03", "0:04", "0:05"]),
        (0.0, 86400.0, ["0:00", "6:00", "12:00", "18:00", "24:00"]),
        (60.0, 70.0, ["0:01:00", "0:01:02", "0:01:04", "0:01:06", "0:01:08", "0:01:10"]),
    ],
)
def test_times_read_as_hours_and_minutes(low_s: float, high_s: float, texts: list[str]) -> None:
    assert [text for _, text in time_ticks(low_s, high_s, 6)] == texts


def test_log_ticks_stand_at_round_numbers_of_the_unit() -> None:
    ticks = log_pressure_ticks(0.0, 5.1, 6, "micron")
    at = {text: place for place, text in ticks}
    thousand_pa = 10 ** at["1\N{NO-BREAK SPACE}000"]
    assert math.isclose(thousand_pa, 133.322387415)  # NIST SP 811 (2008), appendix B.8


@given(st.floats(-1e5, 1e5), st.floats(0, 1e5))
def test_fits_hold_what_they_fit(low: float, span: float) -> None:
    least, greatest = fit_linear(low, low + span, 1.0)
    assert least <= low + 1e-6
    assert greatest >= low + span - 1e-6
    assert greatest - least >= 1.0 - 1e-6
    least, greatest = fit_log(low / 1e4, (low + span) / 1e4)
    assert least <= low / 1e4
    assert greatest >= (low + span) / 1e4


def test_clock_before_the_start() -> None:
    assert clock(-60.0) == "−0:01"
