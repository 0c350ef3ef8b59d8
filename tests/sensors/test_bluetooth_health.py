"""Bluetooth's state as a real message bus tells it, with a pretended daemon on it."""

import asyncio
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest

from sensors import bluetooth_health as module
from sensors.bluetooth_health import BluetoothHealth, blocked, bluetooth_health

pytestmark = pytest.mark.skipif(
    sys.platform != "linux" or shutil.which("dbus-daemon") is None,
    reason="needs dbus-daemon",
)
CONFIG = """<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>system</type><listen>unix:path={path}</listen>{services}
<policy context="default"><allow send_destination="*" eavesdrop="true"/><allow eavesdrop="true"/>
<allow own="*"/><allow user="*"/></policy></busconfig>"""


@contextmanager
def serving_bus(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, services: str) -> Iterator[None]:
    config = tmp_path / "bus.conf"
    config.write_text(CONFIG.format(path=tmp_path / "bus", services=services))
    with subprocess.Popen(
        ["dbus-daemon", f"--config-file={config}", "--nofork", "--print-address"],
        stdout=subprocess.PIPE,
        text=True,
    ) as daemon:
        assert daemon.stdout
        monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", daemon.stdout.readline().strip())
        monkeypatch.setattr(module, "blocked", lambda: None)
        try:
            yield
        finally:
            daemon.terminate()


@pytest.fixture
def bus(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    with serving_bus(tmp_path, monkeypatch, ""):
        yield


def asked_with_adapters(powered: list[bool]) -> BluetoothHealth:
    from dbus_fast.aio import MessageBus
    from dbus_fast.constants import BusType, PropertyAccess
    from dbus_fast.service import ServiceInterface, dbus_property

    class Adapter(ServiceInterface):
        def __init__(self, is_powered: bool) -> None:
            super().__init__("org.bluez.Adapter1")
            self._is_powered = is_powered

        @dbus_property(access=PropertyAccess.READ)
        def Powered(self) -> "b":  # type: ignore[name-defined]  # noqa: F821, N802
            return self._is_powered

    async def main() -> BluetoothHealth:
        daemon = await MessageBus(bus_type=BusType.SYSTEM).connect()
        for number, is_powered in enumerate(powered):
            daemon.export(f"/org/bluez/hci{number}", Adapter(is_powered))
        await daemon.request_name("org.bluez")
        try:
            return await bluetooth_health()
        finally:
            daemon.disconnect()

    return asyncio.run(main())


@pytest.mark.usefixtures("bus")
@pytest.mark.parametrize(
    ("powered", "state"), [([], "no-adapter"), ([False], "off"), ([False, True], "on")]
)
def test_adapters(powered: list[bool], state: str) -> None:
    health = asked_with_adapters(powered)
    assert health.state == state
    assert bool(health.fix) == (state != "on")


@pytest.mark.usefixtures("bus")
def test_no_daemon() -> None:
    health = asyncio.run(bluetooth_health())
    assert health.state == "no-daemon"
    assert "install bluez" in health.fix


def test_a_daemon_that_only_has_to_be_started(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "services"
    folder.mkdir()
    (folder / "org.bluez.service").write_text(
        "[D-BUS Service]\nName=org.bluez\nExec=/bin/false\nUser=root\n"
    )
    with serving_bus(tmp_path, monkeypatch, f"<servicedir>{folder}</servicedir>"):
        health = asyncio.run(bluetooth_health())
    assert (health.state, "install" in health.fix) == ("no-daemon", False)
    assert "systemctl" in health.fix


def test_no_bus(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DBUS_SYSTEM_BUS_ADDRESS", f"unix:path={tmp_path}/none")
    assert asyncio.run(bluetooth_health()).state == "no-bus"


@pytest.mark.parametrize(
    ("soft", "hard", "state"), [("0", "0", None), ("1", "0", "soft"), ("0", "1", "hard")]
)
def test_radio_switches(tmp_path: Path, soft: str, hard: str, state: str | None) -> None:
    for number, kind in enumerate(("wlan", "bluetooth")):
        switch = tmp_path / f"rfkill{number}"
        switch.mkdir()
        (switch / "type").write_text(f"{kind}\n")
        (switch / "soft").write_text("1\n" if kind == "wlan" else f"{soft}\n")
        (switch / "hard").write_text(f"{hard}\n")
    health = blocked(tmp_path)
    if state is None:
        assert health is None
    else:
        assert health is not None
        assert health.state == "blocked"
        assert ("rfkill" in health.fix) == (state == "soft")


@pytest.mark.parametrize(
    ("authorization", "state"), [(0, "unknown"), (2, "not-allowed"), (3, "unknown")]
)
def test_on_a_mac(monkeypatch: pytest.MonkeyPatch, authorization: int, state: str) -> None:
    manager = SimpleNamespace(authorization=lambda: authorization)
    monkeypatch.setitem(sys.modules, "CoreBluetooth", SimpleNamespace(CBManager=manager))
    monkeypatch.setattr(sys, "platform", "darwin")
    assert asyncio.run(bluetooth_health()).state == state


def test_elsewhere_and_when_it_breaks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "win32")
    assert asyncio.run(bluetooth_health()).state == "unknown"
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setitem(sys.modules, "CoreBluetooth", None)
    assert "could not be asked" in asyncio.run(bluetooth_health()).text
