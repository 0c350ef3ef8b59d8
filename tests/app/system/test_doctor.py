import json
import os
import re
import shutil
import sys
import tomllib
from pathlib import Path
from types import SimpleNamespace

import pytest

from app.cli import main
from app.settings.file import save_settings
from app.settings.values import Settings
from app.system import checkup as module
from app.system.checkup import Check, checkup
from app.system.paths import jobs_folder, log_file, profiles_folder, settings_file
from app.system.private import without_private
from sensors.bluetooth_health import BluetoothHealth

NAMES = ["python", "packages", "qt-libraries", "screen", "serial", "bluetooth"]
NAMES += ["jobs", "settings", "profiles", "log"]


@pytest.fixture(autouse=True)
def health(monkeypatch: pytest.MonkeyPatch) -> None:
    async def on() -> BluetoothHealth:
        return BluetoothHealth("on", "Bluetooth is on.")

    monkeypatch.setattr(module, "bluetooth_health", on)
    monkeypatch.setattr(module, "find_ports", list)


def checked() -> dict[str, Check]:
    return {check.name: check for check in checkup()}


def test_every_part_is_told_once_as_one_object(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["doctor", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["version"], [check["name"] for check in told["checks"]]) == (1, NAMES)
    assert {check["state"] for check in told["checks"]} <= {"ok", "attention", "fault"}
    assert main(["doctor"]) == 0
    out = capsys.readouterr().out
    assert all(f"{name}: " in out for name in NAMES)


def test_it_changes_nothing(own_folders: Path) -> None:
    before = sorted(own_folders.rglob("*"))
    list(checkup())
    assert sorted(own_folders.rglob("*")) == before


def test_no_name_and_no_home_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    home = tmp_path / "kim"
    home.mkdir()
    for name in ("HOME", "USERPROFILE", "SIMMERDOWN_HOME"):
        monkeypatch.setenv(name, str(home))
    for name in ("LOGNAME", "USER", "LNAME", "USERNAME"):
        monkeypatch.setenv(name, "kim")
    settings_file().write_text("unit = 7\n")
    assert main(["doctor"]) == 0
    out = capsys.readouterr().out
    assert str(home) not in out
    assert "kim" not in out
    assert "~" in out


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("in /home/kim/x.", "in ~/x."),
        ("/run/media/kim/STICK", "/run/media/…/STICK"),
        ("C:\\data\\kim", "C:\\data\\…"),
        ("/srv/kimono", "/srv/kimono"),
    ],
)
def test_paths_without_names(text: str, expected: str) -> None:
    assert without_private(text, home=Path("/home/kim"), user="kim") == expected


def test_faults_come_with_the_way_out(monkeypatch: pytest.MonkeyPatch) -> None:
    async def off() -> BluetoothHealth:
        return BluetoothHealth("off", "Bluetooth is switched off.", "'bluetoothctl power on'.")

    ports = [SimpleNamespace(device=f"/dev/ttyUSB{n}", description="adapter") for n in (0, 1)]
    monkeypatch.setattr(module, "bluetooth_health", off)
    monkeypatch.setattr(module, "find_ports", lambda: ports)
    monkeypatch.setattr(module, "may_open", lambda device: device.endswith("1"))
    monkeypatch.setattr(module, "missing_packages", lambda: ["libegl1"])
    monkeypatch.setattr(module, "_PACKAGES", ("numpy", "no-such-package"))
    settings_file().parent.mkdir(parents=True)
    settings_file().write_text("unit = 'furlong'\n")
    profiles_folder().mkdir(parents=True)
    (profiles_folder() / "bad.toml").write_text("version = 9")
    checks = list(checkup())
    faults = {check.name: check for check in checks if check.state == "fault"}
    assert set(faults) == {"packages", "qt-libraries", "serial", "settings", "profiles"}
    assert all(check.fix for check in checks if check.state != "ok")
    assert "no-such-package" in faults["packages"].text
    assert "libegl1" in faults["qt-libraries"].fix
    assert "/dev/ttyUSB0" in faults["serial"].text
    assert "line 1" in faults["settings"].text
    assert "bad.toml" in faults["profiles"].text
    bluetooth = next(check for check in checks if check.name == "bluetooth")
    assert (bluetooth.state, bluetooth.fix) == ("attention", "'bluetoothctl power on'.")


@pytest.mark.skipif(os.name == "nt", reason="screens are asked for by variable on X11 and Wayland")
def test_the_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    names = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    for name in names:
        monkeypatch.delenv(name, raising=False)
    assert checked()["screen"].state == "attention"
    for name in names:
        with monkeypatch.context() as told:
            told.setenv(name, "there")
            assert checked()["screen"].state == "ok"


def test_every_package_that_is_needed_is_looked_for() -> None:
    project = tomllib.loads((Path(__file__).parents[3] / "pyproject.toml").read_text("utf-8"))
    needed = {re.split(r"[^\w-]", each)[0] for each in project["project"]["dependencies"]}
    assert needed == set(module._PACKAGES)


def test_folders_that_take_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    jobs_folder().parent.mkdir(parents=True)
    jobs_folder().write_text("a file in the way")
    log_file().parent.write_text("another")
    checks = checked()
    assert checks["jobs"].state == "fault"
    assert checks["log"].state == "attention"
    jobs_folder().unlink()
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=5_000_000))
    assert checked()["jobs"].state == "attention"


def test_a_check_that_breaks_is_told_and_stops_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> list[str]:
        raise RuntimeError("no")

    monkeypatch.setattr(module, "profile_names", broken)
    checks = checked()
    assert list(checks) == NAMES
    assert checks["profiles"].state == "fault"


def test_a_second_place_that_is_not_there_is_told(tmp_path: Path) -> None:
    assert "second-place" not in checked()
    save_settings(Settings(backup_folder=tmp_path / "stick"))
    missing = checked()["second-place"]
    assert missing.state == "attention"
    assert "it is not there" in missing.text
    assert missing.fix
    (tmp_path / "stick").mkdir()
    assert checked()["second-place"].state == "ok"
    settings_file().write_text("?")
    assert "second-place" not in checked()
