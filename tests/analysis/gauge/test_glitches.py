"""Single wild readings: gone wherever they stand, and nothing else bent."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import medfilt

from analysis.gauge.glitches import (
    GlitchFilter,
    Taken,
    median_of_three,
    middle_of,
    without_glitches,
)

VALUES = st.lists(st.floats(0, 1e5), min_size=1, max_size=60)


@given(st.lists(st.floats(0, 1e5), min_size=3, max_size=60))
def test_median_of_three_is_scipys(values: list[float]) -> None:
    array = np.array(values)
    assert np.array_equal(median_of_three(array)[1:-1], medfilt(array, 3)[1:-1])


@given(st.lists(st.floats(0, 1e5), min_size=3, max_size=3))
def test_the_middle_one(values: list[float]) -> None:
    assert middle_of(values[0], values[1], values[2]) == sorted(values)[1]


@given(VALUES)
def test_one_at_a_time_gives_the_same_at_every_step(values: list[float]) -> None:
    live = GlitchFilter()
    given_out: list[Taken] = []
    for count, value in enumerate(values, start=1):
        given_out += live.add((float(count), value, 0.0))
        now = [*given_out, *live.waiting()]
        assert [t for t, _, _ in now] == [float(n) for n in range(1, count + 1)]
        assert [pa for _, pa, _ in now] == without_glitches(np.array(values[:count])).tolist()


@pytest.mark.parametrize("slope", [-3.0, 0.0, 0.25])
def test_a_steady_rise_or_fall_stays_as_it_is_up_to_its_ends(slope: float) -> None:
    line = 100.0 + slope * np.arange(12.0)
    assert without_glitches(line) == pytest.approx(line)


@pytest.mark.parametrize("place", range(12))
@pytest.mark.parametrize("wild", [0.0, 9000.0])
def test_one_wild_reading_moves_its_place_by_no_more_than_a_step_or_two(
    place: int, wild: float
) -> None:
    line = 100.0 + 3.0 * np.arange(12.0)
    shown = line.copy()
    shown[place] = wild
    assert without_glitches(shown) == pytest.approx(line, abs=6.0)


@given(VALUES)
def test_never_below_or_above_all_readings(values: list[float]) -> None:
    array = np.array(values)
    settled = without_glitches(array)
    assert settled.min() >= array.min()
    assert settled.max() <= array.max()
