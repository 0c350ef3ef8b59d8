"""Pretended gauges over Bluetooth, and what is heard of them."""

import asyncio
import struct
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from sensors.catalogue import open_sensor
from sensors.events import Sensor
from sensors.keep_alive import KeepAlive
from tests.sensors.bluetooth.pretended_bluez import Characteristic, Device
from tests.sensors.heard import Heard
from tests.sensors.tasks import stopped


def packed(*pressures_pa: float) -> list[bytes]:
    return [struct.pack("<I", round(pressure_pa * 10)) for pressure_pa in pressures_pa]


def gauge(*sessions: list[bytes], flags: tuple[str, ...] = ("read", "notify")) -> Device:
    """A gauge as the Environmental Sensing Service has it: valid from 1 to 2666.4 Pa."""
    pressure = Characteristic(
        "2A6D", packed(77.7)[0], flags, {"2906": struct.pack("<II", 10, 26_664)}
    )
    temperature = Characteristic("2A6E", bytes.fromhex("6608"))  # 21.50 C
    battery = Characteristic("2A19", b"\x50")
    about = [Characteristic("2A29", b"Invented"), Characteristic("2A24", b"V-1\0\xff")]
    services = {"181A": [pressure, temperature], "180F": [battery], "180A": about}
    return Device(1, "Gauge 7", services, sessions=list(sessions))


@asynccontextmanager
async def running(sensor: Sensor) -> AsyncIterator[Heard]:
    heard = Heard()
    task = asyncio.ensure_future(sensor.run(heard))
    try:
        yield heard
    finally:
        await stopped(task)


def alive(address: str, silence_s: float = 30.0) -> KeepAlive:
    sensor = open_sensor(address, silence_s=None)
    return KeepAlive(sensor, silence_s=silence_s, first_retry_s=0.01, longest_retry_s=0.02)


def pressures(heard: Heard) -> list[float]:
    return [reading.pressure_pa for reading in heard.readings()]
