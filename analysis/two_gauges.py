"""Two gauges on one circuit: what the far one's reading against the one at the pump means.

In steady flow the same gas passes both, ``Q = S P_pump = S_eff P_far``, so ``P_pump / P_far`` is
the share of the pump's speed that is left at the far side (``1/S_eff = 1/S + 1/C``, see
``analysis/flow.py``). Wrong while the pressure falls quickly, where gas is still on its way, and
with the valve closed: call :meth:`TwoGauges.forget` then.
"""

import math
from collections import deque
from statistics import median
from typing import Final

from analysis.reason import Reason
from analysis.sample import Sample, Status

LEVEL_S: Final = 10.0  # a level is the median of this long: a glitch does not count
FOLLOWS_S: Final = 60.0  # a side that has not fallen within this long does not follow
SILENT_S: Final = 10.0  # a gauge that has said nothing for this long tells nothing of the other
# The shares are common practice with no published source. Two thermal gauges may differ by a
# quarter with nothing between them, so that under a half is sure to be the way between; a hose of
# 1/4 in alone leaves a few per cent in molecular flow, and that is worth knowing.
RESTRICTED_SHARE: Final = 0.2
RELEASED_SHARE: Final = 0.3  # apart from the one above, so that the sentence does not flicker
SHUT_SHARE: Final = 0.1
_STILL: Final = 0.95  # of its level before: less of a fall is none
_FELL: Final = (
    0.5  # ... and so much of one, at the pump in the same time, ought to have been followed
)
_FOLLOWS_AFTER_ALL: Final = 0.8  # of the level at which it stayed behind
_SWAPPED: Final = 1.5  # times higher at the pump than at the far side, which no flow explains
_EVERY_S: Final = 0.5  # one reading in so long is enough for a median, at any rate


class TwoGauges:
    """Follow both gauges while the pump pulls on the circuit.

    Examples
    --------
    >>> from types import SimpleNamespace as Point
    >>> gauges = TwoGauges()
    >>> for at_s in range(80):
    ...     gauges.take_far(Point(time_s=at_s, pressure_pa=100 * 0.99**at_s, status="ok"))
    ...     gauges.take_pump(Point(time_s=at_s, pressure_pa=5.0, status="ok"))
    >>> gauges.judge(80.0).code
    'far-restricted'
    """

    def __init__(self) -> None:
        self.forget()

    def forget(self) -> None:
        """Begin anew: the valve was moved, or a gauge was changed."""
        self._far, self._pump = _Side(), _Side()
        self._code = ""
        self._left_at_pa = math.inf  # the far side's level when it stayed behind

    def take_far(self, sample: Sample) -> None:
        """Take a reading of the far gauge."""
        self._far.take(sample)

    def take_pump(self, sample: Sample) -> None:
        """Take a reading of the gauge at the pump."""
        self._pump.take(sample)

    def judge(self, now_s: float) -> Reason | None:
        """Say what the difference means now, or ``None`` where it means nothing.

        Codes: ``far-silent``, ``pump-above-far``, ``far-not-following``, ``far-restricted``.
        """
        reason = self._judge(now_s)
        self._code = "" if reason is None else reason.code
        return reason

    def _judge(self, now_s: float) -> Reason | None:
        pump_pa = self._pump.level_pa(now_s)
        if pump_pa is None:
            return None
        far_pa = self._far.level_pa(now_s)
        if far_pa is None:
            has_spoken = self._far.newest_s > -math.inf
            return Reason("far-silent", {"pump_pa": pump_pa}) if has_spoken else None
        values = {"far_pa": far_pa, "pump_pa": pump_pa}
        # At the end of its range a reading is a bound: it counts only where the bound says enough.
        if self._pump.status == "over-range" or self._far.status == "under-range":
            return None
        if pump_pa > _SWAPPED * far_pa and self._far.status == "ok":
            return Reason("pump-above-far", values)
        if far_pa <= 0.0:
            return None
        share = pump_pa / far_pa
        if self._is_left_behind(now_s, far_pa, pump_pa):
            self._left_at_pa = far_pa
        elif share > SHUT_SHARE or far_pa < _FOLLOWS_AFTER_ALL * self._left_at_pa:
            self._left_at_pa = math.inf
        if share < SHUT_SHARE and self._left_at_pa < math.inf:
            return Reason("far-not-following", values)
        is_told = self._code in ("far-restricted", "far-not-following")
        if share < (RELEASED_SHARE if is_told else RESTRICTED_SHARE):
            return Reason("far-restricted", {**values, "share": share})
        return None

    def _is_left_behind(self, now_s: float, far_pa: float, pump_pa: float) -> bool:
        """Tell whether the pump's side fell within the last minute and the far side did not.

        A low share alone does not say so: behind a thin hose the far side stays high for good.
        """
        far_before_pa = self._far.level_pa(now_s, FOLLOWS_S)
        pump_before_pa = self._pump.level_pa(now_s, FOLLOWS_S)
        if far_before_pa is None or pump_before_pa is None:
            return False
        return far_pa > _STILL * far_before_pa and pump_pa < _FELL * pump_before_pa


class _Side:
    """The readings of one gauge within the last minute and a little."""

    def __init__(self) -> None:
        self._readings: deque[tuple[float, float]] = deque()
        self.newest_s = -math.inf
        self.status: Status = "ok"

    def take(self, sample: Sample) -> None:
        self.newest_s, self.status = sample.time_s, sample.status
        readings = self._readings
        if readings and sample.time_s - readings[-1][0] < _EVERY_S:
            return
        readings.append((sample.time_s, sample.pressure_pa))
        while readings[0][0] < sample.time_s - FOLLOWS_S - LEVEL_S:
            readings.popleft()

    def level_pa(self, now_s: float, ago_s: float = 0.0) -> float | None:
        """Median of the ``LEVEL_S`` before; ``None`` without a reading there."""
        if now_s - self.newest_s > SILENT_S:
            return None
        until_s = now_s - ago_s
        inside = [pa for time_s, pa in self._readings if until_s - LEVEL_S <= time_s <= until_s]
        return median(inside) if inside else None
