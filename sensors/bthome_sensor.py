"""A gauge that broadcasts BTHome: nothing is connected to, the radio only listens."""

import asyncio

from bleak.backends.device import BLEDevice
from bleak.backends.scanner import AdvertisementData

from sensors.ble_radio import listening
from sensors.bthome import ENCRYPTED, SERVICE, BthomeDecoder
from sensors.clock import Clock, now_s
from sensors.events import Connected, Emit, Reading, SensorError
from sensors.radio_loop import on_radio


class BthomeSensor:
    """Listen to one device's broadcasts until cancelled.

    Parameters
    ----------
    target
        The device's address (on macOS a number that this Mac made up for it).
    name
        The address with its kind.
    clock
        Seconds that count through sleep.
    """

    def __init__(self, target: str, *, name: str | None = None, clock: Clock = now_s) -> None:
        self.name = name or f"bthome:{target}"
        self._target, self._clock = target, clock

    async def run(self, emit: Emit) -> None:
        """Listen; ``SensorError`` if the radio fails, final if the broadcasts are encrypted."""
        await on_radio(self._run(emit))

    async def _run(self, emit: Emit) -> None:
        decoder = BthomeDecoder()
        failed: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        has_connected = has_read = False

        def hear(device: BLEDevice, heard: AdvertisementData) -> None:
            nonlocal has_connected, has_read
            data = heard.service_data.get(SERVICE)
            if data is None or device.address.casefold() != self._target.casefold():
                return
            if not has_connected:
                emit(Connected(self._clock(), _described(device, heard)))
                has_connected = True
            for event in decoder.feed(data, self._clock()):
                has_read = has_read or isinstance(event, Reading)
                emit(event)
                # Once a reading has come, a stranger's forged broadcast must not end the job.
                if not has_read and getattr(event, "why", "") == ENCRYPTED and not failed.done():
                    text = f"{self._target}: {ENCRYPTED}."
                    failed.set_exception(SensorError(text, is_final=True))

        async with listening(hear):
            await failed


def _described(device: BLEDevice, heard: AdvertisementData) -> str:
    name = heard.local_name or device.name or device.address
    return f"{name}, signal {heard.rssi} dBm, in steps of 1 Pa (7.5 micron), which is coarse"
