"""The second gauge, at the pump, seen again beside the far one: as live, once a second."""

from dataclasses import dataclass, replace

from analysis.reason import Reason
from analysis.sample import Mark, Sample
from analysis.snapshot import Snapshot
from app.jobfile.readings import Readings
from app.rig.pump_side import PumpSide
from sensors.events import Reading

_SHORTEST_S = 10.0  # what was said for less, as while a valve is turned, is not worth a line


@dataclass(frozen=True, slots=True)
class Said:
    """What the two gauges together meant, from when on (job time) and for how long in all.

    ``reason`` is the last of its kind, with the figures of then.
    """

    reason: Reason
    from_s: float
    for_s: float


@dataclass(frozen=True, slots=True)
class PumpGaugeSeen:
    """What the gauge at the pump showed. Times are seconds of the job's own clock."""

    count: int
    from_s: float
    until_s: float
    lowest_pa: float | None
    said: tuple[Said, ...]


class PumpGauge:
    """Follows a job's second gauge while its far one goes through the analysis.

    Parameters
    ----------
    readings
        The second gauge's.
    """

    def __init__(self, readings: Readings) -> None:
        self._readings, self._next = readings, 0
        self._times_s = readings.time_s.tolist()
        self._side = PumpSide()
        self._side.change("job")
        self._said: dict[str, Said] = {}
        self._before_s: float | None = None

    def take(self, item: Sample | Mark, snapshot: Snapshot) -> None:
        """Take what the far gauge said, or a mark, and what was known after it."""
        if not self._times_s:
            return
        now_s = item.time_s
        while self._next < len(self._times_s) and self._times_s[self._next] <= now_s:
            self._side.take(self._readings[self._next])
            self._judge(self._times_s[self._next], snapshot)
            self._next += 1
        if isinstance(item, Reading):
            self._side.take_far(item)
        self._judge(now_s, snapshot)

    def _judge(self, now_s: float, snapshot: Snapshot) -> None:
        self._side.judge(now_s, snapshot)
        passed_s = 0.0 if self._before_s is None else max(now_s - self._before_s, 0.0)
        self._before_s = now_s
        reason = self._side.difference
        if reason is not None:
            said = self._said.get(reason.code, Said(reason, now_s, 0.0))
            for_s = said.for_s + passed_s
            self._said[reason.code] = replace(said, reason=reason, for_s=for_s)

    def seen(self) -> PumpGaugeSeen | None:
        """Give all that was seen; ``None`` without a second gauge."""
        if not self._times_s:
            return None
        is_ok = self._readings.status == 0
        pressures_pa = self._readings.pressure_pa[is_ok]
        return PumpGaugeSeen(
            count=len(self._times_s),
            from_s=self._times_s[0],
            until_s=self._times_s[-1],
            lowest_pa=float(pressures_pa.min()) if len(pressures_pa) else None,
            said=tuple(each for each in self._said.values() if each.for_s >= _SHORTEST_S),
        )
