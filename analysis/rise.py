"""Whether the pressure shot up, or climbed without a break."""

from collections import deque
from itertools import pairwise
from statistics import median

from analysis.pace import Pace
from analysis.reason import Reason
from analysis.rules import MICRON_PA

SUDDEN_S = 10.0  # "pressure doubling in 10 s" [practice]
SUDDEN_PA = 200 * MICRON_PA  # twice the largest burst there is
STAYED = 3  # seconds or readings that it must have stayed up: a glitch is shorter
BACK_RATIO = 1.5  # over when the level is back under this many times where it shot up from
# A burst peaks within seconds, so six ten-second medians in a row never all rise through one.
CLIMB_STEPS = 6
CLIMB_NOISES = 10.0


class SuddenRise:
    """Watches for a pressure that shoots up and stays.

    Keeps one median a second for eleven seconds.
    """

    def __init__(self) -> None:
        self._anchor_s: float | None = None
        self._second = 0
        self._values_pa: list[float] = []
        self._levels: deque[tuple[float, float]] = deque()
        self._foot_pa: float | None = None
        self.reason: Reason | None = None

    @property
    def is_high(self) -> bool:
        """Whether the pressure still stands where it shot up to."""
        return self._foot_pa is not None

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        if self._anchor_s is None:
            self._anchor_s = time_s
        second = int(time_s - self._anchor_s)
        if second != self._second and self._values_pa:
            self._close(time_s, median(self._values_pa))
            self._values_pa.clear()
        self._second = second
        self._values_pa.append(pressure_pa)

    def _close(self, time_s: float, level_pa: float) -> None:
        levels = self._levels
        levels.append((time_s, level_pa))
        while len(levels) > STAYED + 1 and levels[0][0] < time_s - SUDDEN_S - STAYED:
            levels.popleft()
        if self._foot_pa is not None:
            if level_pa < BACK_RATIO * self._foot_pa:
                self._foot_pa, self.reason = None, None
            return
        if len(levels) <= STAYED:
            return
        pressures = [pressure for _, pressure in levels]
        foot_pa, lately_pa = min(pressures[:-STAYED]), min(pressures[-STAYED:])
        if lately_pa > 2.0 * foot_pa and lately_pa - foot_pa > SUDDEN_PA:
            self._foot_pa = foot_pa
            values = {"rise_pa": lately_pa - foot_pa, "within_s": SUDDEN_S}
            self.reason = Reason("sudden-rise", values)


class Climb:
    """Watches for a level that climbs through the whole last minute.

    The climb must be ten times the noise and is over when half of it is gone.
    """

    def __init__(self) -> None:
        self._seen_s: float | None = None
        self._foot_pa = 0.0
        self._from_s = 0.0
        self.reason: Reason | None = None

    def look(self, pace: Pace, noise_pa: float | None) -> None:
        """Look at the ten-second levels; does nothing until a new one is there."""
        steps = pace.last(CLIMB_STEPS)
        if len(steps) < CLIMB_STEPS or steps[-1][0] == self._seen_s:
            return
        self._seen_s, level_pa = steps[-1]
        is_climbing = all(later[1] > earlier[1] for earlier, later in pairwise(steps))
        rise_pa = level_pa - steps[0][1]
        if self.reason is None:
            if not is_climbing or noise_pa is None or rise_pa < CLIMB_NOISES * noise_pa:
                return
            self._from_s, self._foot_pa = steps[0]
        elif level_pa < self._foot_pa + 0.5 * self.reason.values["rise_pa"]:
            self.reason = None
            return
        elif not is_climbing:
            return
        values = {"rising_s": self._seen_s - self._from_s, "rise_pa": level_pa - self._foot_pa}
        self.reason = Reason("rising", values)
