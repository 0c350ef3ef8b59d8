"""An asyncio loop whose time is simulated: it never waits, its clock leaps to what is due next."""

import asyncio
import selectors


class _LeapingSelector(selectors.SelectSelector):
    def __init__(self) -> None:
        super().__init__()
        self.now_s = 1000.0

    def select(self, timeout: float | None = None) -> list[tuple[selectors.SelectorKey, int]]:
        found = super().select(0)
        if not found and timeout:
            self.now_s += timeout
        return found


class SimulatedLoop(asyncio.SelectorEventLoop):
    """Runs tasks as fast as the machine goes; ``time()`` is what their sleeps add up to."""

    def __init__(self) -> None:
        self._leaping = _LeapingSelector()
        super().__init__(self._leaping)

    def time(self) -> float:
        """Simulated seconds from a fixed zero."""
        return self._leaping.now_s

    def run_for(self, seconds: float) -> None:
        """Let all tasks run until so much time is over."""
        self.run_until_complete(asyncio.sleep(seconds))
