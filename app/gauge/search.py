"""Searching for sensors: serial ports as they are plugged in, Bluetooth devices as they speak."""

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import Protocol

from sensors.catalogue import find_ports
from sensors.clock import Sleep
from sensors.events import SensorError
from sensors.port_access import may_open, permission_advice

BLUETOOTH_S = 8.0  # a device tells of itself every second or two, some every five
RETRY_S = 3.0  # after which Bluetooth is tried again: it may have been switched on meanwhile
LOOK_S = 0.5  # between two looks at the ports: as quick as one looks up from the plug


@dataclass(frozen=True, slots=True)
class Found:
    """A sensor in reach: the address that opens it, and what it says of itself."""

    address: str
    description: str


@dataclass(frozen=True, slots=True)
class Gone:
    """What was told at this address is no longer in reach."""

    address: str


@dataclass(frozen=True, slots=True)
class Trouble:
    """What keeps sensors from being found or opened, with the way out; "": it is over."""

    about: str
    text: str


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


News = Found | Gone | Trouble
Tell = Callable[[News], None]
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
    for_s: float | None,
    *,
    bluetooth: FindBluetooth | None = None,
    sleep: Sleep = asyncio.sleep,
) -> None:
    """Tell each sensor as it appears, for a while; one that is plugged in anew is told anew.

    Parameters
    ----------
    tell
        Gets each sensor, from any thread, and what keeps it from being found or opened.
    for_s
        Seconds to search; ``None`` looks at the ports once and listens to Bluetooth for a few
        seconds, 0 looks at the ports only.
    bluetooth
        The search for Bluetooth devices.
    sleep
        How to wait; tests give their own.
    """
    listen_s = BLUETOOTH_S if for_s is None else for_s
    tasks = [asyncio.ensure_future(_ports(tell, sleep, once=not for_s))]
    if bluetooth is not None and listen_s > 0:
        devices = _bluetooth(tell, bluetooth, listen_s, sleep, once=not for_s)
        tasks.append(asyncio.ensure_future(devices))
    over = asyncio.ensure_future(_cancel_after(for_s, tasks, sleep)) if for_s else None
    try:
        await asyncio.wait(tasks, return_when=asyncio.FIRST_EXCEPTION)
    finally:
        for task in [*tasks, over] if over else tasks:
            task.cancel()
        ended = await asyncio.gather(*tasks, return_exceptions=True)
    for result in ended:
        if isinstance(result, Exception):
            raise result


async def _cancel_after(for_s: float, tasks: Sequence[asyncio.Future[None]], sleep: Sleep) -> None:
    await sleep(for_s)
    for task in tasks:
        task.cancel()


async def _ports(tell: Tell, sleep: Sleep, *, once: bool) -> None:
    known: dict[str, str] = {}  # device to address
    while True:
        ports = await asyncio.to_thread(find_ports)
        for port in ports:
            if port.device in known:
                continue
            tell(Found(port.address, port.description))
            if not may_open(port.device):
                text = f"No permission for {port.device}. {permission_advice(port.device)}"
                tell(Trouble(port.device, text))
        now = {port.device: port.address for port in ports}
        for device in known.keys() - now:
            tell(Gone(known[device]))
            tell(Trouble(device, ""))
        known = now
        if once:
            return
        await sleep(LOOK_S)


async def _bluetooth(
    tell: Tell, find: FindBluetooth, for_s: float, sleep: Sleep, *, once: bool
) -> None:
    told = ""

    def hear(heard: Heard) -> None:
        nonlocal told
        if told:
            told = ""
            tell(Trouble("Bluetooth", ""))
        tell(_found(heard))

    while True:
        try:
            return await find(hear, for_s)
        except SensorError as error:
            if str(error) != told:
                told = str(error)
                tell(Trouble("Bluetooth", told))
        if once:
            return
        await sleep(RETRY_S)


def _found(heard: Heard) -> Found:
    about = ", ".join(filter(None, (heard.name, f"{heard.signal_dbm} dBm")))
    if heard.address is not None:
        return Found(heard.address, about)
    needs = "tells no pressure by a standard: needs characteristic= and form="
    return Found(f"ble:{heard.device}", f"{about}; {needs}")
