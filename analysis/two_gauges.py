"""Two gauges on one circuit: what the far one's reading against the one at the pump means.

In steady flow the same gas passes both, ``Q = S P_pump = S_eff P_far``, so ``P_pump / P_far`` is
the share of the pump's speed that is left at the far side (``1/S_eff = 1/S + 1/C``, see
``analysis/flow.py``). Wrong while the pressure falls quickly, where gas is still on its way, and
with the valve closed: call :meth:`TwoGauges.forget` then.
"""

import math
from collections import deque
from typing import Final

from analysis.flow import Hose, conductance_m3_s, effective_speed_m3_s
from analysis.middle import median
from analysis.reason import Reason
from analysis.sample import Sample, Status

LEVEL_S: Final = 10.0  # a level is the median of this long: a glitch does not count
FOLLOWS_S: Final = 60.0  # a side that has not fallen within this long does not follow
SILENT_S: Final = 10.0  # a gauge that has said nothing for this long tells nothing of the other
# What a usual rig leaves (common practice, no source): a hose of 1/4 in, some 5 mm wide and 1.5 m
# long, and a pump of 5 m3/h. By analysis/flow.py that is 2 % at 500 micron already, so that only
# what lies well under it is worth a word.
USUAL_HOSE: Final = Hose(bore_m=0.005, length_m=1.5)
USUAL_PUMP_M3_S: Final = 1.4e-3
RESTRICTED: Final = 1.0 / 3.0  # of the usual conductance
RELEASED: Final = 0.5  # apart from the one above, so that the sentence does not flicker
_HALF: Final = 0.5  # two thermal gauges may differ by a quarter with nothing between them
_STILL: Final = 0.95  # of its level before: less of a fall is none
_FELL: Final = 0.5  # ... and so much of a fall at the pump ought to have been followed
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
    ...     gauges.take_pump(Point(time_s=at_s, pressure_pa=0.2, status="ok"))
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
        share, usual_share = pump_pa / far_pa, usual(far_pa, pump_pa)
        is_restricted = self._is_restricted(share, usual_share)
        if self._is_left_behind(now_s, far_pa, pump_pa):
            self._left_at_pa = far_pa
        elif not is_restricted or far_pa < _FOLLOWS_AFTER_ALL * self._left_at_pa:
            self._left_at_pa = math.inf
        if not is_restricted:
            return None
        if self._left_at_pa < math.inf:
            return Reason("far-not-following", values)
        shares = {"share": share, "usual_share": usual_share}
        return Reason("far-restricted", {**values, **shares})

    def _is_restricted(self, share: float, usual_share: float) -> bool:
        if share >= _HALF:
            return False
        is_told = self._code in ("far-restricted", "far-not-following")
        # share / (1 - share) = C / S, from S P_pump = C (P_far - P_pump)
        conductance = share / (1.0 - share) / (usual_share / (1.0 - usual_share))
        return conductance < (RELEASED if is_told else RESTRICTED)

    def _is_left_behind(self, now_s: float, far_pa: float, pump_pa: float) -> bool:
        """Tell whether the pump's side fell within the last minute and the far side did not.

        A low share alone does not say so: behind a thin hose the far side stays high for good.
        """
        far_before_pa = self._far.level_pa(now_s, FOLLOWS_S)
        pump_before_pa = self._pump.level_pa(now_s, FOLLOWS_S)
        if far_before_pa is None or pump_before_pa is None:
            return False
        return far_pa > _STILL * far_before_pa and pump_pa < _FELL * pump_before_pa


def usual(far_pa: float, pump_pa: float) -> float:
    """Share of the pump's speed that a usual hose leaves at the hose's mean pressure.

    Examples
    --------
    >>> round(usual(66.7, 3.0), 3)  # 500 micron at the far side
    0.019
    """
    conductance = conductance_m3_s(USUAL_HOSE, 0.5 * (far_pa + pump_pa))
    return effective_speed_m3_s(USUAL_PUMP_M3_S, conductance) / USUAL_PUMP_M3_S


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
