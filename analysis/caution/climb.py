"""Whether the level climbed without a break, or stepped up, and stays there."""

import math
from itertools import pairwise

from analysis.caution.stepped import bent, stands, stepped_up
from analysis.caution.swings import Swings
from analysis.middle import median
from analysis.pace import KEPT, Pace
from analysis.reason import Reason

# A burst peaks within seconds and then falls, so that six medians in a row which all rise, and by
# about as much, are none; nor are several bursts in a row, which differ in size.
CLIMB_STEPS = 6
CLIMB_NOISES = 10.0
# What is said; ten-second steps taken together; the share of the level that must be gained; the
# least of the five rises over their mean. Cut off from its pump a level P rises in a straight line
# by about P in one fall time (5 to 250 s), because what came in until then was pumped at P / fall
# time. A hose half shut raises it by less than half, in a bend that is straight only where falls
# are slow. What is cut off and hardly leaks or gives off gas, as a gauge on its own hose, climbs as
# straight but slowly; so long no pumped circuit does. It may be a circuit that is being warmed.
CLIMBS = (
    ("rising", 1, 0.5, 0.4),
    ("rising", 1, 0.15, 0.65),
    ("rising", 3, 0.5, 0.3),
    ("climbing", 10, 0.15, 0.65),
    ("climbing", 30, 0.15, 0.65),
)
NEAR = (1, 0.075, 0.3)  # half of what is told, and remembered if it comes back
WARMS_S = 1800.0  # after the technician's mark of it
CREEPS = (10, 0.05, 0.5)  # no alarm yet, but flat is called on no such trace


class Climb:
    """Watches for a level that climbs through the whole last minute, or ten, or has stepped up.

    It is over when half of the climb is gone. A rise that the trace has shown before, and taken
    back, is no news until it is well over that. What went up within minutes and has stood there
    for long is no alarm any more, but goes on being known.

    Attributes
    ----------
    reason
        What is told, if anything.
    is_creeping
        Whether the level climbed through the last ten minutes, be it ever so slowly.
    is_warmed
        Whether the circuit is being warmed, which makes it climb.
    stepped_pa
        How much higher it stands since a step up that is told no more.
    """

    def __init__(self) -> None:
        self._seen_s: float | None = None
        self._is_new, self._after_s = False, -math.inf  # what was before is left out
        self._warms_until_s = -math.inf
        self._foot_pa = 0.0
        self._from_s = 0.0
        self._is_bent = False  # whether it slackened as what comes to a new balance
        self._swings = Swings()
        self.reason: Reason | None = None
        self.is_creeping = self.is_warmed = False
        self.stepped_pa: float | None = None

    @property
    def foot_pa(self) -> float | None:
        """Where the climb that is told led from."""
        return None if self.reason is None else self._foot_pa

    def forget(self) -> None:
        """Leave a climb that was meant, and where it led from."""
        self.reason, self._is_new = None, True
        self.is_creeping, self.stepped_pa = False, None

    def warm(self, time_s: float) -> None:
        """Heed that the circuit is being warmed: what it gives off then rises slowly."""
        self._warms_until_s = time_s + WARMS_S
        if self.reason is not None and self.reason.code == "climbing":
            self.reason = None

    def look(self, pace: Pace, noise_pa: float | None, *, is_told: bool = False) -> None:
        """Look at the ten-second levels; does nothing until a new one is there.

        A step up that ``is_told`` already, as a sudden rise, is none here.
        """
        newest_s = pace.newest_s
        if newest_s is None or newest_s == self._seen_s:
            return
        self._seen_s = newest_s
        self.is_warmed = newest_s <= self._warms_until_s
        if self._is_new:
            self._is_new, self._after_s = False, newest_s
        steps = pace.last(KEPT)
        if steps[0][0] <= self._after_s:
            steps = [step for step in steps if step[0] > self._after_s]
        if not steps or noise_pa is None:
            return
        self._let_go(steps)
        self.is_creeping = climbed(steps, *CREEPS, noise_pa) is not None
        self._look(steps, noise_pa, is_told=is_told)

    def _look(self, steps: list[tuple[float, float]], noise_pa: float, *, is_told: bool) -> None:
        newest_s, level_pa = steps[-1]
        self._swings.look(level_pa, climbed(steps, *NEAR, noise_pa))
        for code, together, share, even in CLIMBS:
            if code == "climbing" and self.is_warmed:
                continue
            foot = climbed(steps, together, share, even, noise_pa)
            if foot is not None and self._is_news(together, foot, steps):
                if code == "climbing" and self.reason is not None:
                    code = self.reason.code  # was told sooner
                self._tell(code, foot, newest_s, level_pa)
                return
        if is_told or self.reason is not None:
            return
        foot = stepped_up(steps, noise_pa)
        if foot is not None:
            self._tell("stepped-up", foot, newest_s, level_pa)

    def _is_news(
        self, together: int, foot: tuple[float, float], steps: list[tuple[float, float]]
    ) -> bool:
        """Whether it is more than the trace has shown before, or stands already."""
        gained_pa = median(level_pa for _, level_pa in steps[-together:]) - foot[1]
        return self.reason is not None or self._swings.is_news(gained_pa, foot[1])

    def _let_go(self, steps: list[tuple[float, float]]) -> None:
        """End what is gone by half, and what stood for long where it had stepped to."""
        level_pa = steps[-1][1]
        if self.stepped_pa is not None and level_pa < self._foot_pa + 0.5 * self.stepped_pa:
            self.stepped_pa = None
        if self.reason is None:
            return
        gained_pa = self.reason.values["rise_pa"]
        if level_pa < self._foot_pa + 0.5 * gained_pa:
            self.reason = None
        elif self._came_to_balance(steps) and stands(steps, self._from_s, gained_pa):
            self.reason, self.stepped_pa = None, level_pa - self._foot_pa

    def _came_to_balance(self, steps: list[tuple[float, float]]) -> bool:
        """Whether it went up within a minute, or as a pumped level does after a valve is turned."""
        is_bent = bent(steps, (self._from_s, self._foot_pa))
        self._is_bent = self._is_bent if is_bent is None else is_bent
        assert self.reason is not None
        return self.reason.code == "stepped-up" or (self.reason.code == "rising" and self._is_bent)

    def _tell(self, code: str, foot: tuple[float, float], now_s: float, level_pa: float) -> None:
        if self.reason is None:
            self._from_s, self._foot_pa = foot
            self.stepped_pa = None
        values = {"rising_s": now_s - self._from_s, "rise_pa": level_pa - self._foot_pa}
        self.reason = Reason(code, values)


def climbed(
    steps: list[tuple[float, float]],
    together: int,
    share: float,
    even: float,
    noise_pa: float,
    noises: float = CLIMB_NOISES,
) -> tuple[float, float] | None:
    """Give where a climb through the last of these steps began, if it is one.

    Parameters
    ----------
    steps
        Time, s, and level, Pa, of ten-second levels, oldest first.
    together
        How many of them are taken as one: six of those must rise.
    share
        Of the first, that must be gained at least.
    even
        Least of the five rises over their mean.
    noise_pa
        Of a reading.
    noises
        So many of it that must be gained at least.
    """
    count = CLIMB_STEPS * together
    if len(steps) < count or steps[-1][1] <= steps[-count][1]:
        return None  # by far most often
    steps = steps[-count:]
    levels = [p for _, p in steps]
    if levels[-1] < max(levels) - noise_pa:
        return None  # it no longer rises
    if sum([later < earlier - noise_pa for earlier, later in pairwise(levels)]) >= together:
        return None  # between bursts it falls, as nothing does that is cut off
    pressures = [median(levels[i : i + together]) for i in range(0, len(levels), together)]
    rise_pa = pressures[-1] - pressures[0]
    if rise_pa < max(noises * noise_pa, share * pressures[0]):
        return None
    least_pa = min(later - earlier for earlier, later in pairwise(pressures))
    if least_pa < even * rise_pa / (CLIMB_STEPS - 1):
        return None
    return steps[0][0], pressures[0]
