"""Searching for sensors: serial ports as they are plugged in, Bluetooth devices as they speak."""

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from importlib import import_module

from sensors.bluetooth_health import bluetooth_health
from sensors.catalogue import find_ports
from sensors.clock import Sleep
from sensors.events import SensorError
from sensors.port_access import may_open, permission_advice

LOOK_S = 0.5  # between two looks at the ports: as quick as one looks up from the plug


@dataclass(frozen=True, slots=True)
class Found:
    """A sensor in reach: the address that opens it, and what it says of itself."""

    address: str
    description: str


Tell = Callable[[Found], None]
FindBluetooth = Callable[[Callable[[str, str], None]], Awaitable[None]]


def bluetooth_finder() -> FindBluetooth | None:
    """Give the search for Bluetooth devices, where this build has one.

    It calls back with (address, description), once a device, until it is cancelled.
    """
    try:
        return getattr(import_module("sensors.find_bluetooth"), "find_bluetooth", None)
    except ImportError:
        return None


async def search(
    tell: Tell,
    warn: Callable[[str], None],
    for_s: float,
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
        Seconds to search; 0 looks at the ports once.
    bluetooth
        The search for Bluetooth devices.
    sleep
        How to wait; tests give their own.
    """
    tasks = [asyncio.ensure_future(_ports(tell, warn, sleep, once=for_s <= 0))]
    if bluetooth is not None and for_s > 0:
        tasks.append(asyncio.ensure_future(_bluetooth(tell, warn, bluetooth)))
    try:
        if for_s > 0:
            await sleep(for_s)
        else:
            await tasks[0]
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


async def _bluetooth(tell: Tell, warn: Callable[[str], None], find: FindBluetooth) -> None:
    health = await bluetooth_health()
    if health.state not in ("on", "unknown"):
        warn(f"{health.text} {health.fix}".rstrip())
        return
    try:
        await find(lambda address, description: tell(Found(address, description)))
    except SensorError as error:
        warn(str(error))
