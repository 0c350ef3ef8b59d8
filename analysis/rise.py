"""Whether the pressure shot up, or climbed without a break."""

from collections import deque
from itertools import pairwise
from statistics import median

from analysis.reason import Reason
from analysis.rules import MICRON_PA

SUDDEN_S = 10.0  # "pressure doubling in 10 s" [practice]
SUDDEN_PA = 200 * MICRON_PA  # twice the largest burst there is
CLIMB_S = 60.0
CLIMB_NOISES = 10.0


class Rise:
    """Watches for a pressure that shoots up, or climbs without a break.

    Keeps one median a second for two minutes.
    """

    def __init__(self) -> None:
        self._second: int | None = None
        self._values: list[float] = []
        self._levels: deque[tuple[float, float]] = deque(maxlen=120)
        self._foot_pa: float | None = None
        self._climb_foot_pa: float | None = None
        self._climb_from_s: float | None = None
        self.reason: Reason | None = None
        self.climbed: Reason | None = None

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        second = int(time_s)
        if second != self._second and self._values:
            self._close(time_s, median(self._values))
            self._values.clear()
        self._second = second
        self._values.append(pressure_pa)

    def _close(self, time_s: float, level_pa: float) -> None:
        levels = self._levels
        levels.append((time_s, level_pa))
        earlier = [p for t, p in levels if t >= time_s - SUDDEN_S - 1.0]
        foot_pa = min(earlier)
        lately = sorted(earlier[-3:])[0]  # must have stayed up for three seconds or readings
        if lately > 2.0 * foot_pa and lately - foot_pa > SUDDEN_PA and self._foot_pa is None:
            self._foot_pa = foot_pa
            self.reason = Reason("sudden-rise", {"rise_pa": lately - foot_pa, "within_s": SUDDEN_S})
        if self._foot_pa is not None and level_pa < 1.5 * self._foot_pa:
            self._foot_pa, self.reason = None, None

    @property
    def is_high(self) -> bool:
        """Whether the pressure still stands where it shot up to."""
        return self._foot_pa is not None

    @property
    def is_above_foot(self) -> bool:
        """Whether the level still stands above the middle of its climb."""
        if self._climb_foot_pa is None or not self._levels or self.climbed is None:
            return False
        rise_pa = self.climbed.values["rise_pa"]
        return self._levels[-1][1] > self._climb_foot_pa + 0.5 * rise_pa

    def climb(self, time_s: float, noise_pa: float | None) -> Reason | None:
        """Tell whether the level has climbed through the whole last minute, and by how much.

        Six ten-second medians in a row, each above the one before, is what a burst (which peaks
        within seconds) cannot do; the climb must be ten times the noise.
        """
        if noise_pa is None:
            return None
        steps = [
            [
                p
                for t, p in self._levels
                if t > time_s - CLIMB_S + 10 * k and t <= time_s - CLIMB_S + 10 * (k + 1)
            ]
            for k in range(6)
        ]
        if not all(steps):
            return None
        middles = [median(step) for step in steps]
        if any(b <= a for a, b in pairwise(middles)):
            return None
        rise_pa = middles[-1] - middles[0]
        if rise_pa < CLIMB_NOISES * noise_pa:
            return None
        self._climb_foot_pa = middles[0]
        self.climbed = Reason("rising", {"rising_s": CLIMB_S, "rise_pa": rise_pa})
        return self.climbed
