"""Air or nitrogen rushing in: a rise beyond any burst, during which nothing else can be told."""

from collections import deque
from collections.abc import Iterable

from analysis.gauge.glitches import middle_of

# The pressure doubles within 10 s (the usual sudden-rise alarm, common practice) ...
WITHIN_S, _TIMES = 10.0, 2.0
# ... and climbs more than 500 micron: what 1 mg of water vapour makes of a circuit of 2 litres
# (ideal gas, 20 C), a hundred times a small burst's gas.
_AT_LEAST_PA = 67.0
# It is over when the pressure has not set a new record by 2 % for this long.
_STILL_S, _RECORD = 10.0, 1.02


class RushWatch:
    """Tell when gas rushes in, and when the rush is over.

    Examples
    --------
    >>> watch = RushWatch()
    >>> [watch.update(float(t), p) for t, p in enumerate([30.0, 30.0, 400.0, 9000.0])]
    [False, False, False, True]
    """

    def __init__(self) -> None:
        # Rising minima of the last seconds: the first is the lowest pressure within them.
        self._lows: deque[tuple[float, float]] = deque()
        self._record: tuple[float, float] | None = None
        self._two: tuple[float, float] | None = None

    def update(self, time_s: float, pressure_pa: float) -> bool:
        """Take one sample; return whether gas is rushing in."""
        # The middle of the last three: a single glitch, up or down to nothing, is no rush.
        before, last = self._two or (pressure_pa, pressure_pa)
        self._two = last, pressure_pa
        pressure_pa = middle_of(before, last, pressure_pa)
        lows = self._lows
        while lows and lows[-1][1] >= pressure_pa:
            lows.pop()
        lows.append((time_s, pressure_pa))
        while lows[0][0] < time_s - WITHIN_S:
            lows.popleft()
        low_pa = lows[0][1]
        if pressure_pa > _TIMES * low_pa and pressure_pa > low_pa + _AT_LEAST_PA:
            if self._record is None or pressure_pa > _RECORD * self._record[1]:
                self._record = time_s, pressure_pa
        elif self._record is not None and pressure_pa > _RECORD * self._record[1]:
            self._record = time_s, pressure_pa
        if self._record is not None and time_s > self._record[0] + _STILL_S:
            self._record = None
        return self._record is not None


def first_rush_s(time_s: Iterable[float], pressure_pa: Iterable[float]) -> float | None:
    """Give since when gas may be rushing in for the first time, s; ``None`` if it never does."""
    watch = RushWatch()
    for at_s, pa in zip(time_s, pressure_pa, strict=True):
        if watch.update(at_s, pa):
            return at_s - WITHIN_S
    return None
