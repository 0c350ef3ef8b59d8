"""Whether the pressure shot up, and stayed."""

from collections import deque

from analysis.hold.rules import MICRON_PA
from analysis.middle import median
from analysis.reason import Reason

SUDDEN_S = 10.0  # "pressure doubling in 10 s" [practice]
STAYED = 3  # seconds or readings that it must have stayed up: a glitch is shorter
# Bursts reach some 100 micron, rarely 300, and may fall on one another: over this it is none.
BEYOND_BURSTS_PA = 500 * MICRON_PA
# A lesser rise must not have begun to fall, as a burst does at once.
SUDDEN_PA = 200 * MICRON_PA
HELD_RATIO = 0.95
BACK_RATIO = 1.5  # over when the level is back under this many times where it shot up from ...
PUMPED_SHARE = 0.1  # ... or under this share of what it came to: what came in is pumped away


class SuddenRise:
    """Watches for a pressure that shoots up and stays.

    Keeps one median a second for twice ten seconds, and of those the median of three: one reading
    gone astray is neither a rise nor the foot of one.
    """

    def __init__(self) -> None:
        self._anchor_s: float | None = None
        self._ends_s = 1.0  # of the second that is open, from the first reading
        self._values_pa: list[float] = []
        self._raw_pa: deque[float] = deque(maxlen=3)
        self._times_s: deque[float] = deque()
        self._levels_pa: deque[float] = deque()
        self._foot_pa: float | None = None
        self._top_pa = 0.0
        self.reason: Reason | None = None

    def forget(self) -> None:
        """Leave out what was before: it was meant to rise."""
        self._values_pa.clear()
        self._raw_pa.clear()
        self._times_s.clear()
        self._levels_pa.clear()
        self._foot_pa, self.reason = None, None

    @property
    def is_high(self) -> bool:
        """Whether the pressure still stands where it shot up to."""
        return self._foot_pa is not None

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        if self._anchor_s is None:
            self._anchor_s = time_s
        values_pa, since_s = self._values_pa, time_s - self._anchor_s
        if since_s >= self._ends_s:
            self._ends_s = int(since_s) + 1.0
            if values_pa:
                raw_pa = self._raw_pa
                raw_pa.append(values_pa[0] if len(values_pa) == 1 else median(values_pa))
                values_pa.clear()
                self._close(time_s, sorted(raw_pa)[len(raw_pa) // 2])
        values_pa.append(pressure_pa)

    def _close(self, time_s: float, level_pa: float) -> None:
        times_s, levels_pa = self._times_s, self._levels_pa
        times_s.append(time_s)
        levels_pa.append(level_pa)
        # However far apart the readings, the foot is one of them and the stay the last three.
        while len(times_s) > STAYED + 1 and times_s[0] < time_s - 2.0 * SUDDEN_S - STAYED:
            times_s.popleft()
            levels_pa.popleft()
        if self._foot_pa is not None:
            self._top_pa = max(self._top_pa, level_pa)
            if level_pa < max(BACK_RATIO * self._foot_pa, PUMPED_SHARE * self._top_pa):
                self._foot_pa, self.reason = None, None
            return
        if len(levels_pa) <= STAYED or level_pa <= 2.0 * min(levels_pa):
            return  # by far the most seconds
        levels = list(zip(times_s, levels_pa, strict=True))
        foot_pa = _shot_up(levels, SUDDEN_S, STAYED, BEYOND_BURSTS_PA)
        if foot_pa is None:
            foot_pa = _held_up(levels)
        if foot_pa is not None:
            self._foot_pa, self._top_pa = foot_pa, level_pa
            lately_pa = min(pressure for _, pressure in levels[-STAYED:])
            values = {"rise_pa": lately_pa - foot_pa, "within_s": SUDDEN_S}
            self.reason = Reason("sudden-rise", values)


_Levels = list[tuple[float, float]]


def _shot_up(levels: _Levels, within_s: float, stayed: int, least_pa: float) -> float | None:
    """Give the foot of a rise that doubled the pressure and stayed for the last few levels."""
    before = levels[:-stayed]
    from_s = levels[-stayed][0] - within_s
    feet = [pressure for time_s, pressure in before if time_s >= from_s] or [before[-1][1]]
    # Not the least: a gauge may drop out for a second or two.
    foot_pa = sorted(feet)[len(feet) // 3]
    lately_pa = min(pressure for _, pressure in levels[-stayed:])
    return foot_pa if lately_pa > max(2.0 * foot_pa, foot_pa + least_pa) else None


def _held_up(levels: _Levels) -> float | None:
    """Give the foot of a rise that has held for ten seconds since, where no burst would."""
    now_s, level_pa = levels[-1]
    since = [(t, p) for t, p in levels if t >= now_s - SUDDEN_S]
    if len(since) < STAYED or len(since) >= len(levels):
        return None
    foot_pa = _shot_up(levels, SUDDEN_S, len(since), SUDDEN_PA)
    if foot_pa is None:
        return None
    top_pa = max(pressure for _, pressure in since)
    return foot_pa if level_pa - foot_pa >= HELD_RATIO * (top_pa - foot_pa) else None
