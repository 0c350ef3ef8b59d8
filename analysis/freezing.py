"""Whether a stand of the trace is ice's: three ways in which no leak, pump or hose behaves.

A leak's, a weak pump's or a thin hose's level is neared as exp(-t / fall time), at most as slowly
at its end as a viscous hose allows, and then stands or fades ever more slowly as gas leaves the
walls. Ice gives off no gas until the pressure is under its own, then as much as it takes to hold
that; it cools as it sublimes, until the warmth that reaches it keeps it where it is.
"""

import math
from collections import deque

from analysis.fall import Fall
from analysis.plateau import Plateau

# Purely viscous flow (speed as pressure) to a level L takes, in the same unit, 0.13 from 8 L to
# 4 L, 0.29 from 4 L to 2 L and 0.55 from 4/3 L to 1.1 L (dP/dt = -(P^2 - L^2)); at constant speed
# 0.85, 1.10 and 1.20. So the last part takes 1.4 to 4.2 times the first and 1.1 to 1.9 times the
# second. Cooling water and ice take longer: twice the most is asked for ...
SLOW_TO_FIRST, SLOW_TO_SECOND = 8.4, 3.8
# ... and a level that stops falling at the pump's pace less: half the least.
SHARP_TO_SECOND = 0.55
RESOLVED_S = 3.0
# Gas leaving walls as 1/t from 1.1 L at time u to L at t now falls with the power 0.1 / (t/u - 1).
# That can be told once t is well past u.
FADE_SHARE, PAST = 0.4, 2.5
# Under a fade the level falls by at most as much in a doubling of time as in the one before;
# at a steady pace by twice as much.
STEADY, STEADY_LEAST = 1.6, 0.03
_QUARTER = 2.0**0.25


class Freezing:
    """Remembers the levels at times a quarter of a doubling apart, and looks for ice's ways."""

    def __init__(self) -> None:
        self._levels: deque[tuple[float, float]] = deque(maxlen=9)  # (elapsed_s, level_pa)

    def look(self, elapsed_s: float, level_pa: float | None) -> None:
        """Take the level now, ``elapsed_s`` after the start of the pull."""
        if level_pa is None or level_pa <= 0.0:
            return
        if self._levels and elapsed_s < self._levels[-1][0]:
            self._levels.clear()  # a new pull
        if not self._levels or elapsed_s >= _QUARTER * self._levels[-1][0] > 0.0:
            self._levels.append((elapsed_s, level_pa))

    def is_ice(self, fall: Fall, plateau: Plateau, elapsed_s: float) -> bool:
        """Whether the stand of the trace is ice's."""
        level_pa = plateau.level_pa
        if level_pa is None:
            return False
        return (
            _is_sharp(fall, level_pa)
            or self.is_steady(elapsed_s, level_pa)
            or _has_cooled(fall, plateau, level_pa, elapsed_s)
        )

    def is_steady(self, elapsed_s: float, level_pa: float) -> bool:
        """Whether the level creeps down at a pace that does not slacken, as cooling ice does."""
        if len(self._levels) < 9 or elapsed_s < self._levels[-1][0]:
            return False
        (_, first_pa), (_, half_pa), (_, now_pa) = (self._levels[i] for i in (0, 4, 8))
        before, lately = math.log(first_pa / half_pa), math.log(half_pa / now_pa)
        return lately > STEADY_LEAST and lately > STEADY * before > 0.0


def _is_sharp(fall: Fall, level_pa: float) -> bool:
    """Whether the trace fell at the pump's pace until it was at the level, and then stood."""
    second_s = fall.between_s(4.0 * level_pa, 2.0 * level_pa, at="least")
    last_s = fall.between_s(4.0 / 3.0 * level_pa, 1.1 * level_pa, at="most")
    if second_s is None or last_s is None or second_s < RESOLVED_S:
        return False
    return last_s < SHARP_TO_SECOND * second_s


def _has_cooled(fall: Fall, plateau: Plateau, level_pa: float, elapsed_s: float) -> bool:
    """Whether the end of the approach was slower than any hose makes it, and yet is over."""
    last_s = fall.between_s(4.0 / 3.0 * level_pa, 1.1 * level_pa, at="least")
    near_s = fall.since_first_s(1.1 * level_pa)
    if last_s is None or near_s is None or elapsed_s < PAST * near_s:
        return False
    first_s = fall.between_s(8.0 * level_pa, 4.0 * level_pa, at="most")
    second_s = fall.between_s(4.0 * level_pa, 2.0 * level_pa, at="most")
    is_slow = (first_s is not None and last_s > SLOW_TO_FIRST * max(first_s, RESOLVED_S)) or (
        second_s is not None and last_s > SLOW_TO_SECOND * max(second_s, RESOLVED_S)
    )
    at_most = abs(plateau.fall_per_s) + plateau.unsure_per_s
    return is_slow and at_most * elapsed_s * (elapsed_s / near_s - 1.0) < 0.1 * FADE_SHARE
