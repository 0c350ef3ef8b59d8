"""Collects what a sensor emits, from any thread."""

import asyncio
from collections.abc import Callable

from sensors.events import Connected, Lost, Reading, Rejected, SensorEvent


class Heard:
    def __init__(self) -> None:
        self.events: list[SensorEvent] = []

    def __call__(self, event: SensorEvent) -> None:
        self.events.append(event)

    def readings(self) -> list[Reading]:
        return [event for event in self.events if isinstance(event, Reading)]

    def rejected(self) -> list[Rejected]:
        return [event for event in self.events if isinstance(event, Rejected)]

    def links(self) -> list[str]:
        names = {Connected: "connected", Lost: "lost"}
        return [names[type(event)] for event in self.events if type(event) in names]

    async def until(self, is_true: Callable[["Heard"], bool]) -> None:
        async with asyncio.timeout(20):
            while not is_true(self):
                await asyncio.sleep(0.002)
