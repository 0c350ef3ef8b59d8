"""A fall within seconds to under half: a gauge that was shut off from a pumped circuit."""

import math
from collections import deque

from analysis.middle import median
from analysis.rules import MICRON_PA

# From under 1000 micron: higher up a hose lets through far more than it does where the circuit's
# small falls were seen. It is over when the level is nearly back.
_TO, _BACK, _FROM_PA = 0.5, 0.75, 1000 * MICRON_PA
# Looked at twice a second, over so many looks at most and at least: a gauge lags by up to some two
# seconds.
_EACH_S, _LOOKS, _LEAST = 0.5, 12, 6
_STILL = 0.8  # of the level before: where the fall begins
_STOOD = 1.25  # what varied by more over the middle half of the looks was on its way down
# How fast it fell is told by when nine tenths of the way to where it came to rest were done.
_REST, _SETTLING_S = 0.1, 5.0
# Gas whose source is gone falls as the circuit's small parts do, or slower, for the speed left at
# the gauge grows with pressure (n >= 1, section 7 of the method). So much faster is no pumping ...
_FASTER = 3.0
# ... and less is enough where no valve that was opened explains it either: by what makes the fall
# faster, the level gets lower, so that the product of both stays one.
_FAST, _OPENED = 2.0, 0.5
# What fell no deeper than it had just climbed from is a pump that runs again, or a valve opened.
_UNDONE = 0.8


class Drop:
    """Remembers the newest such fall, until the level is nearly back."""

    def __init__(self) -> None:
        self._seen: deque[tuple[float, float]] = deque(maxlen=_LOOKS)
        self._next_s = -math.inf
        self._before_pa = self._began_s = self._floor_pa = 0.0
        self._foot_pa: float | None = None  # of a climb that this fall may undo
        self.at_s: float | None = None
        self.back_s = -math.inf  # when the last one was over
        self.took_s = 0.0  # for nine tenths of it

    def forget(self) -> None:
        """Leave what was before: a valve was turned, and meant to be."""
        self._seen.clear()
        if self.at_s is not None:
            self.at_s, self.back_s = None, self._next_s

    def rose_from(self, foot_pa: float | None) -> None:
        """Take where the climb that stands now led from, or that none does."""
        if foot_pa is not None or self.at_s is None:
            self._foot_pa = foot_pa

    @property
    def only_undoes(self) -> bool:
        """Whether it only took back a climb."""
        return self._foot_pa is not None and self._floor_pa > _UNDONE * self._foot_pa

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        if time_s < self._next_s:
            return
        self._next_s = time_s + _EACH_S
        if self.at_s is not None:
            self._follow(time_s, self.at_s, pressure_pa)
        elif len(self._seen) >= _LEAST and pressure_pa < _TO * self._seen[0][1]:
            self._look(time_s, pressure_pa)
        self._seen.append((time_s, pressure_pa))

    def _look(self, time_s: float, pressure_pa: float) -> None:
        """Look whether it fell from a stand."""
        before_pa = median(pa for _, pa in self._seen)
        began_s = max((at_s for at_s, pa in self._seen if pa >= _STILL * before_pa), default=0.0)
        stood = sorted(pa for at_s, pa in self._seen if at_s <= began_s)
        if not stood or before_pa >= _FROM_PA or not 0.0 < pressure_pa < _TO * before_pa:
            return
        if stood[(3 * len(stood)) // 4] > _STOOD * stood[len(stood) // 4]:
            return
        self.at_s, self._before_pa, self._began_s = time_s, before_pa, began_s
        self._floor_pa = pressure_pa
        self._time(time_s)

    def _follow(self, time_s: float, at_s: float, pressure_pa: float) -> None:
        """Follow it to its rest, and until it is back."""
        if pressure_pa > _BACK * self._before_pa:
            self.at_s, self.back_s = None, time_s
        elif time_s <= at_s + _SETTLING_S and 0.0 < pressure_pa < self._floor_pa:
            self._floor_pa = pressure_pa
            self._time(time_s)

    def _time(self, time_s: float) -> None:
        """Measure how long nine tenths of the way took."""
        rest_pa = self._floor_pa + _REST * (self._before_pa - self._floor_pa)
        down_s = min(
            (at_s for at_s, pa in self._seen if at_s > self._began_s and pa <= rest_pa),
            default=time_s,
        )
        self.took_s = max(down_s - self._began_s, _EACH_S)

    def is_too_fast(self, fall_s: float | None) -> bool:
        """Whether it stands, and no circuit whose small falls take ``fall_s`` falls so fast."""
        if self.at_s is None or fall_s is None or self.only_undoes:
            return False
        faster = -math.log(_REST) * fall_s / self.took_s
        opened = faster * self._floor_pa / self._before_pa
        return faster > _FASTER or (faster > _FAST and opened < _OPENED)
