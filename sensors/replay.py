"""A recording played as if it were measured now."""

import asyncio
import math
import os
from collections.abc import Callable, Iterator
from functools import partial

from sensors.clock import Clock, Sleep, now_s
from sensors.csv_file import read_csv
from sensors.events import Connected, Emit, Reading, SensorError
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
    source
        A CSV file's path, a series, or a function that loads one (called on another thread).
    speed
        10 plays ten times as fast; 0 plays as fast as possible.
    name
        The address; found from the path when left out.
    clock, sleep
        Seconds that count through sleep, and how to wait; tests give their own.
    """

    def __init__(
        self,
        source: str | os.PathLike[str] | Series | Callable[[], Series],
        *,
        speed: float = 1.0,
        name: str | None = None,
        clock: Clock = now_s,
        sleep: Sleep = asyncio.sleep,
    ) -> None:
        if not 0 <= speed < float("inf"):
            raise ValueError("speed must be 0 or more")
        self.name = name or "replay:"
        self.speed = speed
        self._load: Callable[[], Series]
        if isinstance(source, str | os.PathLike):
            self.name = name or f"replay:{os.fspath(source)}"
            self._load = partial(read_csv, source)
        elif isinstance(source, Series):
            self._load = partial(_same, source)
        else:
            self._load = source
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
        since_s = (series.time_s - series.time_s[:1]).tolist()
        for at, reading in enumerate(_readings(series, since_s, start_s)):
            await self._wait_until(start_s, since_s[at])
            if at % _AT_ONCE == 0:
                await asyncio.sleep(0)
            emit(reading)

    async def _wait_until(self, start_s: float, since_s: float) -> None:
        if self.speed == 0:
            return
        while (left_s := start_s + since_s / self.speed - self._clock()) > 0:
            # In short steps: a computer's sleep stops the loop's timers while the clock goes on.
            await self._sleep(min(left_s, 1.0))


def _readings(series: Series, since_s: list[float], start_s: float) -> Iterator[Reading]:
    pressures = series.pressure_pa.tolist()
    temperatures = [] if series.temperature_c is None else series.temperature_c.tolist()
    for at, since in enumerate(since_s):
        temperature_c = temperatures[at] if temperatures else None
        if temperature_c is not None and math.isnan(temperature_c):
            temperature_c = None
        status = "ok" if series.status is None else series.status[at]
        yield Reading(start_s + since, pressures[at], temperature_c, status)


def _same(series: Series) -> Series:
    return series
