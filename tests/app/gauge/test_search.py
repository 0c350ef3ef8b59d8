import asyncio
import json
import math
from collections.abc import Callable
from types import SimpleNamespace

import pytest

from app.cli import main
from app.gauge import search as module
from app.gauge.search import (
    FindBluetooth,
    Found,
    Gone,
    Heard,
    News,
    bluetooth_finder,
    search,
)
from sensors.ble_find import find_bluetooth
from sensors.catalogue import FoundPort
from sensors.events import SensorError


def port(number: int) -> FoundPort:
    device = f"/dev/ttyUSB{number}"
    return FoundPort(device, f"adapter {number}", f"serial:{device}")


class World:
    """Ports that come and go at each look, and a Bluetooth in any state."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, *looks: list[int]) -> None:
        self.looks = list(looks)
        self.found: list[Found] = []
        self.gone: list[str] = []
        self.warnings: list[str] = []
        monkeypatch.setattr(module, "find_ports", self.ports)
        monkeypatch.setattr(module, "may_open", lambda device: not device.endswith("9"))

    def ports(self) -> list[FoundPort]:
        numbers = self.looks.pop(0) if len(self.looks) > 1 else self.looks[0]
        return [port(number) for number in numbers]

    def search(self, for_s: float | None, bluetooth: FindBluetooth | None = None) -> None:
        async def sleep(seconds: float) -> None:
            for _ in range(100 if seconds == for_s else 1):
                await asyncio.sleep(0.001)

        asyncio.run(search(self.tell, for_s, bluetooth=bluetooth, sleep=sleep))

    def tell(self, news: News) -> None:
        if isinstance(news, Found):
            self.found.append(news)
        elif isinstance(news, Gone):
            self.gone.append(news.address)
        else:
            self.warnings.append(f"{news.about}: {news.text}")

    def addresses(self) -> list[str]:
        return [found.address for found in self.found]


def test_once_without_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    world = World(monkeypatch, [0, 1], [2])
    world.search(0.0)
    assert world.found == [Found("serial:/dev/ttyUSB0", "adapter 0"), Found(*_found(1))]


def _found(number: int) -> tuple[str, str]:
    return f"serial:/dev/ttyUSB{number}", f"adapter {number}"


def test_a_port_is_told_when_it_appears_and_again_when_it_comes_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    world = World(monkeypatch, [0], [0], [0, 1], [1], [0, 1])
    world.search(10.0)
    assert [address[-1] for address in world.addresses()] == ["0", "1", "0"]
    assert world.gone == ["serial:/dev/ttyUSB0"]


def test_a_port_that_may_not_be_opened_is_told_with_the_way_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    world = World(monkeypatch, [9])
    world.search(0.0)
    assert world.addresses() == ["serial:/dev/ttyUSB9"]
    assert world.warnings[0].startswith("/dev/ttyUSB9: No permission for /dev/ttyUSB9")
    world = World(monkeypatch, [9], [])
    world.search(10.0)
    assert world.warnings[1] == "/dev/ttyUSB9: "  # it was pulled out: no trouble any more


GAUGE = SimpleNamespace(device="AA", name="Gauge A", signal_dbm=-61, address="ble:AA")
OTHER = SimpleNamespace(device="BB", name="", signal_dbm=-90, address=None)


async def two_devices(tell: Callable[[Heard], None], for_s: float) -> None:
    tell(GAUGE)
    await asyncio.sleep(0)
    tell(OTHER)
    if for_s < module.BLUETOOTH_S:
        await asyncio.Event().wait()


def test_bluetooth_devices_are_told_and_the_search_is_cleaned_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for for_s in (5.0, None):
        world = World(monkeypatch, [0])
        world.search(for_s, two_devices)
        assert sorted(world.addresses()) == ["ble:AA", "ble:BB", "serial:/dev/ttyUSB0"]
        about = {found.address: found.description for found in world.found}
        assert about["ble:AA"] == "Gauge A, -61 dBm"
        assert about["ble:BB"].startswith("-90 dBm; tells no pressure")


def test_a_search_that_fails_is_said_and_ports_are_found_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    async def fails(_: Callable[[Heard], None], for_s: float) -> None:
        raise SensorError("Bluetooth is switched off. 'bluetoothctl power on'.")

    world = World(monkeypatch, [0])
    world.search(None, fails)
    assert world.addresses() == ["serial:/dev/ttyUSB0"]
    assert world.warnings == ["Bluetooth: Bluetooth is switched off. 'bluetoothctl power on'."]

    async def broken(_: Callable[[Heard], None], for_s: float) -> None:
        raise RuntimeError("a fault of ours")

    with pytest.raises(RuntimeError, match="a fault of ours"):
        world.search(10.0, broken)


def test_bluetooth_that_is_switched_on_meanwhile_is_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tries = 0

    async def at_the_third(tell: Callable[[Heard], None], for_s: float) -> None:
        nonlocal tries
        tries += 1
        if tries < 3:
            raise SensorError("Bluetooth is switched off.")
        tell(GAUGE)
        await asyncio.Event().wait()

    world = World(monkeypatch, [])
    world.search(10.0, at_the_third)
    assert tries == 3
    assert world.addresses() == ["ble:AA"]
    assert world.warnings == ["Bluetooth: Bluetooth is switched off.", "Bluetooth: "]


def test_a_fault_in_the_search_ends_it_however_long_it_is_to_last(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def broken() -> list[FoundPort]:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr(module, "find_ports", broken)
    with pytest.raises(RuntimeError, match="a fault of ours"):
        asyncio.run(asyncio.wait_for(search(lambda _news: None, math.inf), 5.0))


def test_the_real_search_is_found() -> None:
    assert bluetooth_finder() is find_bluetooth


def test_one_object_a_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    World(monkeypatch, [0, 1])
    assert main(["find", "--json", "--for", "0"]) == 0
    told = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert told == [dict(zip(("address", "description"), _found(n), strict=True)) for n in (0, 1)]
    World(monkeypatch, [])
    assert main(["find", "--for", "0"]) == 0
    assert "No gauge found" in capsys.readouterr().err
