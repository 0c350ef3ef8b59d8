"""Whether the trace stands still, with the uncertainty of that, from its ten-second levels."""

import math
from itertools import pairwise

from analysis.middle import median
from analysis.pace import KEPT, STEP_S, Pace

SHORTEST_S = 300.0
LONGEST_S = (KEPT - 1) * STEP_S
_SQRT_12 = math.sqrt(12.0)
_NORMAL_MAD = 1.4826  # standard deviation over median absolute deviation, normal law


class Plateau:
    """Follows the relative pace of the trace over the last half of the pull.

    The window grows with the pull because what gas leaves a wet or dirty circuit fades as some
    power of time: a fade falls by the same share from half time to now at whatever time it is
    looked at, a stand does not. Between 5 and 30 minutes.
    """

    def __init__(self) -> None:
        self._seen_s: float | None = None
        self._from_s = -math.inf
        self.level_pa: float | None = None
        self.fall_per_s = 0.0
        self.unsure_per_s = math.inf

    @property
    def fall_at_most_per_s(self) -> float:
        """The quickest relative fall that the trace still allows, 1/s; negative when it rises."""
        return self.fall_per_s + self.unsure_per_s

    def forget(self, time_s: float) -> None:
        """Leave out what was before: air let in, or a circuit cut off, says nothing of a stand."""
        self._from_s = time_s
        self.level_pa, self.unsure_per_s = None, math.inf

    def look(self, pace: Pace, elapsed_s: float, noise_pa: float | None) -> None:
        """Look at the levels; does nothing until there is a new one."""
        newest_s = pace.newest_s
        if newest_s is None or newest_s == self._seen_s:
            return
        self._seen_s = newest_s
        window_s = min(max(SHORTEST_S, 0.5 * elapsed_s), LONGEST_S)
        steps = pace.levels(window_s)
        if steps[0][0] <= self._from_s:
            steps = [step for step in steps if step[0] > self._from_s]
        third = len(steps) // 3
        self.level_pa, self.unsure_per_s = None, math.inf
        if third < 3 or steps[-1][0] - steps[0][0] < 0.7 * window_s:
            return
        levels_pa = [level_pa for _, level_pa in steps]
        early_pa, late_pa = median(levels_pa[:third]), median(levels_pa[-third:])
        times_s = [time_s for time_s, _ in steps]
        early_s, late_s = median(times_s[:third]), median(times_s[-third:])
        if late_pa <= 0.0 or early_pa <= 0.0 or late_s <= early_s:
            return
        self.level_pa = late_pa
        scale_per_s = 1.0 / (late_pa * (late_s - early_s))
        self.fall_per_s = (early_pa - late_pa) * scale_per_s
        self.unsure_per_s = _unsure_pa(levels_pa, third, noise_pa) * scale_per_s


def _unsure_pa(levels_pa: list[float], third: int, noise_pa: float | None) -> float:
    """Tell how far off the change between two thirds may be.

    Twice the standard error of two medians, from how levels differ from one to the next. Where
    rounding holds most of them in one place it may hide a change of a whole step, and a step is
    at most sqrt(12) of the noise, which contains it.
    """
    moves = [abs(b - a) for a, b in pairwise(levels_pa)]
    spread_pa = _NORMAL_MAD * median(moves) / math.sqrt(2.0)
    if spread_pa == 0.0:
        return _SQRT_12 * (noise_pa or 0.0)
    # A median's standard error is 1.25 times a mean's; two of them, times two.
    return 2.0 * 1.25 * math.sqrt(2.0 / third) * spread_pa
