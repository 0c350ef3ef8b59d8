"""Keeps any sensor running: silence watchdog, reconnection with back-off, one word a change."""

import asyncio
import threading

from sensors.clock import Clock, Sleep, now_s
from sensors.events import (
    Connected,
    Emit,
    Lost,
    Reading,
    Rejected,
    Sensor,
    SensorError,
    SensorEvent,
)
from sensors.own_pace import OwnPace

# The watchdog looks at its clock at least this often, since a computer's sleep stops the loop's
# timers while the clock goes on.
_LOOK_S = 1.0
# A look that comes this much late was not held up by a busy machine: the computer slept.
_NAP_S = 5.0
# So many of a slow gauge's own pauses are silence (common practice, no source).
_SILENT_PAUSES = 3.0
# A driver that hangs in the kernel may take its time to stop; the loss is told anyway.
_STOP_S = 2.0


class KeepAlive:
    """Run a sensor again and again, from outside.

    ``Lost`` and ``Connected`` come out once per change, whatever the sensor within says: a
    failed try while lost is not told again. Nothing else is changed or held back. A final
    ``SensorError`` passes through, and a sensor that returns is exhausted.

    Not for sensors that begin anew when they are run again (a replayed file).

    Parameters
    ----------
    sensor
        The sensor to keep alive.
    silence_s
        Without a reading or a rejected line for this long the sensor is stopped and run
        again, > 0. 30 s by default (common practice, no source). A gauge that is heard to speak
        more rarely is silent only after three of its own pauses.
    first_retry_s, longest_retry_s
        The wait before the first new try; it doubles up to the longest, and is the first again
        once something was read.
    clock, sleep
        Seconds that count through sleep, and how to wait; tests give their own.
    """

    def __init__(
        self,
        sensor: Sensor,
        *,
        silence_s: float = 30.0,
        first_retry_s: float = 0.5,
        longest_retry_s: float = 10.0,
        clock: Clock = now_s,
        sleep: Sleep = asyncio.sleep,
    ) -> None:
        if not (silence_s > 0 and 0 < first_retry_s <= longest_retry_s):
            raise ValueError("silence_s and the retry times must be positive and in order")
        self._sensor = sensor
        self._silence_s = silence_s
        self._first_retry_s, self._longest_retry_s = first_retry_s, longest_retry_s
        self._clock, self._sleep = clock, sleep
        self._lock = threading.Lock()  # emit may be called from any thread
        self._is_connected: bool | None = None  # None: neither has been told yet
        self._has_read = False
        self._heard_s = 0.0
        self._pace = OwnPace()

    @property
    def name(self) -> str:
        """The address of the sensor within."""
        return self._sensor.name

    async def run(self, emit: Emit) -> None:
        """Emit until the sensor is exhausted (return), finally broken, or this is cancelled."""
        self._is_connected = None
        retry_s = self._first_retry_s
        while (why := await self._run_once(emit)) is not None:
            self._tell_lost(why, emit)
            if self._has_read:
                retry_s = self._first_retry_s
            await self._sleep(retry_s)
            retry_s = min(2 * retry_s, self._longest_retry_s)

    async def _run_once(self, emit: Emit) -> str | None:
        """Run the sensor once; say why it ended, or ``None`` when it is exhausted."""
        self._has_read = False
        self._heard_s = self._clock()
        inner = asyncio.ensure_future(self._sensor.run(lambda event: self._pass_on(event, emit)))
        watch = asyncio.ensure_future(self._watch())
        try:
            await asyncio.wait({inner, watch}, return_when=asyncio.FIRST_COMPLETED)
            if not inner.done():
                inner.cancel()
                await asyncio.wait({inner}, timeout=_STOP_S)
                self._tell_lost(watch.result(), emit)
                await asyncio.wait({inner})
        finally:
            inner.cancel()
            watch.cancel()
            await asyncio.gather(inner, watch, return_exceptions=True)
        return _outcome(inner)

    async def _watch(self) -> str:
        """Wait for silence; say how it came about."""
        overslept_s = 0.0
        while (left_s := self._heard_s + self._longest_s() - self._clock()) > 0:
            step_s, from_s = min(left_s, _LOOK_S), self._clock()
            await self._sleep(step_s)
            overslept_s = self._clock() - from_s - step_s
        if overslept_s > _NAP_S:
            return f"The computer slept for {overslept_s:.0f} s, and nothing was heard since."
        return f"Nothing was heard for {self._longest_s():.3g} s."

    def _longest_s(self) -> float:
        """Give how long the gauge may be silent."""
        return max(self._silence_s, _SILENT_PAUSES * (self._pace.pause_s or 0.0))

    def _pass_on(self, event: SensorEvent, emit: Emit) -> None:
        if isinstance(event, Lost):
            self._tell_lost(event.why, emit)
            return
        with self._lock:
            self._heard_s = self._clock()
            if isinstance(event, Reading | Rejected):
                self._has_read = True
                self._pace.heard(self._heard_s)
            if isinstance(event, Connected) and self._is_connected:
                return
            # A sensor that reads is connected, whether it says so or not.
            if isinstance(event, Reading) and not self._is_connected:
                emit(Connected(event.time_s, self.name))
            if isinstance(event, Connected | Reading):
                self._is_connected = True
            emit(event)

    def _tell_lost(self, why: str, emit: Emit) -> None:
        with self._lock:
            if self._is_connected is not False:
                self._is_connected = False
                emit(Lost(self._clock(), why))


def _outcome(inner: asyncio.Future[None]) -> str | None:
    if inner.cancelled():
        return "The sensor was stopped."
    error = inner.exception()
    if error is None:
        return None
    if isinstance(error, SensorError) and not error.is_final:
        return str(error)
    raise error
