"""The link: one asyncio loop on one worker thread for the program's life, running the gauges."""

import asyncio
import logging
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from queue import SimpleQueue

from app.gauge.place import Place
from app.jobfile.clock import JobClock
from sensors.events import Sensor, SensorError, SensorEvent
from sensors.loop_thread import LoopThread

_log = logging.getLogger(__name__)

STOP_WITHIN_S = 10.0
"""Longest wait for a sensor to clean up; a Bluetooth disconnect alone can take some seconds."""


@dataclass(frozen=True, slots=True)
class Failed:
    """The sensor gave up: nothing more comes until it is started anew or another is chosen."""

    time_s: float
    why: str


@dataclass(frozen=True, slots=True)
class Ended:
    """The sensor came to its end by itself, like a replay that is over."""

    time_s: float


LinkEvent = SensorEvent | Failed | Ended


@dataclass(frozen=True, slots=True)
class AtPump:
    """What the second gauge, at the pump, says.

    A type apart, so that nothing takes it for the far one's word by mistake: the far one decides.
    """

    event: LinkEvent


TakeEvent = Callable[[LinkEvent | AtPump], None]


class Link:
    """Run a sensor, or two, away from the window and hand on what they say.

    Every event goes, on the job's clock, first to ``emit`` (the recorder's ``put``) and then to
    :attr:`events` (drained by the window's timer), from the sensor's own thread: a stalled plot
    never loses a reading. What the gauge at the pump says comes as :class:`AtPump`. A sensor is
    run as it is: what keeps a gauge alive is around it already
    (``sensors.catalogue.open_sensor``). Asking for something never blocks, except :meth:`stop`
    and :meth:`close`, which wait for the clean-up; do not call those two from ``emit``.

    Parameters
    ----------
    clock
        Puts event times on the job's clock: ``Recorder.clock``, or one of its own when nothing
        is recorded.
    """

    def __init__(self, *, clock: JobClock | None = None) -> None:
        self.events: SimpleQueue[LinkEvent | AtPump] = SimpleQueue()
        self.clock = clock or JobClock()
        self._loop = LoopThread("simmerdown-link")
        self._turn = asyncio.Lock()  # requests take effect one after the other, in order
        self._runs_at: dict[Place, _Run] = {}

    def __enter__(self) -> "Link":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def start(self, sensor: Sensor, emit: TakeEvent | None = None, *, place: Place = "far") -> None:
        """Run this sensor, instead of the one that runs there if any. Returns at once."""
        self._loop.run(self._replace(place, sensor, emit))

    def leave(self, place: Place) -> None:
        """Stop the sensor there, if any; the other goes on. Returns at once."""
        self._loop.run(self._replace(place, None, None))

    def stop(self, within_s: float = STOP_WITHIN_S) -> bool:
        """Stop all sensors and wait until they are cleaned up; say whether it was in time."""
        if not self._loop.is_begun:
            return True
        try:
            self._loop.run(self._stop_all()).result(within_s)
        except TimeoutError:
            return False
        return True

    def close(self, within_s: float = STOP_WITHIN_S) -> bool:
        """Stop the sensors, end the loop, join the thread; say whether all ended in time."""
        is_stopped = self.stop(within_s)
        is_ended = self._loop.end(within_s)
        self._turn = asyncio.Lock()  # each belongs to the loop that first waits for it
        return is_stopped and is_ended

    async def _stop_all(self) -> None:
        async with self._turn:
            await asyncio.gather(*(run.end() for run in self._runs_at.values()))
            self._runs_at.clear()

    async def _replace(self, place: Place, sensor: Sensor | None, emit: TakeEvent | None) -> None:
        async with self._turn:
            present = self._runs_at.pop(place, None)
            if present is not None:
                await present.end()
            if sensor is not None:
                self.clock.begin_run(place)
                take = partial(self._take, place, emit)
                self._runs_at[place] = _Run(sensor, place, self.clock, take)

    def _take(self, place: Place, emit: TakeEvent | None, event: LinkEvent) -> None:
        told = event if place == "far" else AtPump(event)
        try:
            if emit is not None:
                emit(told)
        except Exception:  # a fault in the recorder is no reason to stop reading or drawing
            _log.exception("the recorder did not take an event")
        self.events.put(told)


class _Run:
    """One sensor from its start to its end."""

    def __init__(
        self, sensor: Sensor, place: Place, clock: JobClock, take: Callable[[LinkEvent], None]
    ) -> None:
        self._sensor, self._place = sensor, place
        self._clock, self._take = clock, take
        self._is_ended = False
        self._task = asyncio.get_running_loop().create_task(self._follow(), name=sensor.name)

    async def end(self) -> None:
        """Cancel the sensor and wait for its clean-up."""
        self._task.cancel()
        await asyncio.wait({self._task})
        self._is_ended = True

    def _emit(self, event: SensorEvent) -> None:
        # A driver's thread that outlives its sensor must not speak into the next one's run.
        if not self._is_ended:
            self._take(self._clock.to_job(event, self._place))

    async def _follow(self) -> None:
        """Run the sensor; whatever ends it becomes the run's last event, but for being stopped."""
        try:
            await self._sensor.run(self._emit)
        except SensorError as error:
            self._take(Failed(self._clock.now_s(), str(error)))
        except Exception as error:
            _log.exception("the sensor %s broke", self._sensor.name)
            why = f"{self._sensor.name} broke in a way it should not: {error!r}."
            self._take(Failed(self._clock.now_s(), why))
        else:
            self._take(Ended(self._clock.now_s()))
