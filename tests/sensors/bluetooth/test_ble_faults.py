"""A gauge over Bluetooth that drops, falls silent, fails or is not there."""

import os

import pytest
from dbus_fast import Message

from sensors import ble, ble_reader
from sensors.catalogue import open_sensor
from sensors.events import Lost, SensorError
from tests.sensors.bluetooth.gauges import alive, gauge, packed, pressures, running
from tests.sensors.bluetooth.pretended_bluez import Characteristic, Device, PretendedBluez
from tests.sensors.bluetooth.private_bus import needs_bus, on_bluez
from tests.sensors.heard import Heard

pytestmark = [needs_bus, pytest.mark.usefixtures("system_bus")]


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
