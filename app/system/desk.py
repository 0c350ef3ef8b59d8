"""Something made away from the window, one at a time, and told when it is done."""

import threading
from collections.abc import Callable


class Desk:
    """Works on a thread of its own, since a disk or a network folder may take its time.

    Parameters
    ----------
    thread_name
        What the thread is called.
    """

    def __init__(self, thread_name: str) -> None:
        self._thread_name = thread_name
        self._thread: threading.Thread | None = None
        self._said = ""

    @property
    def is_making(self) -> bool:
        """Whether something is being made, or was and has not been told yet."""
        return self._thread is not None

    def news(self) -> str:
        """Give what came of it, once; nothing before."""
        if self._thread is not None:
            if self._thread.is_alive():
                return ""
            self._thread = None
        said, self._said = self._said, ""
        return said

    def close(self, within_s: float | None = None) -> bool:
        """Wait for what is being made; ``False`` where it takes longer than that."""
        if self._thread is None:
            return True
        self._thread.join(within_s)
        return not self._thread.is_alive()

    def _begin(self, work: Callable[[], str]) -> None:
        """Let it be made; what ``work`` returns is the news."""
        self._thread = threading.Thread(
            target=self._work, args=(work,), name=self._thread_name, daemon=True
        )
        self._thread.start()

    def _work(self, work: Callable[[], str]) -> None:
        self._said = work()
