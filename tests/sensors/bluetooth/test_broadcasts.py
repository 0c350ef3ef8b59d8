import asyncio

import pytest

from sensors import bluetooth_health
from sensors.ble_find import FoundBluetooth, find_bluetooth
from sensors.ble_radio import Hear, listening
from sensors.bthome_sensor import BthomeSensor
from sensors.catalogue import open_sensor
from sensors.events import Connected, Reading, Rejected, SensorError
from sensors.keep_alive import KeepAlive
from sensors.radio_loop import on_radio
from tests.sensors.bluetooth.pretended_bluez import Device, PretendedBluez
from tests.sensors.bluetooth.private_bus import needs_bus, on_bluez
from tests.sensors.heard import Heard
from tests.sensors.tasks import stopped

pytestmark = [needs_bus, pytest.mark.usefixtures("system_bus")]


def broadcasting(data: str, number: int = 1) -> Device:
    return Device(number, "DIY-sensor", service_data={"FCD2": bytes.fromhex(data)})


def test_listens_to_one_devices_broadcasts(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        device = broadcasting("40 0009 02CA09 04138A01")
        bluez.air = [broadcasting("40 04000000", 2), device, Device(3, "Somebody's phone")]
        heard = Heard()
        sensor = BthomeSensor("c0:ff:ee:00:00:01", clock=lambda: 5.0)
        task = asyncio.ensure_future(sensor.run(heard))
        await heard.until(lambda h: len(h.readings()) == 1)
        bluez.broadcast(device)  # the same packet once more
        device.service_data["FCD2"] = bytes.fromhex("40 000A 04148A01")
        bluez.broadcast(device)
        device.service_data["FCD2"] = bytes.fromhex("40 000B 0161")
        bluez.broadcast(device)
        await heard.until(lambda h: len(h.rejected()) == 1)
        await stopped(task)
        first = heard.events[0]
        assert isinstance(first, Connected)
        assert "DIY-sensor, signal -61 dBm, in steps of 1 Pa" in first.detail
        assert heard.events[1:3] == [Reading(5.0, 100883.0, 25.06), Reading(5.0, 100884.0, 25.06)]
        assert bluez.searches == 0
        assert "Connect" not in bluez.calls

    on_bluez(system_bus, use)


def test_encrypted_broadcasts_are_said_to_be(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [broadcasting("41 A47266C95F73 00112233 78237214")]
        heard = Heard()
        with pytest.raises(SensorError, match="only unencrypted BTHome is read") as caught:
            await open_sensor("bthome:C0:FF:EE:00:00:01").run(heard)
        assert caught.value.is_final
        assert isinstance(heard.events[-1], Rejected)

    on_bluez(system_bus, use)


def test_silence_starts_the_search_anew(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [broadcasting("40 04138A01")]
        heard = Heard()
        alive = KeepAlive(BthomeSensor("C0:FF:EE:00:00:01"), silence_s=0.3, first_retry_s=0.01)
        task = asyncio.ensure_future(alive.run(heard))
        await heard.until(lambda h: bool(h.readings()))
        await bluez.die()  # nothing arrives, and nobody says so
        await heard.until(lambda h: h.links() == ["connected", "lost"])
        again = PretendedBluez(system_bus)
        again.air = [broadcasting("40 04158A01")]
        await again.start()
        await heard.until(lambda h: h.readings()[-1].pressure_pa == 100885)
        await stopped(task)
        await again.die()

    on_bluez(system_bus, use)


def test_finds_devices_with_the_address_that_reads_them(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        gauge = Device(1, "Gauge 7", {"181A": []}, signal_dbm=-48)
        late = Device(4, "")
        bluez.air = [gauge, broadcasting("40 04138A01", 2), Device(3, "Phone"), late]
        found: list[FoundBluetooth] = []
        search = asyncio.ensure_future(find_bluetooth(found.append, for_s=30))
        heard = Heard()
        await heard.until(lambda _: len(found) == 4)
        gauge.signal_dbm = -50  # nearly the same is not worth a word
        bluez.broadcast(gauge)
        late.name = "Late"
        bluez.broadcast(late)
        await heard.until(lambda _: len(found) == 5)
        await stopped(search)
        assert bluez.searches == 0
        assert found == [
            FoundBluetooth("C0:FF:EE:00:00:01", "Gauge 7", -48, "ble:C0:FF:EE:00:00:01"),
            FoundBluetooth("C0:FF:EE:00:00:02", "DIY-sensor", -61, "bthome:C0:FF:EE:00:00:02"),
            FoundBluetooth("C0:FF:EE:00:00:03", "Phone", -61, None),
            FoundBluetooth("C0:FF:EE:00:00:04", "", -61, None),
            FoundBluetooth("C0:FF:EE:00:00:04", "Late", -61, None),
        ]

    on_bluez(system_bus, use)


def test_one_scanner_serves_all_who_listen(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        device = broadcasting("40 04138A01")
        bluez.air = [device]
        first: list[str] = []
        second: list[str] = []
        heard = Heard()

        async def listen(hear: Hear) -> None:
            async with listening(hear):
                await asyncio.Event().wait()

        outer = asyncio.ensure_future(on_radio(listen(lambda d, _: first.append(d.address))))
        await heard.until(lambda _: bool(first))
        inner = asyncio.ensure_future(on_radio(listen(lambda d, _: second.append(d.address))))
        await heard.until(lambda _: _is_heard(bluez, device, second))
        await stopped(inner)
        assert bluez.searches == 1  # the other still listens
        await stopped(outer)
        assert bluez.searches == 0
        assert bluez.calls.count("StartDiscovery") == 1

    on_bluez(system_bus, use)


def _is_heard(bluez: PretendedBluez, device: Device, by: list[str]) -> bool:
    bluez.broadcast(device)
    return bool(by)


def test_a_radio_that_stays_busy_is_told(system_bus: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sensors.ble_radio._BUSY_S", 0.01)

    async def use(bluez: PretendedBluez) -> None:
        bluez.failures["StartDiscovery"] = ["org.bluez.Error.InProgress"] * 5
        with pytest.raises(SensorError, match="busy with another program's search"):
            await find_bluetooth(lambda _: None)

    on_bluez(system_bus, use)


def test_what_is_wrong_is_said(
    system_bus: str, monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    async def off(_: PretendedBluez) -> None:
        with pytest.raises(SensorError, match="Bluetooth is switched off"):
            await find_bluetooth(lambda _: None)

    async def gone(bluez: PretendedBluez) -> None:
        await bluez.die()
        with pytest.raises(SensorError, match="Bluetooth daemon"):
            await find_bluetooth(lambda _: None)

    async def no_bus(_: PretendedBluez) -> None:
        nowhere = tmp_path_factory.mktemp("bus") / "socket"
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", f"unix:path={nowhere}")
        with pytest.raises(SensorError, match="message bus") as caught:
            await find_bluetooth(lambda _: None)
        assert not caught.value.is_final

    async def refused(bluez: PretendedBluez) -> None:
        bluez.failures["GetManagedObjects"] = ["org.freedesktop.DBus.Error.AccessDenied"] * 9
        with pytest.raises(SensorError, match=r"refuses to answer .* 'sudo usermod -aG bluetooth"):
            await find_bluetooth(lambda _: None)

    async def deaf(bluez: PretendedBluez) -> None:
        monkeypatch.setattr(bluetooth_health, "ANSWER_S", 0.1)
        bluez.deaf.add("GetManagedObjects")
        health = await bluetooth_health.bluetooth_health()
        assert health.state == "unknown"
        assert health.text == "Bluetooth gave no answer within 0 s."

    on_bluez(system_bus, off, is_powered=False)
    on_bluez(system_bus, gone)
    on_bluez(system_bus, refused)
    on_bluez(system_bus, deaf)
    on_bluez(system_bus, no_bus)
