"""Whether the gauge of a hold got stuck: one value to the end, where its noise would have moved it.

A display that froze, a radio whose last value is repeated, or a gauge that lost its supply looks
like a circuit that stands still. What it shows from then on tells nothing of the circuit.
"""

import math
from typing import Final

SAME: Final = 1e-9  # two readings nearer than this share of the pressure are the same number
_TWO_STEPS: Final = 1.5  # rounding steps; a change of two or more, with room for odd lattices
_FEWEST: Final = 20  # turns, for a rate that is good to a quarter
_BY_CHANCE: Final = -math.log(1e-4)


class StuckGauge:
    """Watches how often the readings turn by two rounding steps or more.

    Only noise wider than a step makes them do so, and most often from the middle of a step. At a
    rate of so many turns a reading, n equal readings have a chance of e^(-rate n) at most. Where
    the noise is small beside the step nothing turns so far, and a stuck gauge cannot be told.
    A gauge that shows each value for several readings turns the more seldom a reading.
    """

    def __init__(self) -> None:
        self._last_pa: float | None = None
        self._change_pa = 0.0
        self._step_pa = math.inf
        self._turns = 0
        self._moved = 0  # readings up to the last one that differed
        self._same = 0  # and since then
        self._since_s = 0.0
        self.has_let_go = False  # with the last reading, after having been stuck

    @property
    def step_pa(self) -> float:
        """Smallest change of the reading, Pa; 0 where it never moved."""
        return self._step_pa if math.isfinite(self._step_pa) else 0.0

    @property
    def since_s(self) -> float | None:
        """When the value was first shown at which the gauge is stuck; ``None`` if it is not."""
        if self._turns < _FEWEST:
            return None
        return self._since_s if self._same * self._turns > _BY_CHANCE * self._moved else None

    def add(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        last_pa, self._last_pa = self._last_pa, pressure_pa
        if last_pa is None:
            self._since_s = time_s
            return
        change_pa = pressure_pa - last_pa
        size_pa = abs(change_pa)
        self.has_let_go = False
        if size_pa <= SAME * pressure_pa:
            self._same += 1
            return
        self.has_let_go = self.since_s is not None
        if size_pa < self._step_pa:
            self._step_pa = size_pa
        if change_pa * self._change_pa < 0.0 and size_pa > _TWO_STEPS * self._step_pa:
            self._turns += 1
        self._change_pa = change_pa
        self._moved += self._same + 1
        self._same, self._since_s = 0, time_s
