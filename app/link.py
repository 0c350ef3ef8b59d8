"""The link: one asyncio loop on one worker thread for the program's life, running one sensor."""

import asyncio
import logging
import threading
from collections.abc import Callable, Coroutine
from concurrent.futures import Future
from dataclasses import dataclass
from queue import SimpleQueue
from typing import Any

from app.jobfile.clock import JobClock
from sensors.events import Sensor, SensorError, SensorEvent

_log = logging.getLogger(__name__)

STOP_WITHIN_S = 10.0
"""Longest wait for a sensor to clean up; a Bluetooth disconnect alone can take some seconds."""


@dataclass(frozen=True, slots=True)
class Failed:
    """The sensor gave up: nothing more comes until it is started anew or another is chosen."""

    time_s: float
    why: str
    is_final: bool = True


@dataclass(frozen=True, slots=True)
class Ended:
    """The sensor came to its end by itself, like a replay that is over."""

    time_s: float


LinkEvent = SensorEvent | Failed | Ended
TakeEvent = Callable[[LinkEvent], None]


class Link:
    """Run a sensor away from the window and hand on what it says.

    Every event goes, on the job's clock, first to ``emit`` (the recorder's ``put``) and then to
    :attr:`events` (drained by the window's timer), from the sensor's own thread: a stalled plot
    never loses a reading. A sensor is run as it is: what keeps a gauge alive is around it already
    (``sensors.catalogue.open_sensor``). Asking for something never blocks, except :meth:`stop` and
    :meth:`close`, which wait for the sensor's clean-up; do not call those two from ``emit``.

    Parameters
    ----------
    clock
        Puts event times on the job's clock: ``Recorder.clock``, or one of its own when nothing
        is recorded.
    """

    def __init__(self, *, clock: JobClock | None = None) -> None:
        self.events: SimpleQueue[LinkEvent] = SimpleQueue()
        self.clock = clock or JobClock()
        self._emit: TakeEvent | None = None
        self._runs = threading.Lock()  # guards starting and ending the thread
        self._loop: asyncio.AbstractEventLoop | None = None
        self._thread: threading.Thread | None = None
        self._turn = asyncio.Lock()  # requests take effect one after the other, in order
        self._run: _Run | None = None

    def __enter__(self) -> "Link":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def start(self, sensor: Sensor, emit: TakeEvent | None = None) -> None:
        """Run this sensor, instead of the one that runs if any. Returns at once."""
        self._ask(self._replace(sensor, lambda _: emit))

    def switch(self, sensor: Sensor) -> None:
        """Run another sensor with the same ``emit`` once the present one is cleaned up."""
        self._ask(self._replace(sensor, lambda present: present))

    def stop(self, within_s: float = STOP_WITHIN_S) -> bool:
        """Stop the sensor and wait until it is cleaned up; say whether it was in time."""
        if self._thread is None:
            return True
        try:
            self._ask(self._replace(None, lambda _: None)).result(within_s)
        except TimeoutError:
            return False
        return True

    def close(self, within_s: float = STOP_WITHIN_S) -> bool:
        """Stop the sensor, end the loop, join the thread; say whether all ended in time."""
        is_stopped = self.stop(within_s)
        with self._runs:
            loop, thread = self._loop, self._thread
            self._loop = self._thread = None
        if loop is None or thread is None:
            return is_stopped
        loop.call_soon_threadsafe(loop.stop)
        thread.join(within_s)
        return is_stopped and not thread.is_alive()

    def _ask(self, request: Coroutine[Any, Any, None]) -> Future[None]:
        with self._runs:
            if self._loop is None:
                ready: SimpleQueue[asyncio.AbstractEventLoop] = SimpleQueue()
                self._thread = threading.Thread(
                    target=_serve, args=(ready,), name="simmerdown-link", daemon=True
                )
                self._turn = asyncio.Lock()
                self._thread.start()
                self._loop = ready.get()
            return asyncio.run_coroutine_threadsafe(request, self._loop)

    async def _replace(
        self, sensor: Sensor | None, choose: Callable[[TakeEvent | None], TakeEvent | None]
    ) -> None:
        async with self._turn:
            if self._run is not None:
                await self._run.end()  # its last words still go where the others went
                self._run = None
            self._emit = choose(self._emit)
            if sensor is not None:
                self.clock.begin_run()
                self._run = _Run(sensor, self.clock, self._take)

    def _take(self, event: LinkEvent) -> None:
        try:
            if self._emit is not None:
                self._emit(event)
        except Exception:  # a fault in the recorder is no reason to stop reading or drawing
            _log.exception("the recorder did not take an event")
        self.events.put(event)


class _Run:
    """One sensor from its start to its end."""

    def __init__(self, sensor: Sensor, clock: JobClock, take: TakeEvent) -> None:
        self._sensor = sensor
        self._clock = clock
        self._take = take
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
            self._take(self._clock.to_job(event))

    async def _follow(self) -> None:
        """Run the sensor; whatever ends it becomes the run's last event, but for being stopped."""
        try:
            await self._sensor.run(self._emit)
        except SensorError as error:
            self._take(Failed(self._clock.now_s(), str(error), error.is_final))
        except Exception as error:
            _log.exception("the sensor %s broke", self._sensor.name)
            why = f"{self._sensor.name} broke in a way it should not: {error!r}."
            self._take(Failed(self._clock.now_s(), why))
        else:
            self._take(Ended(self._clock.now_s()))


def _serve(ready: "SimpleQueue[asyncio.AbstractEventLoop]") -> None:
    """Run a loop until it is stopped; then cancel what is left, and close it."""
    with asyncio.Runner() as runner:
        loop = runner.get_loop()
        ready.put(loop)
        loop.run_forever()
