"""How the trace came down from the start."""

import math
from collections import deque
from statistics import median

from analysis.rules import MICRON_PA

START_PA = 1.0e4  # 100 mbar: above it every pump-down is limited by the pump alone
DEEP_PA = 100 * MICRON_PA
# From 100 mbar to 100 micron: with 1 L, the largest pump (3.8 L/s) and the widest hose (0.95 cm,
# 1 m: 0.82 L/s at 500 micron, see analysis/flow.py) no circuit takes less than about 8 s.
FASTEST_FALL_S = 8.0
# A gauge behind a shut valve stands still as soon as it is down: over the second half minute it
# moves less than 3 %, where gas leaving a circuit's walls fades as 1/t, by half.
STILL_FROM_S, STILL_UNTIL_S = 30.0, 60.0
STILL_RATIO = 0.97
MINUTES_SLOW_S = 180.0


class Fall:
    """Remembers how long the trace took through its own pressures, decade by decade.

    Bounded: one time for each step of a tenth in ln P, kept from the first pass.
    """

    STEP = 0.1

    def __init__(self) -> None:
        self._recent: deque[float] = deque(maxlen=3)
        self._begin(None)

    def _begin(self, high_s: float | None) -> None:
        """Begin a fall: ``high_s`` is when the pressure was last near the air's, if it ever was."""
        self._high_s = high_s
        self._passed_s: dict[int, float] = {}
        self._lowest: int | None = None
        self._next_pa = math.inf  # under it lies a step not passed yet
        self._at_from: float | None = None
        self._is_still = False
        self.fell_s: float | None = None

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        self._recent.append(pressure_pa)
        is_watching = self._high_s is not None and time_s - self._high_s < 2 * STILL_UNTIL_S
        if self._next_pa < pressure_pa < START_PA and not is_watching:
            return  # nothing new: by far the most readings
        pressure_pa = median(self._recent)  # a glitch of one reading passes nothing
        if pressure_pa >= START_PA:
            self._begin(time_s)
            return
        step = int(math.log(max(pressure_pa, 1e-3)) / self.STEP)
        if self._lowest is None or step < self._lowest:
            for passed in range(step, step + 1 if self._lowest is None else self._lowest):
                self._passed_s[passed] = time_s
            self._lowest, self._next_pa = step, math.exp(step * self.STEP)
        if self._high_s is not None:
            if self.fell_s is None and pressure_pa < DEEP_PA:
                self.fell_s = time_s - self._high_s
            self._watch_stillness(time_s - self._high_s, pressure_pa)

    def _watch_stillness(self, since_s: float, pressure_pa: float) -> None:
        if self._is_still:
            return
        if self._at_from is None and since_s >= STILL_FROM_S:
            self._at_from = pressure_pa
        elif self._at_from is not None and STILL_UNTIL_S <= since_s < 2 * STILL_UNTIL_S:
            is_deep = pressure_pa < DEEP_PA
            self._is_still = is_deep and pressure_pa >= STILL_RATIO * self._at_from

    @property
    def is_too_fast(self) -> bool:
        """Whether it fell, or came to a stand, faster than any circuit can."""
        return self._is_still or (self.fell_s is not None and self.fell_s < FASTEST_FALL_S)

    def is_slow_arrival(self, level_pa: float, fall_s: float | None) -> bool:
        """Whether the level took minutes from twice itself to a tenth above itself.

        A pump-down to a leak's or a pump's level goes with V/S_eff (2.3 of it); cooling water and
        ice take minutes whatever the volume.
        """
        high_s = self._passed_s.get(int(math.log(2.0 * level_pa) / self.STEP))
        near_s = self._passed_s.get(int(math.log(1.1 * level_pa) / self.STEP))
        if high_s is None or near_s is None:
            return False
        return near_s - high_s > max(MINUTES_SLOW_S, 4.0 * (fall_s or 0.0))
