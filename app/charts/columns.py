"""A line of many points as one bar a pixel column, which is what a screen can show of it."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def column_bars(x_px: Floats, y_px: Floats, width: int) -> tuple[Floats, Floats, Floats]:
    """Give the stretch of every pixel column that the line through the points covers.

    The bars meet at the column's edges, where the line crosses them, so a steep line stays whole.

    Parameters
    ----------
    x_px, y_px : (n,) float64, px
        The points, x not falling; NaN in both breaks the line.
    width
        Columns from 0 on, px.

    Returns
    -------
    column, top, bottom : (m,) float64, px
        For each column that has any of the line.

    Examples
    --------
    >>> [bar.tolist() for bar in column_bars(np.array([0.5, 2.5]), np.array([0.0, 4.0]), 4)]
    [[0.0, 1.0, 2.0], [0.0, 1.0, 3.0], [1.0, 3.0, 4.0]]
    """
    if len(x_px) == 0 or width < 1:
        nothing = np.empty(0)
        return nothing, nothing, nothing
    edges = _crossings(x_px, y_px, width)
    top = np.fmin(edges[:-1], edges[1:])
    bottom = np.fmax(edges[:-1], edges[1:])
    inside = (x_px >= 0.0) & (x_px < width)  # NaN is not
    x, y = x_px[inside], y_px[inside]
    if len(x):
        column = x.astype(np.intp)
        starts = np.concatenate(([0], np.flatnonzero(np.diff(column)) + 1))
        at = column[starts]
        top[at] = np.fmin(top[at], np.minimum.reduceat(y, starts))
        bottom[at] = np.fmax(bottom[at], np.maximum.reduceat(y, starts))
    drawn = np.flatnonzero(np.isfinite(top))
    return drawn.astype(np.float64), top[drawn], bottom[drawn]


def _crossings(x_px: Floats, y_px: Floats, width: int) -> Floats:
    """Give where the line crosses the columns' edges, NaN where it does not."""
    edges = np.arange(width + 1, dtype=np.float64)
    gaps = np.isnan(x_px)
    if not gaps.any():
        return np.interp(edges, x_px, y_px, left=np.nan, right=np.nan)
    crossings = np.full(width + 1, np.nan)
    breaks = [-1, *np.flatnonzero(gaps).tolist(), len(x_px)]
    for begin, end in pairwise(breaks):
        if end - begin > 1:
            x, y = x_px[begin + 1 : end], y_px[begin + 1 : end]
            some = slice(int(np.clip(np.ceil(x[0]), 0, width + 1)), 0)
            some = slice(some.start, int(np.clip(np.floor(x[-1]), -1, width)) + 1)
            crossings[some] = np.interp(edges[some], x, y)
    return crossings


def one_a_slot(x_px: Floats, weight: Floats, slot_px: float) -> NDArray[np.intp]:
    """Choose the weightiest point of every slot of so many pixels, in order of x.

    However many there are, what is drawn is bounded by the width.

    Examples
    --------
    >>> one_a_slot(np.array([1.0, 3.0, 25.0]), np.array([5.0, 9.0, 1.0]), 10.0).tolist()
    [1, 2]
    """
    if len(x_px) == 0:
        return np.empty(0, np.intp)
    slot = np.floor(x_px / slot_px)
    order = np.lexsort((-weight, slot))
    first = np.concatenate(([True], np.diff(slot[order]) > 0))
    return order[first]
