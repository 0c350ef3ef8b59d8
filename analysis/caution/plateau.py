"""Whether the trace stands still, with the uncertainty of that, from its ten-second levels."""

import math
from itertools import pairwise
from typing import NamedTuple

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
        self._unsure_per_s = math.inf
        self._unsure_from: _Seen | None = None  # from what it is still to be worked out

    @property
    def unsure_per_s(self) -> float:
        """How far off ``fall_per_s`` may be, 1/s; worked out when asked: only of a high stand."""
        if self._unsure_from is not None:
            seen, self._unsure_from = self._unsure_from, None
            unsure_pa = _unsure_pa(seen.levels_pa, seen.third, seen.noise_pa)
            self._unsure_per_s = unsure_pa * seen.scale_per_s
        return self._unsure_per_s

    @property
    def fall_at_most_per_s(self) -> float:
        """The quickest relative fall that the trace still allows, 1/s; negative when it rises."""
        return self.fall_per_s + self.unsure_per_s

    def forget(self, time_s: float) -> None:
        """Leave out what was before: air let in, or a circuit cut off, says nothing of a stand."""
        self._from_s = time_s
        self._unknown()

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
        self._unknown()
        if third < 3 or steps[-1][0] - steps[0][0] < 0.7 * window_s:
            return
        levels_pa = [level_pa for _, level_pa in steps]
        early_pa, late_pa = median(levels_pa[:third]), median(levels_pa[-third:])
        early_s = median(time_s for time_s, _ in steps[:third])
        late_s = median(time_s for time_s, _ in steps[-third:])
        if late_pa <= 0.0 or early_pa <= 0.0 or late_s <= early_s:
            return
        self.level_pa = late_pa
        scale_per_s = 1.0 / (late_pa * (late_s - early_s))
        self.fall_per_s = (early_pa - late_pa) * scale_per_s
        self._unsure_from = _Seen(levels_pa, third, noise_pa, scale_per_s)

    def _unknown(self) -> None:
        self.level_pa, self._unsure_per_s, self._unsure_from = None, math.inf, None


class _Seen(NamedTuple):
    """What a change between two thirds was seen in, and what makes its Pa a relative pace."""

    levels_pa: list[float]
    third: int
    noise_pa: float | None
    scale_per_s: float


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
