"""A recording played as if it were measured now."""

import asyncio
from collections.abc import Callable
from dataclasses import replace

from sensors.clock import Clock, Sleep, now_s
from sensors.events import Connected, Emit, SensorError
from sensors.sentence import some
from sensors.series import Series

# How many readings go out at once before others on the same loop get their turn.
_AT_ONCE = 500


class Replay:
    """Play a recording.

    ``time_s`` of a reading is the moment the replay began plus the time since the recording's
    first reading, whatever the speed, so that rates and lulls stay those of the recording. At a
    speed above 1 it therefore runs ahead of the clock.

    Parameters
    ----------
    load
        Loads the recording; called on another thread.
    speed
        10 plays ten times as fast; 0 plays as fast as possible.
    name
        The address.
    clock, sleep
        Seconds that count through sleep, and how to wait; tests give their own.
    """

    def __init__(
        self,
        load: Callable[[], Series],
        *,
        speed: float = 1.0,
        name: str = "replay:",
        clock: Clock = now_s,
        sleep: Sleep = asyncio.sleep,
    ) -> None:
        if not 0 <= speed < float("inf"):
            raise ValueError("speed must be 0 or more")
        self.name, self.speed, self._load = name, speed, load
        self._clock, self._sleep = clock, sleep

    async def run(self, emit: Emit) -> None:
        """Play to the end.

        Raises
        ------
        SensorError
            Final, if the recording cannot be read.
        """
        try:
            series = await asyncio.to_thread(self._load)
        except (ValueError, OSError) as error:
            raise SensorError(str(error), is_final=True) from error
        start_s = self._clock()
        emit(Connected(start_s, some(len(series.time_s), "recorded reading")))
        played = replace(series, time_s=series.time_s - series.time_s[:1] + start_s)
        for at, reading in enumerate(played.readings()):
            await self._wait_until(start_s, reading.time_s - start_s)
            if at % _AT_ONCE == 0:
                await asyncio.sleep(0)
            emit(reading)

    async def _wait_until(self, start_s: float, since_s: float) -> None:
        if self.speed == 0:
            return
        while (left_s := start_s + since_s / self.speed - self._clock()) > 0:
            # In short steps: a computer's sleep stops the loop's timers while the clock goes on.
            await self._sleep(min(left_s, 1.0))
