"""Searching for gauges while the dialog is open, on a link's loop away from the window."""

import math
from collections.abc import Awaitable, Callable
from queue import Empty, SimpleQueue

from app.gauge.link import Failed, Link
from app.gauge.search import Found, Gone, News, Tell, bluetooth_finder, search
from sensors.events import SensorEvent

Search = Callable[[Tell], Awaitable[None]]


async def _everywhere(tell: Tell) -> None:
    await search(tell, math.inf, bluetooth=bluetooth_finder())


class SearchDesk:
    """Keeps what is in reach, the newest word on each, and what stands in the way.

    Parameters
    ----------
    search
        Tells what it finds.
    """

    name = "search"

    def __init__(self, search: Search = _everywhere) -> None:
        self._search = search
        self._news: SimpleQueue[News] = SimpleQueue()
        self._link = Link()
        self._is_on = False
        self.found: dict[str, Found] = {}
        self._troubles: dict[str, str] = {}

    @property
    def warning(self) -> str:
        """What keeps sensors from being found or opened, a line each."""
        return "\n".join(text for text in self._troubles.values() if text)

    async def run(self, emit: Callable[[SensorEvent], None]) -> None:
        """Search: to the link this is a sensor that says nothing."""
        await self._search(self._news.put)

    def begin(self) -> None:
        """Begin, if not begun."""
        if not self._is_on:
            self._is_on = True
            self._troubles.pop(self.name, None)
            self._link.start(self)

    def look(self) -> bool:
        """Take in what was found since; say whether anything was."""
        is_new = False
        while not self._link.events.empty():
            event = self._link.events.get()
            if isinstance(event, Failed):  # else an empty list would look like nothing in reach
                self._troubles[self.name], is_new = event.why, True
        while True:
            try:
                news = self._news.get_nowait()
            except Empty:
                return is_new
            is_new = True
            if isinstance(news, Found):
                self.found[news.address] = news
            elif isinstance(news, Gone):
                self.found.pop(news.address, None)
            else:
                self._troubles[news.about] = news.text

    def end(self) -> None:
        """Stop searching, and wait for the radio to be let go of."""
        self._is_on = False
        self._link.close()
