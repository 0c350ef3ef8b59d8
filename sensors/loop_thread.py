"""An asyncio loop on a thread of its own: begun when first used, and anew when it was ended."""

import asyncio
import threading
from collections.abc import Coroutine
from concurrent.futures import Future
from queue import SimpleQueue
from typing import Any, TypeVar

T = TypeVar("T")


class LoopThread:
    """Runs what is asked for from any thread.

    Parameters
    ----------
    name
        What the thread is called.
    """

    def __init__(self, name: str) -> None:
        self._name = name
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self._loop: asyncio.AbstractEventLoop | None = None

    @property
    def is_begun(self) -> bool:
        """Whether it was used since its last end."""
        return self._thread is not None

    def loop(self) -> asyncio.AbstractEventLoop:
        """Give the loop, running."""
        with self._lock:
            return self._begun()

    def run(self, work: Coroutine[Any, Any, T]) -> Future[T]:
        """Begin ``work`` on the loop. Returns at once."""
        with self._lock:
            return asyncio.run_coroutine_threadsafe(work, self._begun())

    def end(self, within_s: float) -> bool:
        """End the loop, which cancels what is left on it; say whether its thread ended in time."""
        with self._lock:
            thread, loop = self._thread, self._loop
            self._thread = self._loop = None
        if thread is None or loop is None:
            return True
        loop.call_soon_threadsafe(loop.stop)
        thread.join(within_s)
        return not thread.is_alive()

    def _begun(self) -> asyncio.AbstractEventLoop:
        if self._loop is None:
            ready: SimpleQueue[asyncio.AbstractEventLoop] = SimpleQueue()
            self._thread = threading.Thread(
                target=_serve, args=(ready,), name=self._name, daemon=True
            )
            self._thread.start()
            self._loop = ready.get()
        return self._loop


def _serve(ready: "SimpleQueue[asyncio.AbstractEventLoop]") -> None:
    with asyncio.Runner() as runner:
        loop = runner.get_loop()
        ready.put(loop)
        loop.run_forever()
