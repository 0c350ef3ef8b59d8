"""Gas that rushes into what is cut off from the pump: a joint let go, or something was opened.

Told from the readings themselves, as soon as three in a row (of a quick gauge three seconds' middle
ones) are over twice what they were in the ten seconds before, and over 500 micron more: two wild
readings are not. In the first minute a circuit may even out or boil as sharply as that, so that
only what comes up over 10 kPa counts, which neither does. Where a gauge that stood still lets go,
the jump to where it would be anyway is not the circuit's; what rises on after it is.
"""

import math
from collections import deque
from dataclasses import dataclass, replace
from typing import Final

from analysis.caution.rise import BACK_RATIO, BEYOND_BURSTS_PA, PUMPED_SHARE, STAYED, SUDDEN_S
from analysis.hold.stuck import SAME
from analysis.middle import median
from analysis.pump.pulls import BROKEN_PA

QUIET_S: Final = 60.0  # the first even-out may be as sharp as that
_FEET: Final = 5  # levels before it at least, however far apart: two wild ones are not the middle
_MOST: Final = 32  # levels kept: those of twice ten seconds
_ON_LINE: Final = 2.0  # times what it rose by on the way there: more was not missed by the gauge
_AS_LONG: Final = 3.0  # times what it moved for: else its line is the even-out's


@dataclass(frozen=True, slots=True)
class Rush:
    """Gas that rushed in: when it was told, the level from which it rose, and when it had gone."""

    told_s: float
    foot_pa: float
    gone_s: float = math.inf


class Inrush:
    """Follows the readings of a hold; times from the valve's closing.

    State: the middle of each of the last seconds with readings, and of the one that is open.

    Attributes
    ----------
    rush
        What rushed in and has not gone since; ``None`` if nothing did.
    gone
        What rushed in last of all that has gone.
    """

    def __init__(self) -> None:
        self._levels: deque[tuple[float, float]] = deque(maxlen=_MOST)  # since when, and what
        self._open_s, self._open_pa = 0.0, list[float]()
        self._over_pa: float | None = None  # what the three must be over
        self._foot_pa = self._top_pa = 0.0
        self._first_pa: float | None = None
        self._last_pa = self._since_s = 0.0  # what is shown, and since when
        self.rush: Rush | None = None
        self.gone: Rush | None = None

    def add(self, time_s: float, pressure_pa: float, *, was_stuck: bool = False) -> None:
        """Take a reading, or the end of the gauge's range; and whether it was stuck until then."""
        lets_go = self._lets_go(time_s, pressure_pa, was_stuck)
        if lets_go and self.rush is None and pressure_pa <= BROKEN_PA:
            self._levels.clear()
            self._open_pa.clear()
            self._over_pa = None
        if not self._open_pa or time_s >= self._open_s + 1.0:
            self._close()
            self._open_s = time_s
        self._open_pa.append(pressure_pa)
        if self.rush is not None:
            self._look_whether_gone(self.rush, time_s)
        elif self._over_pa is not None and pressure_pa > self._over_pa:
            self._judge(time_s, self._over_pa)

    def _close(self) -> None:
        """Keep the second that is over, and look from where the next three would have risen."""
        if self._open_pa:
            self._levels.append((self._open_s, median(self._open_pa)))
            self._open_pa.clear()
        before = list(self._levels)[: 1 - STAYED]
        if len(before) < _FEET:
            return
        near = [pa for at_s, pa in before if at_s >= self._levels[1 - STAYED][0] - SUDDEN_S]
        feet = near if len(near) >= _FEET else [pa for _, pa in before[-_FEET:]]
        foot_pa = median(feet)
        self._over_pa = max(2.0 * foot_pa, foot_pa + BEYOND_BURSTS_PA)
        if self.rush is None:
            self._foot_pa = foot_pa

    def _judge(self, time_s: float, over_pa: float) -> None:
        lately = [*list(self._levels)[1 - STAYED :], (self._open_s, median(self._open_pa))]
        least_pa = min(pa for _, pa in lately)
        if least_pa > over_pa and (lately[0][0] >= QUIET_S or least_pa > BROKEN_PA):
            self.rush, self._top_pa = Rush(time_s, self._foot_pa), 0.0

    def _look_whether_gone(self, rush: Rush, time_s: float) -> None:
        level_pa = median(pa for _, pa in list(self._levels)[-STAYED:])
        self._top_pa = max(self._top_pa, level_pa)
        if level_pa < max(BACK_RATIO * self._foot_pa, PUMPED_SHARE * self._top_pa):
            self.rush, self.gone = None, replace(rush, gone_s=time_s)

    def _lets_go(self, time_s: float, pressure_pa: float, was_stuck: bool) -> bool:
        """Whether a reading that stood still jumps to about where it would be anyway."""
        first_pa, last_pa, since_s = self._first_pa, self._last_pa, self._since_s
        if first_pa is None:
            self._first_pa = first_pa = pressure_pa
        if abs(pressure_pa - last_pa) <= SAME * pressure_pa:
            return False
        self._last_pa, self._since_s = pressure_pa, time_s
        if pressure_pa - last_pa < BEYOND_BURSTS_PA:
            return False
        still_s = time_s - since_s
        missed_pa = _ON_LINE * (last_pa - first_pa) * still_s / max(since_s, SUDDEN_S)
        is_on_line = SUDDEN_S < still_s < _AS_LONG * since_s and pressure_pa - last_pa <= missed_pa
        return was_stuck or is_on_line
