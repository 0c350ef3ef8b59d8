import asyncio
import os
import struct
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from dbus_fast import Message

from sensors import ble, ble_reader
from sensors.calibration import Curve, Point
from sensors.catalogue import open_sensor
from sensors.events import Connected, Lost, Rejected, Sensor, SensorError
from sensors.keep_alive import KeepAlive
from tests.sensors.bluetooth.pretended_bluez import Characteristic, Device, PretendedBluez
from tests.sensors.bluetooth.private_bus import needs_bus, on_bluez
from tests.sensors.heard import Heard
from tests.sensors.tasks import stopped

pytestmark = [needs_bus, pytest.mark.usefixtures("system_bus")]


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


@pytest.mark.parametrize("target", ["Gauge 7", "gauge 7", "c0:ff:ee:00:00:01"])
def test_reads_the_standards_pressure_temperature_and_battery(system_bus: str, target: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        sent = [66.5 - 0.1 * n for n in range(50)]  # 5 s of 10 readings a second
        device = gauge(packed(*sent, 3000.0, 0.5))
        bluez.air = [Device(9, "Somebody's phone"), device]
        async with running(open_sensor(f"ble:{target}", silence_s=None)) as heard:
            await heard.until(lambda h: len(h.readings()) == 52)
            assert bluez.searches == 0  # the radio does not search while it reads
        first = heard.events[0]
        assert isinstance(first, Connected)
        assert first.detail == "Gauge 7, Invented, V-1\ufffd, signal -61 dBm, battery 80 %"
        assert pressures(heard)[:50] == pytest.approx(sent)
        assert {reading.temperature_c for reading in heard.readings()} == {21.5}
        assert [r.status for r in heard.readings()[49:]] == ["ok", "over-range", "under-range"]
        assert pressures(heard)[50:] == [2666.4, 1.0]
        assert bluez.calls[-1] == "Disconnect"

    on_bluez(system_bus, use)


def test_a_pressure_that_does_not_notify_is_read_again_and_again(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(flags=("read",))]
        async with running(open_sensor("ble:Gauge 7?every=0.02", silence_s=None)) as heard:
            await heard.until(lambda h: len(h.readings()) >= 3)
        assert set(pressures(heard)) == {77.7}

    on_bluez(system_bus, use)


def test_a_quiet_gauge_that_notifies_changes_only_is_read(
    system_bus: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ble_reader, "_QUIET_S", 0.05)

    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(packed(66.5))]
        async with running(open_sensor("ble:Gauge 7", silence_s=None)) as heard:
            await heard.until(lambda h: len(h.readings()) >= 3)
        assert pressures(heard)[:3] == [66.5, 66.5, 66.5]
        assert len(bluez.sent_values) == 1  # the others were read

    on_bluez(system_bus, use)


def test_lines_of_text_in_payloads_of_20_bytes(system_bus: str) -> None:
    lines = b"".join(b"vacuum gauge;%d micron;21.5\r\n" % n for n in range(500, 505))

    async def use(bluez: PretendedBluez) -> None:
        serial = Characteristic("FFE1", b"", ("notify",))
        chunks = [lines[at : at + 20] for at in range(0, len(lines), 20)]
        bluez.air = [Device(1, "Line", {"FFE0": [serial]}, sessions=[[*chunks, b"cut"]])]
        address = "ble:Line?characteristic=FFE1&form=text&field=2&temperature=3"
        async with running(open_sensor(address, silence_s=None)) as heard:
            await heard.until(lambda h: len(h.readings()) == 4)
        assert pressures(heard) == pytest.approx([n * 0.1333224 for n in range(501, 505)])
        # The first line may have been cut at its start; the last was, at its end.
        assert [r.raw for r in heard.rejected()] == [lines.split(b"\r")[0], b"cut"]

    on_bluez(system_bus, use)


def test_a_packed_number_and_one_of_the_wrong_length(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        number = Characteristic("FFE1", b"", ("indicate",))
        device = Device(1, "Line", {"FFE0": [number]}, sessions=[[b"\x0a\x14", b"\1", b""]])
        bluez.air = [device]
        address = "ble:Line?characteristic=0xFFE1&form=u16be&scale=0.1&curve=head"
        line = Curve("linear", (Point(0.0, 0.0), Point(100.0, 1e5)), note="at air")
        sensor = open_sensor(address, silence_s=None, curves={"head": line})
        async with running(sensor) as heard:
            await heard.until(lambda h: len(h.rejected()) == 2)
        assert pressures(heard) == [258_000.0]
        first = heard.events[0]
        assert isinstance(first, Connected)
        assert first.detail.endswith("dBm, through its linear curve (undated, at air)")
        assert [r.raw for r in heard.rejected()] == [b"\1", b""]
        assert "1 bytes came; expected 2" in heard.rejected()[0].why

    on_bluez(system_bus, use)


def test_a_drop_is_told_and_the_gauge_found_anew(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        device = gauge(packed(1.5, 2.5), packed(3.5), packed(4.5))
        bluez.air = [device]
        async with running(alive("ble:Gauge 7")) as heard:
            await heard.until(lambda h: len(h.readings()) == 2)
            bluez.drop(device)
            await heard.until(lambda h: len(h.readings()) == 3)
            # Lost, and forgotten by the daemon: it is a new object when it comes back.
            bluez.drop(device)
            bluez.remove(device.path)
            await heard.until(lambda h: len(h.readings()) == 4)
        assert pressures(heard) == [1.5, 2.5, 3.5, 4.5]
        assert heard.links() == ["connected", "lost"] * 2 + ["connected"]
        assert bluez.calls.count("StartDiscovery") >= 3  # never from memory
        why = next(event.why for event in heard.events if isinstance(event, Lost))
        assert why == "The Bluetooth connection to Gauge 7 was lost."

    on_bluez(system_bus, use)


def test_many_drops_leave_nothing_open(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        device = gauge(*(packed(n) for n in range(15)))
        bluez.air = [device]
        open_files: list[int] = []
        async with running(alive("ble:Gauge 7")) as heard:
            for count in range(1, 16):
                await heard.until(lambda h, count=count: len(h.readings()) == count)  # type: ignore[misc]
                open_files.append(len(os.listdir("/proc/self/fd")))
                bluez.drop(device)
        assert open_files[-1] <= open_files[0]
        assert bluez.searches == 0

    on_bluez(system_bus, use)


def test_a_mute_gauge_is_taken_up_again_by_the_watchdog(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(packed(1.5), packed(2.5), flags=("notify",))]
        async with running(alive("ble:Gauge 7", silence_s=0.4)) as heard:
            await heard.until(lambda h: len(h.readings()) == 2)
        assert heard.links() == ["connected", "lost", "connected"]
        assert any(isinstance(e, Lost) and "Nothing was heard" in e.why for e in heard.events)

    on_bluez(system_bus, use)


def test_the_daemon_dies_and_comes_back(system_bus: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ble_reader, "_QUIET_S", 0.05)

    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(packed(1.5))]
        async with running(alive("ble:Gauge 7")) as heard:
            await heard.until(lambda h: bool(h.readings()))
            await bluez.die()
            await heard.until(lambda h: h.links() == ["connected", "lost"])
            why = next(event.why for event in heard.events if isinstance(event, Lost))
            assert "daemon" in why
            again = PretendedBluez(system_bus)
            again.air = [gauge(packed(8.5))]
            await again.start()
            await heard.until(lambda h: 8.5 in pressures(h))
        await again.die()

    on_bluez(system_bus, use)


def test_the_daemon_dies_while_the_gauge_can_only_notify(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(packed(1.5), flags=("notify",))]
        async with running(alive("ble:Gauge 7", silence_s=0.4)) as heard:
            await heard.until(lambda h: bool(h.readings()))
            await bluez.die()
            await heard.until(lambda h: h.links() == ["connected", "lost"])

    on_bluez(system_bus, use)


def test_a_busy_radio_is_tried_again(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(packed(1.5))]
        bluez.failures["StartDiscovery"] = ["org.bluez.Error.InProgress"]
        bluez.failures["Connect"] = ["org.bluez.Error.InProgress"]
        async with running(alive("ble:Gauge 7")) as heard:
            await heard.until(lambda h: bool(h.readings()))
        assert heard.links() == ["lost", "connected"]

    on_bluez(system_bus, use)


@pytest.mark.parametrize("member", ["Connect", "ReadValue", "StartNotify", "StopDiscovery"])
@pytest.mark.parametrize("error", ["org.bluez.Error.Failed", "org.bluez.Error.NotReady"])
def test_any_method_may_fail_once(system_bus: str, member: str, error: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(packed(1.5), packed(1.5))]
        bluez.failures[member] = [error]
        async with running(alive("ble:Gauge 7")) as heard:
            await heard.until(lambda h: bool(h.readings()))

    on_bluez(system_bus, use)


def test_what_is_not_there_is_told(system_bus: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ble, "_SEARCH_S", 0.1)

    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [Device(1, "Line", {"180F": [Characteristic("2A19", b"\x50")]})]
        with pytest.raises(SensorError, match="No Bluetooth device 'Gauge 7' is in reach") as away:
            await open_sensor("ble:Gauge 7", silence_s=None).run(Heard())
        assert not away.value.is_final
        with pytest.raises(SensorError, match=r"has no characteristic 00002a6d.*2a19") as wrong:
            await open_sensor("ble:Line", silence_s=None).run(Heard())
        assert wrong.value.is_final
        assert bluez.searches == 0

    on_bluez(system_bus, use)


def test_a_gauge_still_connected_from_a_killed_run_is_found(
    system_bus: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ble, "_SEARCH_S", 0.1)

    async def use(bluez: PretendedBluez) -> None:
        device = gauge(packed(1.5))
        device.services["1801"] = []
        bluez.air = [device]
        bluez.add(device.path, "org.bluez.Device1", device.properties())
        bluez._on_Connect(_call_to(device))
        bluez.is_still = True
        async with running(open_sensor("ble:Gauge 7", silence_s=None)) as heard:
            await heard.until(lambda h: bool(h.readings()))
        assert "Connect" not in bluez.calls

    on_bluez(system_bus, use)


def test_switched_off(system_bus: str) -> None:
    async def use(_: PretendedBluez) -> None:
        with pytest.raises(SensorError, match="Bluetooth is switched off") as caught:
            await open_sensor("ble:Gauge 7", silence_s=None).run(Heard())
        assert not caught.value.is_final

    on_bluez(system_bus, use, is_powered=False)


def test_a_wrong_length_is_rejected_and_reading_goes_on(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge([b"\1\2\3", b"", *packed(1.5)])]
        async with running(open_sensor("ble:Gauge 7", silence_s=None)) as heard:
            await heard.until(lambda h: bool(h.readings()))
        assert [event.raw for event in heard.events if isinstance(event, Rejected)] == [
            b"\1\2\3",
            b"",
        ]

    on_bluez(system_bus, use)


def _call_to(device: Device) -> Message:
    return Message(path=device.path, interface="org.bluez.Device1", member="Connect")


def test_a_characteristic_that_gives_nothing_is_told(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [Device(1, "Line", {"FFE0": [Characteristic("FFE1", b"", ("write",))]})]
        address = "ble:Line?characteristic=FFE1&form=text"
        with pytest.raises(SensorError, match="can be neither read nor subscribed") as caught:
            await open_sensor(address, silence_s=None).run(Heard())
        assert caught.value.is_final

    on_bluez(system_bus, use)


def test_another_failure_of_the_radio_is_told_as_it_comes(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(packed(1.5))]
        bluez.failures["Connect"] = ["org.bluez.Error.AuthenticationRejected"] * 9
        with pytest.raises(SensorError, match=r"^Bluetooth failed: .*AuthenticationRejected"):
            await open_sensor("ble:Gauge 7", silence_s=None).run(Heard())

    on_bluez(system_bus, use)
