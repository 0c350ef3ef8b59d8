"""A gauge over Bluetooth Low Energy: found by name or address, read by notifications."""

import asyncio
from contextlib import AsyncExitStack, suppress

from bleak import BleakAdapter, BleakClient
from bleak.backends.device import BLEDevice
from bleak.backends.scanner import AdvertisementData

from sensors.ble_radio import FAULTS, in_words, listening
from sensors.ble_reader import Reader
from sensors.ble_values import EnvironmentalValues, Values
from sensors.clock import Clock, now_s
from sensors.environmental import PRESSURE
from sensors.events import Connected, Emit, SensorError
from sensors.radio_loop import on_radio

# Searching and connecting end before the silence watchdog's 30 s. Broadcasts come every 10 s at
# the slowest (Bluetooth Core Specification, 6.B.4.4.2.2).
_SEARCH_S = 11.0
_CONNECT_S = 15.0
_DISCONNECT_S = 5.0


class BleSensor:
    """Read one characteristic of one device.

    Every run searches anew and makes a new client: what is left over from a lost connection
    must not be used again.

    Parameters
    ----------
    target
        The device's name, or its address (on macOS a number that this Mac made up for it).
    characteristic
        Its UUID; the Environmental Sensing Service's pressure when left out.
    values
        Decodes it.
    every_s
        How often it is read if it does not notify, unless the device tells its own interval.
    name
        The address.
    clock
        Seconds that count through sleep.
    """

    def __init__(
        self,
        target: str,
        characteristic: str = PRESSURE,
        values: Values | None = None,
        *,
        every_s: float = 1.0,
        name: str | None = None,
        clock: Clock = now_s,
    ) -> None:
        self.name = name or f"ble:{target}"
        self._target, self._characteristic = target, characteristic
        self._values: Values = values or EnvironmentalValues()
        self._every_s, self._clock = every_s, clock

    async def run(self, emit: Emit) -> None:
        """Read until the connection is lost (``SensorError``) or the task is cancelled."""
        await on_radio(self._run(emit))

    async def _run(self, emit: Emit) -> None:
        device, signal_dbm = await find_device(self._target)
        lost = asyncio.Event()
        client = BleakClient(device, lambda _: lost.set(), timeout=_CONNECT_S)
        async with AsyncExitStack() as stack:
            stack.push_async_callback(_hang_up, client)
            try:
                await client.connect()
                self._values.restart()
                reader = Reader(client, self._characteristic, self._values, emit, self._clock)
                emit(Connected(self._clock(), await reader.describe(device, signal_dbm)))
                stack.callback(reader.end)
                await reader.run(lost, self._every_s)
            except FAULTS as fault:
                raise await in_words(fault) from None
        raise SensorError(f"The Bluetooth connection to {self._target} was lost.")


async def find_device(target: str) -> tuple[BLEDevice, int | None]:
    """Search a device by name or address, on the radio's loop; give it with its signal, dBm.

    Raises
    ------
    SensorError
        If it is not in reach, or the radio cannot be used.
    """
    found: asyncio.Future[tuple[BLEDevice, int | None]]
    found = asyncio.get_running_loop().create_future()
    wanted = target.casefold()

    def hear(device: BLEDevice, heard: AdvertisementData) -> None:
        names = (device.address, heard.local_name or "", device.name or "")
        if not found.done() and wanted in (name.casefold() for name in names):
            found.set_result((device, heard.rssi))

    async with listening(hear):
        with suppress(TimeoutError):
            return await asyncio.wait_for(found, _SEARCH_S)
    # A device still connected from an earlier, killed run no longer broadcasts.
    with suppress(*FAULTS, NotImplementedError):
        for device in await (await BleakAdapter.get()).get_connected_devices():
            if wanted in (device.address.casefold(), (device.name or "").casefold()):
                return device, None
    raise SensorError(
        f"No Bluetooth device '{target}' is in reach: is it on, near, and not connected to "
        "another phone or computer?"
    )


async def _hang_up(client: BleakClient) -> None:
    with suppress(*FAULTS):
        await asyncio.wait_for(client.disconnect(), _DISCONNECT_S)
