"""Whether a reading is a new one, or the last one shown again by a gauge read too often."""

from collections import deque

# Values remembered, and how many must be known; judged anew each so many.
_REMEMBERED, _FEWEST, _EVERY = 31, 10, 8
# Where a gauge measures anew, one value in so many may still be shown for less than that long: by
# the reading's own pace, and where an odd value came between.
_ODD = 5
# Gauges measure anew each few seconds at least; a trace may stand still for longer.
_SLOWEST_S = 3.0
# A new measurement is waited for by so much longer than values are shown at least.
_LATE = 1.2


class Refresh:
    """Tell the readings that only repeat the last, where a gauge is seen to show values for long.

    Such a gauge is read more often than it measures: what is repeated tells nothing new, and is
    neither little noise nor a stuck gauge. White noise leaves a value, or comes back to it, at
    the next reading often, also where the trace mostly sticks to a rounding step; here hardly any
    value is shown only once. On a fall through rounding steps neither is, but that goes downward
    only: there it is not looked for. A value that stays for longer was measured again, and is
    told so often.
    """

    def __init__(self) -> None:
        self._shown_pa: float | None = None
        self._from_s = self._taken_s = 0.0
        self._count = 0
        self._values: deque[tuple[float, int, bool]] = deque(maxlen=_REMEMBERED)
        self._since = 0
        self._once = 0  # so many values in a row were shown but once
        self._wait_s = 0.0  # repeats are dropped so long; 0 where the gauge is not seen to repeat

    def is_repeat(self, time_s: float, pressure_pa: float) -> bool:
        """Take a reading; say whether it is to be dropped."""
        if pressure_pa == self._shown_pa:
            self._count += 1
            if time_s - self._taken_s < self._wait_s:
                return True
        else:
            if self._shown_pa is not None:
                is_up = pressure_pa > self._shown_pa
                self._values.append((time_s - self._from_s, self._count, is_up))
                self._once = self._once + 1 if self._count == 1 else 0
                self._since += 1
                if self._since >= _EVERY and len(self._values) >= _FEWEST:
                    self._since = 0
                    self._judge()
            self._shown_pa, self._from_s, self._count = pressure_pa, time_s, 1
        self._taken_s = time_s
        return False

    def _judge(self) -> None:
        if self._once >= len(self._values):
            self._wait_s = 0.0  # by far the most gauges: nothing to sort
            return
        few = len(self._values) // _ODD
        length_s, count, _ = sorted(self._values)[few]
        goes_up = self._wait_s > 0.0 or sum([is_up for _, _, is_up in self._values]) >= few
        repeats = count >= 2 and length_s < _SLOWEST_S and goes_up
        self._wait_s = _LATE * length_s if repeats else 0.0
