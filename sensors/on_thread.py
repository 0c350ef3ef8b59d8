"""Runs blocking input on a thread of its own, and ends it when the task is cancelled."""

import asyncio
import threading
from collections.abc import Callable
from contextlib import suppress


async def run_on_thread(read: Callable[[threading.Event], None]) -> None:
    """Call ``read(stop)`` on a thread until it returns or raises; cancelling sets ``stop``.

    Waits in every case until ``read`` has ended, so that its port is closed when this returns;
    ``read`` must look at ``stop`` every second or two.
    """
    stop = threading.Event()
    job = asyncio.get_running_loop().run_in_executor(None, read, stop)
    try:
        await asyncio.shield(job)
    finally:
        stop.set()
        await asyncio.wait([job])
        with suppress(Exception):  # told already by the shield, or of no use once cancelled
            job.result()
