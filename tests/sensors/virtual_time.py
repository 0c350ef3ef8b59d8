"""A clock that only moves when a test says so."""

import asyncio
import heapq
import itertools


class VirtualTime:
    def __init__(self) -> None:
        self.now_s = 1000.0
        self._order = itertools.count()
        self._waiting: list[tuple[float, int, asyncio.Future[None]]] = []

    def clock(self) -> float:
        return self.now_s

    async def sleep(self, seconds: float) -> None:
        woken = asyncio.get_running_loop().create_future()
        heapq.heappush(self._waiting, (self.now_s + seconds, next(self._order), woken))
        await woken

    async def advance(self, seconds: float) -> None:
        """Move on, waking every sleeper at its time and letting all tasks run in between."""
        end_s = self.now_s + seconds
        await settle()
        while self._waiting and self._waiting[0][0] <= end_s:
            due_s, _, woken = heapq.heappop(self._waiting)
            if not woken.done():
                self.now_s = max(self.now_s, due_s)
                woken.set_result(None)
                await settle()
        self.now_s = end_s
        await settle()


async def settle() -> None:
    for _ in range(20):
        await asyncio.sleep(0)
