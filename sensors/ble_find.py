"""Bluetooth devices in reach, told as they appear."""

import asyncio
from collections.abc import Callable
from dataclasses import dataclass

from bleak.backends.device import BLEDevice
from bleak.backends.scanner import AdvertisementData

from sensors import bthome, environmental
from sensors.ble_radio import listening
from sensors.radio_loop import on_radio


@dataclass(frozen=True, slots=True)
class FoundBluetooth:
    """A device that was heard.

    Attributes
    ----------
    device
        Its hardware address; on macOS a number that this Mac made up for it.
    name
        What it calls itself, or "".
    signal_dbm
        How strong it was heard: about -40 beside the computer, -90 at the edge of reach.
    address
        Opens it as a sensor. ``None`` if it does not broadcast that it offers a pressure in one
        of the standards: ``ble:`` with ``characteristic`` and ``form`` may still read it.
    """

    device: str
    name: str
    signal_dbm: int
    address: str | None


async def find_bluetooth(tell: Callable[[FoundBluetooth], None], for_s: float = 8.0) -> None:
    """Listen for a while; tell each device once, and again when its name or kind comes to light.

    ``tell`` is called on the radio's thread.

    Ends after ``for_s``, or when cancelled; the radio then rests, unless a sensor uses it.

    Raises
    ------
    SensorError
        If the radio cannot be used (off, no daemon, no leave); the text says what to do.
    """
    await on_radio(_find(tell, for_s))


async def _find(tell: Callable[[FoundBluetooth], None], for_s: float) -> None:
    told: dict[str, FoundBluetooth] = {}

    def hear(device: BLEDevice, heard: AdvertisementData) -> None:
        before = told.get(device.address)
        # Name and services may come in a broadcast of their own.
        found = FoundBluetooth(
            device.address,
            heard.local_name or device.name or (before.name if before else ""),
            heard.rssi,
            _address_of(device, heard) or (before.address if before else None),
        )
        told[device.address] = found
        if before is None or (before.name, before.address) != (found.name, found.address):
            tell(found)

    async with listening(hear):
        await asyncio.sleep(for_s)


def _address_of(device: BLEDevice, heard: AdvertisementData) -> str | None:
    if bthome.SERVICE in heard.service_data:
        return f"bthome:{device.address}"
    if environmental.SERVICE in heard.service_uuids:
        return f"ble:{device.address}"
    return None
