"""The radio's own loop: all that uses Bluetooth runs on it, whoever asks and from whatever loop.

A computer has one radio, and bleak ties its scanner, the devices that it found and their clients
to the loop that they were made on. The gauge that is read, a second one and the dialog that
searches have loops of their own; on one loop they share one scanner.
"""

import asyncio
import atexit
from collections.abc import Callable, Coroutine
from contextlib import suppress
from typing import Any, TypeVar

from sensors.loop_thread import LoopThread

_JOIN_S = 5.0
T = TypeVar("T")

radio_loop = LoopThread("simmerdown-radio")
atexit.register(radio_loop.end, _JOIN_S)


async def on_radio(work: Coroutine[Any, Any, T]) -> T:
    """Run ``work`` on the radio's loop and wait for it, as if it were awaited here.

    Cancelling cancels ``work`` and waits for its clean-up: the radio must not go on searching.
    """
    here, radio = asyncio.get_running_loop(), radio_loop.loop()
    ended = asyncio.Event()
    tasks: list[asyncio.Task[T]] = []

    def begin() -> None:
        tasks.append(radio.create_task(work))
        tasks[0].add_done_callback(lambda _: _call(here, ended.set))

    radio.call_soon_threadsafe(begin)
    is_cancelled = False
    while not ended.is_set():
        try:
            await ended.wait()
        except asyncio.CancelledError:
            is_cancelled = True
            radio.call_soon_threadsafe(lambda: tasks[0].cancel())
    if is_cancelled:
        with suppress(BaseException):  # what it ended with is of no use any more
            tasks[0].result()
        raise asyncio.CancelledError
    return tasks[0].result()


def _call(loop: asyncio.AbstractEventLoop, what: Callable[[], None]) -> None:
    with suppress(RuntimeError):  # a loop that was closed over its tasks wants no answer
        loop.call_soon_threadsafe(what)
