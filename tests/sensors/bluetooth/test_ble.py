import pytest

from sensors import ble_reader
from sensors.calibration import Curve, Point
from sensors.catalogue import open_sensor
from sensors.events import Connected, Rejected
from tests.sensors.bluetooth.gauges import gauge, packed, pressures, running
from tests.sensors.bluetooth.pretended_bluez import Characteristic, Device, PretendedBluez
from tests.sensors.bluetooth.private_bus import needs_bus, on_bluez

pytestmark = [needs_bus, pytest.mark.usefixtures("system_bus")]


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


def test_what_a_gauge_keeps_from_strangers_is_left_out(system_bus: str) -> None:
    async def use(bluez: PretendedBluez) -> None:
        bluez.air = [gauge(packed(66.5))]
        bluez.failures["ReadValue"] = ["org.bluez.Error.NotPermitted"] * 3  # up to its battery
        async with running(open_sensor("ble:Gauge 7", silence_s=None)) as heard:
            await heard.until(lambda h: len(h.readings()) == 1)
        first = heard.events[0]
        assert isinstance(first, Connected)
        assert first.detail == "Gauge 7, signal -61 dBm"

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
        assert "1 byte came; expected 2" in heard.rejected()[0].why

    on_bluez(system_bus, use)


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
