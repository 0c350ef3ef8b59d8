"""Two gauges on one circuit: what the far one's reading against the one at the pump means.

In steady flow the same gas passes both, ``Q = S P_pump = S_eff P_far``, so ``P_pump / P_far`` is
the share of the pump's speed that is left at the far side (``1/S_eff = 1/S + 1/C``, see
``analysis/pump/flow.py``). Wrong while the pressure falls quickly, for two gauges lag differently,
and where the flow is not laminar: nothing is told then. Wrong with the valve closed: call
:meth:`TwoGauges.forget` then.
"""

import math
from collections import deque
from typing import Final, NamedTuple

from analysis.hold.rules import MICRON_PA
from analysis.pump.flow import Hose, conductance_m3_s, effective_speed_m3_s
from analysis.reason import Reason
from analysis.sample import Sample, Status

LEVEL_S: Final = 10.0  # a level is the median of this long: a glitch does not count
FOLLOWS_S: Final = 60.0  # a side that has not fallen within this long does not follow
SILENT_S: Final = 10.0  # a gauge that has said nothing for this long tells nothing of the other
_PAUSES: Final = 3.0  # ... or for so many of its usual pauses, where it measures seldom
# What a usual rig leaves (common practice, no source): a hose of 1/4 in, some 5 mm wide and 1.5 m
# long, and a pump of 5 m3/h. By analysis/pump/flow.py that is 2 % at 500 micron already, so that
# only what lies well under it is worth a word.
USUAL_HOSE: Final = Hose(bore_m=0.005, length_m=1.5)
USUAL_PUMP_M3_S: Final = 1.4e-3
RESTRICTED: Final = 1.0 / 3.0  # of the usual conductance
RELEASED: Final = 0.5  # apart from the one above, so that the sentence does not flicker
_HALF: Final = 0.5  # two thermal gauges may differ by a quarter with nothing between them
_STILL: Final = 0.95  # of its level before: less of a fall is none
_FELL: Final = 0.5  # ... and so much of a fall at the pump ought to have been followed
_FOLLOWS_AFTER_ALL: Final = 0.8  # of the level at which it stayed behind
_SWAPPED: Final = 1.5  # times higher at the pump than at the far side, which no flow explains
_ZEROS_PA: Final = 20 * MICRON_PA  # so much two thermal gauges' zeros may be apart [practice]
_STEADY: Final = 0.5  # of its level a minute ago: a lagging gauge's tail falls faster
_ROSE: Final = 2.0  # times its level a minute ago: air or nitrogen comes in
_HARDLY: Final = 0.1  # of a usual conductance: enough to call a bound a far side that stays
_AIR_PA: Final = 110e3  # over this it is nitrogen in a pressure test
_NO_PUMP_PA: Final = MICRON_PA  # under this no vane pump pulls: the gauge's zero is off
_AIR_FLOWS_PA: Final = 67.0  # as for a rush: no burst's rise, so that it is the pump that stands
# Where Reynolds' number in the usual hose is 2300, 4 P S / (pi d viscosity R T / M), air at 20 C.
_LAMINAR_PA: Final = (
    2300.0 * math.pi * USUAL_HOSE.bore_m * 1.82e-5 * 8.314 * 293.15 / 0.02896 / 4.0
) / USUAL_PUMP_M3_S
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

        Codes: ``far-silent``, ``pump-above-far``, ``pump-side-rose``, ``far-not-following``,
        ``far-restricted``.
        """
        reason = self._judge(now_s)
        self._code = "" if reason is None else reason.code
        return reason

    def _judge(self, now_s: float) -> Reason | None:
        pump = self._pump.level(now_s)
        if pump is None:
            return None
        far = self._far.level(now_s)
        if far is None:
            has_spoken = self._far.newest_s > -math.inf
            return Reason("far-silent", {"pump_pa": pump.pa}) if has_spoken else None
        # At the end of its range a reading is a bound: it counts only where the bound says enough.
        if pump.status == "over-range" or far.status == "under-range" or pump.pa > _AIR_PA:
            return None
        values = {"far_pa": far.pa, "pump_pa": pump.pa}
        is_above = pump.pa > _SWAPPED * far.pa + _ZEROS_PA
        if is_above and far.status == pump.status == "ok":
            return self._above(now_s, far.pa, pump.pa, values)
        if far.pa <= 0.0:
            return None
        return self._behind(now_s, far, pump.pa, values)

    def _above(
        self, now_s: float, far_pa: float, pump_pa: float, values: dict[str, float]
    ) -> Reason | None:
        """Say why it is higher at the pump, once that is no gauge that lags."""
        if self._code == "pump-side-rose":
            return Reason("pump-side-rose", values)
        far_before = self._far.level(now_s, FOLLOWS_S)
        pump_before = self._pump.level(now_s, FOLLOWS_S)
        if far_before is None or pump_before is None or far_pa < _STEADY * far_before.pa:
            return None
        was_above = pump_before.pa > _SWAPPED * far_before.pa + _ZEROS_PA
        if pump_pa > _ROSE * pump_before.pa and not was_above:
            return Reason("pump-side-rose", values) if pump_pa > _AIR_FLOWS_PA else None
        if pump_pa < _STEADY * pump_before.pa:
            return None
        return Reason("pump-above-far", values)

    def _behind(
        self, now_s: float, far: "_Level", pump_pa: float, values: dict[str, float]
    ) -> Reason | None:
        """Say whether something between the two holds the far side up."""
        likely_pa = pump_pa if pump_pa > _NO_PUMP_PA else _ZEROS_PA
        share, usual_share = likely_pa / far.pa, usual(far.pa, likely_pa)
        # share / (1 - share) = C / S, from S P_pump = C (P_far - P_pump)
        part = math.inf
        if share < _HALF and pump_pa < _LAMINAR_PA:
            part = share / (1.0 - share) / (usual_share / (1.0 - usual_share))
        is_told = self._code in ("far-restricted", "far-not-following")
        is_restricted = part < (RELEASED if is_told else RESTRICTED)
        before = self._far.level(now_s, FOLLOWS_S)
        if before is None or not is_restricted:
            self._left_at_pa = math.inf
            return None
        if self._is_left_behind(now_s, far, before, pump_pa, part):
            self._left_at_pa = far.pa
        elif far.pa < _FOLLOWS_AFTER_ALL * self._left_at_pa:
            self._left_at_pa = math.inf
        if self._left_at_pa < math.inf:
            return Reason("far-not-following", values)
        if not _STEADY * before.pa <= far.pa <= _ROSE * before.pa:
            return None  # it falls quickly, or gas is let in
        shares = {"share": share, "usual_share": usual_share}
        return Reason("far-restricted", {**values, **shares})

    def _is_left_behind(
        self, now_s: float, far: "_Level", before: "_Level", pump_pa: float, part: float
    ) -> bool:
        """Tell whether the pump's side fell within the last minute and the far side did not.

        A low share alone does not say so: behind a thin hose the far side stays high for good.
        Nor does a far gauge over its range, which shows the same while the far side comes down.
        """
        pump_before = self._pump.level(now_s, FOLLOWS_S)
        is_bound = far.status != "ok" or before.status != "ok"
        if pump_before is None or (is_bound and part > _HARDLY):
            return False
        return far.pa > _STILL * before.pa and pump_pa < _FELL * pump_before.pa


def usual(far_pa: float, pump_pa: float) -> float:
    """Share of the pump's speed that a usual hose leaves at the hose's mean pressure.

    Examples
    --------
    >>> round(usual(66.7, 3.0), 3)  # 500 micron at the far side
    0.019
    """
    conductance = conductance_m3_s(USUAL_HOSE, 0.5 * (far_pa + pump_pa))
    return effective_speed_m3_s(USUAL_PUMP_M3_S, conductance) / USUAL_PUMP_M3_S


class _Level(NamedTuple):
    """The middle reading of a gauge's last seconds; out of range it is a bound."""

    pa: float
    status: Status


class _Side:
    """The readings of one gauge within the last minute and a little."""

    def __init__(self) -> None:
        self._readings: deque[tuple[float, float, Status]] = deque()
        self.newest_s = -math.inf

    def take(self, sample: Sample) -> None:
        self.newest_s = sample.time_s
        readings = self._readings
        if readings and sample.time_s - readings[-1][0] < _EVERY_S:
            return
        readings.append((sample.time_s, sample.pressure_pa, sample.status))
        while len(readings) > 1 and readings[1][0] < sample.time_s - FOLLOWS_S - LEVEL_S:
            readings.popleft()

    def level(self, now_s: float, ago_s: float = 0.0) -> _Level | None:
        """Median of the ``LEVEL_S`` before, or of a gauge that measures seldom the last reading.

        ``None`` where it is silent, or did not speak yet.
        """
        silent_s = max(SILENT_S, _PAUSES * self._pause_s())
        if now_s - self.newest_s > silent_s:
            return None
        until_s = now_s - ago_s
        spoken = [each for each in self._readings if each[0] <= until_s]
        inside = [each for each in spoken if each[0] >= until_s - LEVEL_S]
        if not inside and spoken and spoken[-1][0] >= until_s - silent_s:
            inside = spoken[-1:]
        if not inside:
            return None
        inside.sort(key=lambda each: each[1])
        low, high = inside[(len(inside) - 1) // 2], inside[len(inside) // 2]
        return _Level(0.5 * (low[1] + high[1]), high[2] if low[2] == "ok" else low[2])

    def _pause_s(self) -> float:
        """Give how long it usually pauses between two readings, s."""
        readings = self._readings
        if len(readings) < 2:
            return 0.0
        return (readings[-1][0] - readings[0][0]) / (len(readings) - 1)
