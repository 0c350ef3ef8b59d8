"""The envelope against brute force: no extreme lost, none invented, none out of its place."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from app.charts.pyramid import Pyramid

Floats = NDArray[np.float64]

_SPACINGS_S = st.sampled_from([0.0, 0.1, 0.1, 0.1, 0.1, 1.0, 7.3, 500.0])


@st.composite
def _records(draw: st.DrawFn) -> tuple[Floats, Floats]:
    """Readings in runs of one spacing each: dense, sparse, at equal times, with long pauses."""
    runs = draw(st.lists(st.tuples(_SPACINGS_S, st.integers(1, 90)), min_size=1, max_size=8))
    spacings_s = np.concatenate([np.full(count, spacing_s) for spacing_s, count in runs])
    seed = draw(st.integers(0, 2**16))
    return np.cumsum(spacings_s), np.random.default_rng(seed).normal(size=len(spacings_s))


@given(_records(), st.integers(1, 60), st.floats(0, 1), st.floats(0, 1))
@settings(max_examples=150, deadline=None)
def test_blocks_cover_the_stretch_with_its_true_extremes(
    record: tuple[Floats, Floats], columns: int, one: float, other: float
) -> None:
    time_s, value = record
    pyramid = Pyramid()
    pyramid.extend(time_s, value)
    from_s, until_s = sorted((one * time_s[-1], other * time_s[-1]))
    column_s = (until_s - from_s) / columns
    seen = np.flatnonzero((time_s >= from_s) & (time_s <= until_s))
    first = max(np.searchsorted(time_s, from_s) - 1, 0)
    last = min(np.searchsorted(time_s, until_s, side="right") + 1, len(time_s))
    depth = pyramid._depth(int(last - first) // (2 * columns))
    starts, ends, low, high = pyramid._blocks(int(first), int(last), depth, column_s / 2)
    assert starts[0] <= first
    assert ends[-1] >= last
    assert np.array_equal(starts[1:], ends[:-1])
    for start, end, least, greatest in zip(starts, ends, low, high, strict=True):
        assert (least, greatest) == (value[start:end].min(), value[start:end].max())
        assert end - start == 1 or time_s[end - 1] - time_s[start] <= column_s / 2
    x, y = pyramid.envelope(from_s, until_s, columns)
    if len(seen):
        assert np.nanmin(y) <= value[seen].min()
        assert np.nanmax(y) >= value[seen].max()
    assert np.array_equal(x, np.column_stack((time_s[starts], time_s[ends - 1])).ravel())


@given(_records(), st.data())
@settings(max_examples=40, deadline=None)
def test_one_by_one_is_the_same_as_all_at_once(
    record: tuple[Floats, Floats], data: st.DataObject
) -> None:
    time_s, value = record
    slow, fast = Pyramid(), Pyramid()
    look_at = data.draw(st.sets(st.integers(0, len(time_s) - 1), max_size=4))
    for index, reading in enumerate(zip(time_s.tolist(), value.tolist(), strict=True)):
        slow.append(*reading)
        if index in look_at:  # levels are built when asked for: at any moment, to the same end
            slow.envelope(0.0, float(time_s[-1]), 3)
    fast.extend(time_s, value)
    for columns in (1, 7, 1000):
        ours = slow.envelope(0.0, float(time_s[-1]), columns)
        theirs = fast.envelope(0.0, float(time_s[-1]), columns)
        assert all(np.array_equal(a, b) for a, b in zip(ours, theirs, strict=True))


def test_evenly_sampled_readings_give_at_most_eight_blocks_a_column() -> None:
    pyramid = Pyramid()
    count = 100_000
    value = np.random.default_rng(1).normal(size=count)
    pyramid.extend(np.arange(count) * 0.1, value)
    for columns in (10, 100, 300, 1000):
        x, y = pyramid.envelope(0.0, count * 0.1, columns)
        assert 2 * columns * 2 <= len(x) <= 2 * columns * 9
        assert (y.min(), y.max()) == (value.min(), value.max())


def test_newest_reading_is_always_there() -> None:
    pyramid = Pyramid()
    for index in range(5000):
        pyramid.append(index * 0.1, 0.0)
        if index % 97 == 0:
            x, _ = pyramid.envelope(0.0, 1000.0, 20)
            assert x[-1] == index * 0.1


def test_moving_the_view_leaves_the_blocks_where_they_are() -> None:
    pyramid = Pyramid()
    pyramid.extend(np.arange(20_000) * 0.1, np.random.default_rng(2).normal(size=20_000))
    one, _ = pyramid.envelope(0.0, 1000.0, 100)
    other, _ = pyramid.envelope(3.7, 1003.7, 100)
    shared = (one > 10.0) & (one < 990.0)
    assert np.isin(one[shared], other).all()


def test_a_gap_breaks_the_line_and_a_pause_does_not() -> None:
    pyramid = Pyramid()
    pyramid.extend([0, 1, 2, 50, 51, 100, 101], [1, 2, 3, 4, 5, 6, 7])
    pyramid.add_gap(51.0, 100.0)
    x, y = pyramid.envelope(0.0, 101.0, 50)
    assert np.isnan(x).sum() == np.isnan(y).sum() == 2
    broken = np.flatnonzero(np.isnan(x))
    assert (x[broken[0] - 1], x[broken[1] + 1]) == (51.0, 100.0)
    x, _ = pyramid.envelope(0.0, 1e6, 50)  # now narrower than a column
    assert not np.isnan(x).any()


def test_gaps_may_be_told_late_and_twice() -> None:
    pyramid = Pyramid()
    pyramid.extend([0, 1, 30, 31, 90, 91], [1] * 6)
    for gap_s in ((31.0, 90.0), (1.0, 30.0), (31.0, 90.0)):
        pyramid.add_gap(*gap_s)
    x, _ = pyramid.envelope(0.0, 91.0, 90)
    assert np.isnan(x).sum() == 4


def test_nothing_to_draw() -> None:
    pyramid = Pyramid()
    assert len(pyramid.envelope(0.0, 1.0, 10)[0]) == 0
    with pytest.raises(ValueError, match="no readings"):
        pyramid.value_at([0.0])
    pyramid.extend([5.0], [1.0])
    assert pyramid.envelope(0.0, 10.0, 0)[0].tolist() == []
    assert pyramid.envelope(5.0, 5.0, 10)[1].tolist() == [1.0, 1.0]
    pyramid.clear()
    assert len(pyramid) == 0


def test_time_may_stand_but_not_go_back() -> None:
    pyramid = Pyramid()
    pyramid.append(1.0, 1.0)
    pyramid.append(1.0, 2.0)
    with pytest.raises(ValueError, match="goes back"):
        pyramid.append(0.5, 1.0)
    with pytest.raises(ValueError, match="goes back"):
        pyramid.extend([2.0, 1.5], [1.0, 1.0])
    with pytest.raises(ValueError, match="goes back"):
        pyramid.extend([0.9], [1.0])
    with pytest.raises(ValueError, match="same length"):
        pyramid.extend([2.0, 3.0], [1.0])
    assert pyramid.value_at([0.0, 1.0, 9.0]).tolist() == [1.0, 2.0, 2.0]
