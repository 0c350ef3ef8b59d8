"""What is made away from the window, one after the other, and told when it is done."""

import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue


class Desk:
    """Works on threads of its own, since a disk or a network folder may take its time.

    Parameters
    ----------
    thread_name
        What the threads are called.
    """

    def __init__(self, thread_name: str) -> None:
        self._thread_name = thread_name
        self._thread: threading.Thread | None = None
        self._news: SimpleQueue[str] = SimpleQueue()

    @property
    def is_making(self) -> bool:
        """Whether something is being made."""
        return self._thread is not None and self._thread.is_alive()

    def news(self) -> str:
        """Give what came of it, each once; nothing before."""
        try:
            return self._news.get_nowait()
        except Empty:
            return ""

    def close(self, within_s: float | None = None) -> bool:
        """Wait for what is being made; ``False`` where it takes longer than that."""
        if self._thread is not None:
            self._thread.join(within_s)
        return not self.is_making

    def _begin(self, work: Callable[[], str]) -> None:
        """Let it be made, after what is being made already; what ``work`` returns is the news."""
        self._thread = threading.Thread(
            target=self._work, args=(work, self._thread), name=self._thread_name, daemon=True
        )
        self._thread.start()

    def _work(self, work: Callable[[], str], before: threading.Thread | None) -> None:
        if before is not None:
            before.join()
        self._news.put(work())
