"""Searching for sensors: serial ports as they are plugged in, Bluetooth devices as they speak."""

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Protocol

from sensors.catalogue import find_ports
from sensors.clock import Sleep
from sensors.events import SensorError
from sensors.port_access import may_open, permission_advice

BLUETOOTH_S = 8.0  # a device tells of itself every second or two, some every five
LOOK_S = 0.5  # between two looks at the ports: as quick as one looks up from the plug


@dataclass(frozen=True, slots=True)
class Found:
    """A sensor in reach: the address that opens it, and what it says of itself."""

    address: str
    description: str


class Heard(Protocol):
    """A Bluetooth device as the search tells it (``sensors.ble_find.FoundBluetooth``)."""

    @property
    def device(self) -> str:
        """Its hardware address."""

    @property
    def name(self) -> str:
        """What it calls itself, or ""."""

    @property
    def signal_dbm(self) -> int:
        """How strong it was heard."""

    @property
    def address(self) -> str | None:
        """Opens it as a sensor, where it tells a pressure by an open standard."""


Tell = Callable[[Found], None]
FindBluetooth = Callable[[Callable[[Heard], None], float], Awaitable[None]]


def bluetooth_finder() -> FindBluetooth | None:
    """Give the search for Bluetooth devices, where the library for it can be loaded."""
    try:
        find: FindBluetooth = import_module("sensors.ble_find").find_bluetooth
    except ImportError:
        return None
    return find


async def search(
    tell: Tell,
    warn: Callable[[str], None],
    for_s: float | None,
    *,
    bluetooth: FindBluetooth | None = None,
    sleep: Sleep = asyncio.sleep,
) -> None:
    """Tell each sensor as it appears, for a while; one that is plugged in anew is told anew.

    Parameters
    ----------
    tell
        Gets each sensor.
    warn
        Gets what keeps a sensor from being found or opened, in one sentence with the way out.
    for_s
        Seconds to search; ``None`` looks at the ports once and listens to Bluetooth for a few
        seconds, 0 looks at the ports only.
    bluetooth
        The search for Bluetooth devices.
    sleep
        How to wait; tests give their own.
    """
    listen_s = BLUETOOTH_S if for_s is None else for_s
    tasks = [asyncio.ensure_future(_ports(tell, warn, sleep, once=not for_s))]
    if bluetooth is not None and listen_s > 0:
        tasks.append(asyncio.ensure_future(_bluetooth(tell, warn, bluetooth, listen_s)))
    try:
        if for_s:
            await sleep(for_s)
        else:
            await asyncio.wait(tasks)
    finally:
        for task in tasks:
            task.cancel()
        ended = await asyncio.gather(*tasks, return_exceptions=True)
    for result in ended:
        if isinstance(result, Exception):
            raise result


async def _ports(tell: Tell, warn: Callable[[str], None], sleep: Sleep, *, once: bool) -> None:
    known: set[str] = set()
    while True:
        ports = await asyncio.to_thread(find_ports)
        for port in ports:
            if port.device in known:
                continue
            tell(Found(port.address, port.description))
            if not may_open(port.device):
                warn(f"No permission for {port.device}. {permission_advice(port.device)}")
        known = {port.device for port in ports}
        if once:
            return
        await sleep(LOOK_S)


async def _bluetooth(
    tell: Tell, warn: Callable[[str], None], find: FindBluetooth, for_s: float
) -> None:
    try:
        await find(lambda heard: tell(_found(heard)), for_s)
    except SensorError as error:
        warn(str(error))


def _found(heard: Heard) -> Found:
    about = ", ".join(filter(None, (heard.name, f"{heard.signal_dbm} dBm")))
    if heard.address is not None:
        return Found(heard.address, about)
    needs = "tells no pressure by a standard: needs characteristic= and form="
    return Found(f"ble:{heard.device}", f"{about}; {needs}")
