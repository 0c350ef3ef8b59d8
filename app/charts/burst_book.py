"""All bursts of a run as arrays, kept up to date while each is revised or taken back."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.snapshot import Burst

Floats = NDArray[np.float64]

_FIRST_ROOM: Final = 64


class BurstBook:
    """Bursts by number: the newest revision counts, a retracted one is gone.

    Examples
    --------
    >>> book = BurstBook()
    >>> book.add(Burst(1, 10.0, 11.0, 5.0, 8.0, 40.0, 12.0, "provisional"))
    >>> book.add(Burst(1, 10.5, 11.0, 5.5, 8.0, 44.0, 20.0, "confirmed"))
    >>> book.onset_s.tolist(), book.confirmed_onsets_s.tolist()
    ([10.5], [10.5])
    """

    def __init__(self) -> None:
        self.clear()

    def __len__(self) -> int:
        return int(np.count_nonzero(self._kept))

    def clear(self) -> None:
        """Forget all."""
        self._row_of: dict[int, int] = {}
        self._rows = np.empty((_FIRST_ROOM, 4))
        self._onsets_s: Floats | None = None

    def add(self, burst: Burst) -> None:
        """Take a burst, or another revision of one."""
        row = self._row_of.setdefault(burst.number, len(self._row_of))
        if row == len(self._rows):
            self._rows = np.concatenate((self._rows, np.empty_like(self._rows)))
        weight = {"provisional": 1.0, "confirmed": 2.0, "retracted": 0.0}[burst.state]
        self._rows[row] = burst.onset_s, burst.peak_s, burst.rise_pa, weight
        self._onsets_s = None

    @property
    def onset_s(self) -> Floats:
        """Onsets of all that stand: (n,) float64, s, in order of number."""
        return self._column(0)

    @property
    def peak_s(self) -> Floats:
        """Their peaks: (n,) float64, s."""
        return self._column(1)

    @property
    def rise_pa(self) -> Floats:
        """Their rises: (n,) float64, Pa."""
        return self._column(2)

    @property
    def is_confirmed(self) -> NDArray[np.bool_]:
        """Whether each is final: (n,) bool."""
        kept: NDArray[np.bool_] = self._used[self._kept, 3] == 2.0
        return kept

    @property
    def confirmed_onsets_s(self) -> Floats:
        """Onsets of the confirmed ones, sorted: (m,) float64, s."""
        if self._onsets_s is None:
            used = self._used
            self._onsets_s = np.sort(used[used[:, 3] == 2.0, 0])
        return self._onsets_s

    def _column(self, index: int) -> Floats:
        column: Floats = self._used[self._kept, index]
        return column

    @property
    def _used(self) -> Floats:
        return self._rows[: len(self._row_of)]

    @property
    def _kept(self) -> NDArray[np.bool_]:
        return self._used[:, 3] > 0.0
