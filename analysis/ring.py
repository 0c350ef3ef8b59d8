"""A bounded memory of the newest samples, every window of which is one contiguous view."""

import numpy as np
from numpy.typing import NDArray


class Ring:
    """Keep the newest ``capacity`` pairs of time and value.

    Each pair is written twice, ``capacity`` apart, so that any window is a plain slice: no copy,
    no wrap-around to get wrong. A view is valid until the next ``append``.

    Parameters
    ----------
    capacity
        Number of pairs kept, >= 1.

    Raises
    ------
    ValueError
        If ``capacity`` is below 1.

    Examples
    --------
    >>> ring = Ring(3)
    >>> for time_s in range(5):
    ...     ring.append(float(time_s), 10.0 * time_s)
    >>> ring.since(3.0)[1].tolist()
    [30.0, 40.0]
    """

    def __init__(self, capacity: int) -> None:
        if capacity < 1:
            raise ValueError(f"capacity must be at least 1, got {capacity}")
        self._capacity = capacity
        self._times = np.zeros(2 * capacity)
        self._values = np.zeros(2 * capacity)
        # The same memory: to write single numbers through it takes half the time.
        self._times_in = self._times.data.cast("B").cast("d")
        self._values_in = self._values.data.cast("B").cast("d")
        self._next = 0
        self._size = 0

    def __len__(self) -> int:
        return self._size

    def append(self, time_s: float, value: float) -> None:
        """Add a pair; the oldest leaves when the ring is full. Times must not go back."""
        place, twin = self._next, self._next + self._capacity
        self._times_in[place] = self._times_in[twin] = time_s
        self._values_in[place] = self._values_in[twin] = value
        self._next = (place + 1) % self._capacity
        self._size = min(self._size + 1, self._capacity)

    def all(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """All pairs kept, oldest first: times (n,) in seconds and values (n,)."""
        stop = self._next + self._capacity
        window = slice(stop - self._size, stop)
        return self._times[window], self._values[window]

    def since(self, time_s: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return the pairs at or after ``time_s``, oldest first."""
        times, values = self.all()
        first = int(np.searchsorted(times, time_s))
        return times[first:], values[first:]

    def clear(self) -> None:
        """Forget all pairs."""
        self._next = self._size = 0
