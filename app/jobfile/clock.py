"""The job's own clock: seconds since the job's UTC start, whatever zero a sensor counts from."""

import math
import threading
from dataclasses import replace
from typing import TypeVar

from app.gauge.place import Place
from sensors.clock import Clock, now_s
from sensors.events import Connected, Lost, Reading, Rejected

_Event = TypeVar("_Event", bound=Connected | Lost | Reading | Rejected)


class JobClock:
    """Turn a sensor's times into job times, the same for the record and for the analysis.

    The first event of a run is taken to happen now; from there the sensor's own clock counts, so
    a stepped wall clock never touches a running job. Each of two gauges has its own zero. Safe
    from any thread.

    Parameters
    ----------
    start_s
        Job time at this moment (0 for a new job), seconds.
    steady
        Seconds from any fixed zero, counting through sleep.

    Examples
    --------
    >>> clock = JobClock(100.0, steady=lambda: 7.0)
    >>> clock.to_job(Reading(5000.0, 20.0)).time_s, clock.to_job(Reading(5000.5, 20.0)).time_s
    (100.0, 100.5)
    """

    def __init__(self, start_s: float = 0.0, *, steady: Clock = now_s) -> None:
        self._steady = steady
        self._zero_s = steady() - start_s
        self._latest_s: dict[Place, float] = {"far": start_s, "pump": start_s}
        self._offsets_s: dict[Place, float] = {}
        self._lock = threading.Lock()

    def now_s(self) -> float:
        """Job time now; never before the far gauge's latest event (a replay may run ahead)."""
        with self._lock:
            return self._now_s()

    def begin_run(self, place: Place = "far") -> None:
        """Another sensor, or the same one opened anew, begins: its zero is not known yet."""
        with self._lock:
            self._offsets_s.pop(place, None)

    def to_job(self, event: _Event, place: Place = "far") -> _Event:
        """Return the event with its ``time_s`` on the job's clock."""
        with self._lock:
            if not math.isfinite(event.time_s):
                return event
            if place not in self._offsets_s:
                begun_s = max(self._now_s(), self._latest_s[place])
                self._offsets_s[place] = begun_s - event.time_s
            time_s = event.time_s + self._offsets_s[place]
            self._latest_s[place] = max(self._latest_s[place], time_s)
        return replace(event, time_s=time_s)

    def _now_s(self) -> float:
        # The gauge at the pump tells the analysis nothing, not even the time.
        return max(self._steady() - self._zero_s, self._latest_s["far"])
