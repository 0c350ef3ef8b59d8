"""A fall within seconds by over two thirds: a gauge that was shut off from a pumped circuit."""

import math
from collections import deque

from analysis.middle import median
from analysis.rules import MICRON_PA

# To a third, and from under 1000 micron: higher up a hose lets through far more than it does where
# the circuit's small falls were seen.
_TO, _FROM_PA = 1.0 / 3.0, 1000 * MICRON_PA
# Looked at once a second, over so many seconds: a gauge lags by up to some two.
_EACH_S, _LOOKS = 1.0, 6
_STILL = 0.8  # of the level before: where the fall begins
# A whole level falls no faster than its small parts do, for the speed left at the gauge grows with
# pressure (n >= 1, section 7 of the method). So much faster is not by chance.
_FASTER = 5.0


class Drop:
    """Remembers the newest such fall, until the level is half back."""

    def __init__(self) -> None:
        self._seen: deque[tuple[float, float]] = deque(maxlen=_LOOKS)
        self._next_s = -math.inf
        self._before_pa = 0.0
        self.at_s: float | None = None
        self.took_s = 0.0
        self._folds = 0.0  # e-folds that it fell by

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        if time_s < self._next_s:
            return
        self._next_s = time_s + _EACH_S
        if self.at_s is not None and pressure_pa > 0.5 * self._before_pa:
            self.at_s = None
        seen = self._seen
        if self.at_s is None and len(seen) == _LOOKS:
            before_pa = median(pa for _, pa in seen)
            if before_pa < _FROM_PA and 0.0 < pressure_pa < _TO * before_pa:
                began_s = max(at_s for at_s, pa in seen if pa >= _STILL * before_pa)
                self.at_s, self._before_pa = time_s, before_pa
                self.took_s = max(time_s - began_s, _EACH_S)
                self._folds = math.log(before_pa / pressure_pa)
        seen.append((time_s, pressure_pa))

    def is_too_fast(self, fall_s: float | None) -> bool:
        """Whether it stands, and no circuit whose small falls take ``fall_s`` falls so fast."""
        if self.at_s is None or fall_s is None:
            return False
        return self._folds * fall_s > _FASTER * self.took_s
