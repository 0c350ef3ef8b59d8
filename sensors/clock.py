"""Seconds that count through sleep, so that a laptop's nap shows as a gap and not as nothing."""

import sys
import time
from collections.abc import Awaitable, Callable

Clock = Callable[[], float]
Sleep = Callable[[float], Awaitable[object]]

if sys.platform == "win32":

    def now_s() -> float:
        """Seconds since some fixed zero; goes on while the computer sleeps."""
        # perf_counter is QueryPerformanceCounter, which counts "including the time when the
        # machine was in a sleep state" (Microsoft, Acquiring high-resolution time stamps).
        return time.perf_counter()

elif sys.platform == "darwin":

    def now_s() -> float:
        """Seconds since some fixed zero; goes on while the computer sleeps."""
        # CLOCK_MONOTONIC "will continue to increment while the system is asleep" (clock_gettime(3)
        # of macOS); time.monotonic() is mach_absolute_time there and stops.
        return time.clock_gettime(time.CLOCK_MONOTONIC)

else:
    # CLOCK_BOOTTIME is CLOCK_MONOTONIC plus the time asleep (clock_gettime(2) of Linux).
    _CLOCK = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)

    def now_s() -> float:
        """Seconds since some fixed zero; goes on while the computer sleeps."""
        return time.clock_gettime(_CLOCK)
