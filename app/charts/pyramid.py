"""Readings kept so that any stretch of them is drawn at the cost of its pixel columns."""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

_FACTOR: Final = 4  # readings, or blocks of the level below, in one block of a level
_BLOCKS_A_COLUMN: Final = 2  # at least: an extreme lies at most half a pixel beside its place
_FIRST_ROOM: Final = 1024


class Pyramid:
    """Append-only readings with the least and greatest of every block of 4, 16, 64, ...

    Blocks are anchored to the absolute index, so the same reading falls into the same block
    however the view moves, and the drawn envelope does not wriggle. A block that lasts longer
    than half a column, where readings come slowly or stop, is taken apart again, down to the
    readings: irregular sampling is drawn as exactly as regular one.

    Examples
    --------
    >>> pyramid = Pyramid()
    >>> pyramid.extend([0.0, 1.0, 2.0], [5.0, 9.0, 7.0])
    >>> x, y = pyramid.envelope(0.0, 2.0, 10)
    >>> x.tolist(), y.tolist()
    ([0.0, 0.0, 1.0, 1.0, 2.0, 2.0], [5.0, 5.0, 9.0, 9.0, 7.0, 7.0])
    """

    def __init__(self) -> None:
        self.clear()

    def clear(self) -> None:
        """Forget all."""
        self._count = 0
        self._time_s = np.empty(_FIRST_ROOM)
        self._value = np.empty(_FIRST_ROOM)
        self._levels: list[_Level] = []
        self._gaps_s: list[float] = []  # the middle of each

    def __len__(self) -> int:
        return self._count

    @property
    def time_s(self) -> Floats:
        """Times of all readings: (n,) float64, s, not to be written to."""
        return self._time_s[: self._count]

    @property
    def value(self) -> Floats:
        """All readings: (n,) float64, not to be written to."""
        return self._value[: self._count]

    def append(self, time_s: float, value: float) -> None:
        """Add one reading.

        Raises
        ------
        ValueError
            If time goes back.
        """
        count = self._count
        if count and time_s < self._time_s[count - 1]:
            raise ValueError(f"time goes back from {self._time_s[count - 1]} s to {time_s} s")
        self._make_room(1)
        self._time_s[count], self._value[count] = time_s, value
        self._count = count + 1

    def extend(self, time_s: ArrayLike, value: ArrayLike) -> None:
        """Add many readings at once, with the same outcome as one by one.

        Raises
        ------
        ValueError
            If the arrays differ in length or time goes back.
        """
        times, values = np.asarray(time_s, np.float64), np.asarray(value, np.float64)
        if times.shape != values.shape or times.ndim != 1:
            raise ValueError("times and values must be two flat arrays of the same length")
        if len(times) == 0:
            return
        last_s = self._time_s[self._count - 1] if self._count else times[0]
        if times[0] < last_s or np.any(np.diff(times) < 0):
            raise ValueError("time goes back")
        self._make_room(len(times))
        new = slice(self._count, self._count + len(times))
        self._time_s[new], self._value[new] = times, values
        self._count += len(times)

    def add_gap(self, from_s: float, until_s: float) -> None:
        """Say that readings are missing there: the two sides are not to be joined."""
        middle_s = 0.5 * (from_s + until_s)
        if not self._gaps_s or middle_s > self._gaps_s[-1]:
            self._gaps_s.append(middle_s)
        elif middle_s not in self._gaps_s:
            self._gaps_s = sorted([*self._gaps_s, middle_s])

    def value_at(self, time_s: ArrayLike) -> Floats:
        """Give the reading that stood at each time (the first one before there was any).

        Raises
        ------
        ValueError
            If there is no reading at all.
        """
        if not self._count:
            raise ValueError("no readings yet")
        at = np.searchsorted(self.time_s, np.asarray(time_s, np.float64), side="right") - 1
        return self.value[np.maximum(at, 0)]

    def envelope(self, from_s: float, until_s: float, columns: int) -> tuple[Floats, Floats]:
        """Give what has to be drawn of a stretch.

        Parameters
        ----------
        from_s, until_s
            The stretch. One reading beyond each end is included, for the line to leave the view.
        columns
            Pixel columns it is drawn on, >= 1.

        Returns
        -------
        x, y : (2 m,) float64
            For each block its first and last time, with its least and greatest value; a pair of
            NaN where a gap of more than a column lies. The newest reading is always in the last
            block.
        """
        times = self.time_s
        first = int(np.searchsorted(times, from_s, side="left")) - 1
        last = int(np.searchsorted(times, until_s, side="right")) + 1
        first, last = max(first, 0), min(last, self._count)
        if last <= first or columns < 1:
            return np.empty(0), np.empty(0)
        depth = self._depth((last - first) // (_BLOCKS_A_COLUMN * columns))
        widest_s = max(until_s - from_s, 0.0) / (_BLOCKS_A_COLUMN * columns)
        starts, ends, low, high = self._blocks(first, last, depth, widest_s)
        x = np.column_stack((times[starts], times[ends - 1])).ravel()
        y = np.column_stack((low, high)).ravel()
        return self._with_gaps(x, y, _BLOCKS_A_COLUMN * widest_s)

    def _depth(self, readings_a_block: int) -> int:
        """Give the highest level whose blocks are no longer than that, built up to date."""
        depth, size = 0, _FACTOR
        while size <= readings_a_block:
            if depth == len(self._levels):
                self._levels.append(_Level())
            low, high = self._block_values(depth)
            self._levels[depth].grow(low, high, self._count // size)
            depth, size = depth + 1, size * _FACTOR
        return depth

    def _block_values(self, depth: int) -> tuple[Floats, Floats]:
        """Give least and greatest of the whole blocks at a level; 0 is the readings."""
        if depth == 0:
            return self.value, self.value
        level = self._levels[depth - 1]
        return level.low, level.high

    def _blocks(
        self, first: int, last: int, depth: int, widest_s: float
    ) -> tuple[Indices, Indices, Floats, Floats]:
        """Cover the readings ``first`` to ``last`` with blocks from ``depth`` down, in order.

        Returns
        -------
        starts, ends : (m,) intp
            Readings ``starts[i]`` up to but without ``ends[i]``.
        low, high : (m,) float64
        """
        times, parts = self.time_s, []
        size = _FACTOR**depth
        done = self._count // size  # the rest is not a whole block yet: smaller ones follow
        blocks = np.arange(first // size, min(-(-last // size), done))
        for level in range(depth, 0, -1):
            size = _FACTOR**level
            wide = times[(blocks + 1) * size - 1] - times[blocks * size] > widest_s
            parts.append(self._part(blocks[~wide], level))
            below = size // _FACTOR
            children = (blocks[wide][:, None] * _FACTOR + np.arange(_FACTOR)).ravel()
            rest = np.arange(done * _FACTOR, self._count // below)
            blocks, done = np.concatenate((children, rest)), self._count // below
            blocks = blocks[(blocks * below < last) & ((blocks + 1) * below > first)]
        parts.append(self._part(blocks, 0))
        starts, ends, low, high = (np.concatenate(column) for column in zip(*parts, strict=True))
        order = np.argsort(starts, kind="stable")
        return starts[order], ends[order], low[order], high[order]

    def _part(self, blocks: Indices, level: int) -> tuple[Indices, Indices, Floats, Floats]:
        low, high = self._block_values(level)
        size = _FACTOR**level
        return blocks * size, (blocks + 1) * size, low[blocks], high[blocks]

    def _with_gaps(self, x: Floats, y: Floats, column_s: float) -> tuple[Floats, Floats]:
        """Put a pair of NaN between neighbours with a gap of more than a column between them."""
        if not self._gaps_s or len(x) < 4:
            return x, y
        apart = np.flatnonzero(x[2::2] - x[1:-1:2] > column_s)
        middles = np.asarray(self._gaps_s)
        before = np.searchsorted(middles, x[1:-1:2][apart])
        after = np.searchsorted(middles, x[2::2][apart])
        at = np.repeat(2 * (apart[after > before] + 1), 2)
        return np.insert(x, at, np.nan), np.insert(y, at, np.nan)

    def _make_room(self, more: int) -> None:
        needed = self._count + more
        if needed <= len(self._time_s):
            return
        room = max(needed, 2 * len(self._time_s))
        for name in ("_time_s", "_value"):
            grown = np.empty(room)
            grown[: self._count] = getattr(self, name)[: self._count]
            setattr(self, name, grown)


class _Level:
    """Least and greatest of each whole block of one size."""

    def __init__(self) -> None:
        self._count = 0
        self._low = np.empty(0)
        self._high = np.empty(0)

    @property
    def low(self) -> Floats:
        return self._low[: self._count]

    @property
    def high(self) -> Floats:
        return self._high[: self._count]

    def grow(self, low: Floats, high: Floats, count: int) -> None:
        """Reduce the level below as far as it goes: ``count`` whole blocks."""
        done = self._count
        if count == done:
            return
        if count > len(self._low):
            room = max(count, 2 * len(self._low))
            self._low = np.concatenate((self.low, np.empty(room - done)))
            self._high = np.concatenate((self.high, np.empty(room - done)))
        new = slice(done * _FACTOR, count * _FACTOR)
        self._low[done:count] = low[new].reshape(-1, _FACTOR).min(axis=1)
        self._high[done:count] = high[new].reshape(-1, _FACTOR).max(axis=1)
        self._count = count
