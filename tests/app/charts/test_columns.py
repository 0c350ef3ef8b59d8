"""Bars against a line drawn by brute force."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from app.charts.columns import column_bars, one_a_slot

_WIDTH = 24


@st.composite
def _lines(draw: st.DrawFn) -> tuple[list[float], list[float]]:
    places = draw(st.lists(st.floats(-10, 34, width=16), min_size=1, max_size=30))
    x = sorted(place + 1 / 3 for place in places)  # on an edge, a point would be in two columns
    y = draw(st.lists(st.floats(-50, 50, width=16), min_size=len(x), max_size=len(x)))
    if len(x) > 2 and draw(st.booleans()):
        at = draw(st.integers(1, len(x) - 1))
        x.insert(at, np.nan)
        y.insert(at, np.nan)
    return x, y


@given(_lines())
@settings(max_examples=200, deadline=None)
def test_bars_cover_the_line_and_nothing_else(line: tuple[list[float], list[float]]) -> None:
    x, y = np.array(line[0]), np.array(line[1])
    column, top, bottom = column_bars(x, y, _WIDTH)
    drawn = dict(zip(column.tolist(), zip(top, bottom, strict=True), strict=True))
    expected: dict[float, list[float]] = {}
    for index in range(len(x)):
        here = x[index]
        if 0 <= here < _WIDTH:
            expected.setdefault(float(np.floor(here)), []).append(y[index])
        if index + 1 < len(x) and x[index + 1] > here:
            edges = np.arange(max(np.ceil(here), 0), min(np.floor(x[index + 1]), _WIDTH) + 1)
            share = (edges - here) / (x[index + 1] - here)
            crossings = y[index] + share * (y[index + 1] - y[index])
            for edge, crossing in zip(edges, crossings, strict=True):
                for side in (edge - 1, edge):
                    if 0 <= side < _WIDTH:
                        expected.setdefault(float(side), []).append(float(crossing))
    for at, (least, greatest) in drawn.items():
        assert np.isclose(least, min(expected[at]), atol=1e-9)
        assert np.isclose(greatest, max(expected[at]), atol=1e-9)
    assert set(drawn) == set(expected)


@given(st.lists(st.floats(0, 500), max_size=300))
def test_one_a_slot_keeps_the_weightiest(places: list[float]) -> None:
    x = np.array(places)
    weight = np.random.default_rng(len(places)).random(len(x))
    chosen = one_a_slot(x, weight, 10.0)
    slots = np.floor(x / 10.0)
    assert len(np.unique(slots)) == len(chosen)
    for index in chosen:
        assert weight[index] == weight[slots == slots[index]].max()
