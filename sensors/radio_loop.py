"""The radio's own loop: all that uses Bluetooth runs on it, whoever asks and from whatever loop.

A computer has one radio, and bleak ties its scanner, the devices that it found and their clients
to the loop that they were made on. The gauge that is read, a second one and the dialog that
searches have loops of their own; on one loop they share one scanner.
"""

import asyncio
import atexit
import threading
from collections.abc import Callable, Coroutine
from contextlib import suppress
from queue import SimpleQueue
from typing import Any, TypeVar

_JOIN_S = 5.0
T = TypeVar("T")


class RadioLoop:
    """A loop on a thread of its own, begun when first used."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self._loop: asyncio.AbstractEventLoop | None = None

    def loop(self) -> asyncio.AbstractEventLoop:
        """Give the loop, running."""
        with self._lock:
            if self._loop is None:
                ready: SimpleQueue[asyncio.AbstractEventLoop] = SimpleQueue()
                self._thread = threading.Thread(
                    target=_serve, args=(ready,), name="simmerdown-radio", daemon=True
                )
                self._thread.start()
                self._loop = ready.get()
            return self._loop

    def end(self) -> None:
        """End the loop and its thread; the next use begins them anew."""
        with self._lock:
            thread, loop = self._thread, self._loop
            self._thread = self._loop = None
        if thread is not None and loop is not None:
            loop.call_soon_threadsafe(loop.stop)
            thread.join(_JOIN_S)


def _serve(ready: "SimpleQueue[asyncio.AbstractEventLoop]") -> None:
    with asyncio.Runner() as runner:
        loop = runner.get_loop()
        ready.put(loop)
        loop.run_forever()


radio_loop = RadioLoop()
atexit.register(radio_loop.end)


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
