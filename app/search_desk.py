"""Searching for gauges while the dialog is open, on a link's loop away from the window."""

from collections.abc import Awaitable, Callable
from queue import Empty, SimpleQueue

from app.finding import Found, Tell, bluetooth_finder, search
from app.link import Link
from sensors.events import SensorEvent

LONGEST_S = 600.0
Search = Callable[[Tell, Callable[[str], None]], Awaitable[None]]


async def _everywhere(tell: Tell, warn: Callable[[str], None]) -> None:
    await search(tell, warn, LONGEST_S, bluetooth=bluetooth_finder())


class SearchDesk:
    """Keeps what was found, the newest word on each.

    Parameters
    ----------
    search
        Tells what it finds.
    """

    name = "search"

    def __init__(self, search: Search = _everywhere) -> None:
        self._search = search
        self._news: SimpleQueue[Found | str] = SimpleQueue()
        self._link = Link()
        self._is_on = False
        self.found: dict[str, Found] = {}
        self.warning = ""

    async def run(self, emit: Callable[[SensorEvent], None]) -> None:
        """Search: to the link this is a sensor that says nothing."""
        await self._search(self._news.put, self._news.put)

    def begin(self) -> None:
        """Begin, if not begun."""
        if not self._is_on:
            self._is_on = True
            self._link.start(self)

    def look(self) -> bool:
        """Take in what was found since; say whether anything was."""
        is_new = False
        while True:
            try:
                news = self._news.get_nowait()
            except Empty:
                return is_new
            is_new = True
            if isinstance(news, str):
                self.warning = news
            else:
                self.found[news.address] = news

    def end(self) -> None:
        """Stop searching, and wait for the radio to be let go of."""
        self._is_on = False
        self._link.close()
