"""One radio for all: a gauge, a broadcast and a search on loops of their own share one scanner."""

import asyncio
import struct
import threading
from queue import Empty

import pytest

from app.gauge.link import Link
from app.gauge.search_desk import SearchDesk
from sensors.catalogue import open_sensor
from sensors.events import Connected, Lost, Reading
from tests.sensors.bluetooth.pretended_bluez import Characteristic, Device, PretendedBluez
from tests.sensors.bluetooth.private_bus import needs_bus, on_bluez

pytestmark = [needs_bus, pytest.mark.usefixtures("system_bus")]
WAIT_S = 20.0


def gauge(*pressures_pa: float) -> Device:
    """A gauge that is found anew for each of these, and tells it once."""
    pressure = Characteristic("2A6D", b"\0\0\0\0", ("notify",))
    sessions = [[struct.pack("<I", round(pa * 10))] for pa in pressures_pa]
    return Device(1, "Gauge 7", {"181A": [pressure]}, sessions=sessions)


async def next_reading(link: Link, bluez: PretendedBluez) -> float:
    """Let all devices be heard again and again, as in life, until a reading comes."""
    async with asyncio.timeout(WAIT_S):
        while True:
            try:
                event = link.events.get_nowait()
            except Empty:
                for device in bluez.air:
                    bluez.broadcast(device)
                await asyncio.sleep(0.02)
                continue
            if isinstance(event, Reading):
                return event.pressure_pa
            assert isinstance(event, Connected | Lost)


async def until_found(desk: SearchDesk, count: int) -> None:
    async with asyncio.timeout(WAIT_S):
        while len(desk.found) < count:
            desk.look()
            await asyncio.sleep(0.01)


def test_the_gauge_is_read_and_found_again_while_the_dialog_searches(
    system_bus: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.gauge.search.find_ports", list)

    async def use(bluez: PretendedBluez) -> None:
        device = gauge(1.5, 2.5)
        bthome = Device(2, "DIY", service_data={"FCD2": bytes.fromhex("40 04138A01")})
        bluez.air = [device, bthome]
        job, second, desk = Link(), Link(), SearchDesk()
        job.start(open_sensor("ble:Gauge 7"))
        assert await next_reading(job, bluez) == 1.5
        assert bluez.searches == 0
        desk.begin()
        await until_found(desk, 2)
        second.start(open_sensor(f"bthome:{bthome.address}"))
        bluez.drop(device)  # the search for it joins the one that is under way
        assert await next_reading(job, bluez) == 2.5
        assert await next_reading(second, bluez) == 100883.0
        assert bluez.searches == 1
        await asyncio.to_thread(desk.end)
        assert bluez.searches == 1  # the broadcast is still listened to
        await asyncio.to_thread(second.close)
        assert bluez.searches == 0
        await asyncio.to_thread(job.close)
        assert bluez.most_searches == 1
        assert set(desk.found) == {f"ble:{device.address}", f"bthome:{bthome.address}"}

    on_bluez(system_bus, use)
    assert "simmerdown-radio" not in [thread.name for thread in threading.enumerate()]
