"""Reads one characteristic of a connected Bluetooth device, and what the device tells of itself."""

import asyncio
from contextlib import suppress

from bleak import BleakClient
from bleak.backends.characteristic import BleakGATTCharacteristic
from bleak.backends.device import BLEDevice
from bleak.exc import BleakError

from sensors.ble_values import EnvironmentalValues, Values
from sensors.clock import Clock
from sensors.environmental import (
    BATTERY_LEVEL,
    IDENTITY,
    MEASUREMENT,
    TEMPERATURE,
    VALID_RANGE,
    decode_battery,
    decode_name,
    decode_temperature,
    decode_update_interval_s,
    decode_valid_range,
)
from sensors.events import Emit, SensorError

# Without a notification for this long the value is read: a device that notifies changes only
# is quiet while nothing changes, and a dead Bluetooth daemon shows by the failing read alone.
_QUIET_S = 5.0


class Reader:
    """One connection's reading."""

    def __init__(
        self, client: BleakClient, uuid: str, values: Values, emit: Emit, clock: Clock
    ) -> None:
        self._client, self._uuid, self._values = client, uuid, values
        self._emit, self._clock = emit, clock
        self._count = 0
        self._interval_s: float | None = None

    async def describe(self, device: BLEDevice, signal_dbm: int | None) -> str:
        """Read what the device tells of itself; one text for the user."""
        told = [device.name or device.address, *await self._identity()]
        if signal_dbm is not None:
            told.append(f"signal {signal_dbm} dBm")
        battery = await self._read_if_there(BATTERY_LEVEL)
        if battery is not None and (percent := decode_battery(battery)) is not None:
            told.append(f"battery {percent} %")
        if isinstance(self._values, EnvironmentalValues):
            pressure = self._characteristic_of(self._uuid)
            for descriptor in pressure.descriptors:
                if descriptor.uuid == VALID_RANGE:
                    data = await self._client.read_gatt_descriptor(descriptor)
                    self._values.valid = decode_valid_range(bytes(data))
                elif descriptor.uuid == MEASUREMENT:
                    data = await self._client.read_gatt_descriptor(descriptor)
                    self._interval_s = decode_update_interval_s(bytes(data))
        return ", ".join(told)

    async def _identity(self) -> list[str]:
        told = [await self._read_if_there(uuid) for uuid in IDENTITY]
        return [text for data in told if data and (text := decode_name(data))]

    async def run(self, lost: asyncio.Event, every_s: float) -> None:
        """Read until ``lost`` is set."""
        source = self._characteristic_of(self._uuid)
        does_notify = bool({"notify", "indicate"} & set(source.properties))
        does_read = "read" in source.properties
        await self._read_temperature()
        if does_notify:
            await self._client.start_notify(source, self._take)
        if not does_notify and not does_read:
            raise SensorError(
                f"The characteristic {self._uuid} can be neither read nor subscribed to; "
                "expected the one that holds the pressure.",
                is_final=True,
            )
        pause_s = _QUIET_S if does_notify else self._interval_s or every_s
        while not lost.is_set():
            before = self._count
            if not does_notify:
                await self._read_value(source)
            with suppress(TimeoutError):
                await asyncio.wait_for(lost.wait(), pause_s)
                return
            await self._read_temperature()
            if does_notify and does_read and self._count == before:
                await self._read_value(source)

    def end(self) -> None:
        """Tell what was left open."""
        for rejected in self._values.end(self._clock()):
            self._emit(rejected)

    def _take(self, _: BleakGATTCharacteristic | None, data: bytearray) -> None:
        self._count += 1
        for event in self._values.feed(bytes(data), self._clock()):
            self._emit(event)

    async def _read_value(self, source: BleakGATTCharacteristic) -> None:
        before = self._count
        data = await asyncio.wait_for(self._client.read_gatt_char(source), _QUIET_S)
        if self._count == before:  # some systems notify what is read, too
            self._take(None, data)

    async def _read_temperature(self) -> None:
        if not isinstance(self._values, EnvironmentalValues):
            return
        data = await self._read_if_there(TEMPERATURE)
        try:
            self._values.temperature_c = None if data is None else decode_temperature(data)
        except ValueError:
            self._values.temperature_c = None

    async def _read_if_there(self, uuid: str) -> bytes | None:
        found = self._all(uuid)
        if not found or "read" not in found[0].properties:
            return None
        with suppress(BleakError):  # kept from strangers by some devices
            return bytes(await asyncio.wait_for(self._client.read_gatt_char(found[0]), _QUIET_S))
        return None

    def _characteristic_of(self, uuid: str) -> BleakGATTCharacteristic:
        if not (found := self._all(uuid)):
            offered = {known.uuid for known in self._client.services.characteristics.values()}
            raise SensorError(
                f"The device has no characteristic {uuid}; expected one of "
                f"{', '.join(sorted(offered)) or 'none'}.",
                is_final=True,
            )
        return found[0]

    def _all(self, uuid: str) -> list[BleakGATTCharacteristic]:
        # Several of one kind are lawful: a device may have two pressures. The first counts.
        known = self._client.services.characteristics.values()
        return sorted((one for one in known if one.uuid == uuid), key=lambda one: one.handle)
