"""Whether the level climbed without a break, or stepped up and stays there."""

import math
from itertools import pairwise

from analysis.caution.stepped import BEFORE, BETWEEN, STAYS, stepped_up
from analysis.middle import median
from analysis.pace import Pace
from analysis.reason import Reason

# A burst peaks within seconds and then falls, so that six medians in a row which all rise, and by
# about as much, are none; nor are several bursts in a row, which differ in size.
CLIMB_STEPS = 6
CLIMB_NOISES = 10.0
# Ten-second steps taken together; the share of the level that must be gained; the least of the
# five rises over their mean. Cut off from its pump a level P rises in a straight line by about P
# in one fall time (5 to 250 s), because what came in until then was pumped at P / fall time. A
# hose half shut raises it by less than half, in a bend that is straight only where falls are slow.
CLIMBS = ((1, 0.5, 0.4), (1, 0.15, 0.65), (3, 0.5, 0.3))
_LOOKED_AT = STAYS + BETWEEN + BEFORE


class Climb:
    """Watches for a level that climbs through the whole last minute, or three, or has stepped up.

    It is over when half of the climb is gone.
    """

    def __init__(self) -> None:
        self._seen_s: float | None = None
        self._is_new, self._after_s = False, -math.inf  # what was before is left out
        self._foot_pa = 0.0
        self._from_s = 0.0
        self.reason: Reason | None = None

    def forget(self) -> None:
        """Leave a climb that was meant, and where it led from."""
        self.reason, self._is_new = None, True

    def look(self, pace: Pace, noise_pa: float | None, *, is_told: bool = False) -> None:
        """Look at the ten-second levels; does nothing until a new one is there.

        A step up that ``is_told`` already, as a sudden rise, is none here.
        """
        newest_s = pace.newest_s
        if newest_s is None or newest_s == self._seen_s:
            return
        self._seen_s = newest_s
        if self._is_new:
            self._is_new, self._after_s = False, newest_s
        steps = [step for step in pace.last(_LOOKED_AT) if step[0] > self._after_s]
        if not steps or noise_pa is None:
            return
        level_pa = steps[-1][1]
        gained_pa = 0.0 if self.reason is None else self.reason.values["rise_pa"]
        if level_pa < self._foot_pa + 0.5 * gained_pa:
            self.reason = None
        for together, share, even in CLIMBS:
            foot = _climb(steps[-CLIMB_STEPS * together :], together, share, even, noise_pa)
            if foot is not None:
                self._tell("rising", foot, newest_s, level_pa)
                return
        if is_told or self.reason is not None:
            return
        foot = stepped_up(steps, noise_pa)
        if foot is not None:
            self._tell("stepped-up", foot, newest_s, level_pa)

    def _tell(self, code: str, foot: tuple[float, float], now_s: float, level_pa: float) -> None:
        if self.reason is None:
            self._from_s, self._foot_pa = foot
        values = {"rising_s": now_s - self._from_s, "rise_pa": level_pa - self._foot_pa}
        self.reason = Reason(code, values)


def _climb(
    steps: list[tuple[float, float]],
    together: int,
    share: float,
    even: float,
    noise_pa: float,
) -> tuple[float, float] | None:
    """Give where a climb through all these steps began, if it is one."""
    if len(steps) < CLIMB_STEPS * together:
        return None
    if steps[-1][1] < max(p for _, p in steps) - noise_pa:
        return None  # it no longer rises
    falls = sum(later[1] < earlier[1] - noise_pa for earlier, later in pairwise(steps))
    if falls >= together:
        return None  # between bursts it falls, as nothing does that is cut off
    pressures = [
        median(p for _, p in steps[i : i + together]) for i in range(0, len(steps), together)
    ]
    rise_pa = pressures[-1] - pressures[0]
    if rise_pa < max(CLIMB_NOISES * noise_pa, share * pressures[0]):
        return None
    least_pa = min(later - earlier for earlier, later in pairwise(pressures))
    if least_pa < even * rise_pa / (CLIMB_STEPS - 1):
        return None
    return steps[0][0], pressures[0]
