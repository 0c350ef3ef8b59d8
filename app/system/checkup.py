"""What works on this machine: one check a part, each in words and with the way out."""

import asyncio
import platform
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Literal

from app.gauge.profiles import ProfileError, load_profile, profile_names
from app.settings.file import SettingsFileError, load_settings
from app.system.paths import jobs_folder, log_file, settings_file
from app.system.qt_libraries import install_command, missing_packages
from app.system.screen import has_screen
from sensors.bluetooth_health import bluetooth_health
from sensors.catalogue import find_ports
from sensors.port_access import may_open, permission_advice

State = Literal["ok", "attention", "fault"]
# A 24-hour job at 10 readings a second takes 15 MB; room for a few, and for the system itself.
LEAST_FREE_BYTES = 200 << 20
_PACKAGES = (
    "numpy",
    "platformdirs",
    "pyserial",
    "pymodbus",
    "bleak",
    "wakepy",
    "pyqtgraph",
    "PySide6-Essentials",
)


@dataclass(frozen=True, slots=True)
class Check:
    """One part: what is so, and what to do about it when it is not ``ok``."""

    name: str
    state: State
    text: str
    fix: str = ""


def checkup() -> Iterator[Check]:
    """Look at all parts, one after the other. A check that breaks is itself told as a fault."""
    checks: tuple[tuple[str, Callable[[], list[Check]]], ...] = (
        ("python", _python),
        ("packages", _packages),
        ("qt-libraries", _qt_libraries),
        ("screen", _screen),
        ("serial", _serial),
        ("bluetooth", _bluetooth),
        ("jobs", _jobs),
        ("second-place", _second_place),
        ("settings", _settings),
        ("profiles", _profiles),
        ("log", _log),
    )
    for name, check in checks:
        try:
            yield from check()
        except Exception as error:
            yield Check(name, "fault", f"Could not be checked: {error!r:.200}")


def _python() -> list[Check]:
    text = f"Python {platform.python_version()} on {platform.system()} {platform.machine()}."
    return [Check("python", "ok", text)]


def _packages() -> list[Check]:
    found, missing = [], []
    for package in _PACKAGES:
        try:
            found.append(f"{package} {version(package)}")
        except PackageNotFoundError:
            missing.append(package)
    if missing:
        text = f"Missing: {', '.join(missing)}."
        return [Check("packages", "fault", text, "Start with 'python3 app': it installs them.")]
    return [Check("packages", "ok", ", ".join(found) + ".")]


def _qt_libraries() -> list[Check]:
    missing = missing_packages()
    if missing:
        text = f"The window and the report need: {', '.join(missing)}."
        return [Check("qt-libraries", "fault", text, install_command(missing))]
    return [Check("qt-libraries", "ok", "All system libraries that the window needs are there.")]


def _screen() -> list[Check]:
    if not has_screen():
        text = "No screen: the window cannot open; the commands work without."
        fix = "Start it on the desktop, or use 'simmerdown watch'."
        return [Check("screen", "attention", text, fix)]
    return [Check("screen", "ok", "There is a screen.")]


def _serial() -> list[Check]:
    ports = find_ports()
    if not ports:
        text = "No serial port is there."
        fix = "Plug the gauge or its adapter in; then 'simmerdown find' shows it."
        return [Check("serial", "attention", text, fix)]
    return [
        Check("serial", "ok", f"{port.device} may be opened. {port.description}".rstrip())
        if may_open(port.device)
        else Check(
            "serial", "fault", f"No permission for {port.device}.", permission_advice(port.device)
        )
        for port in ports
    ]


def _bluetooth() -> list[Check]:
    health = asyncio.run(bluetooth_health())
    # Only a Bluetooth gauge needs it, so that nothing here is a fault of the machine.
    is_fine = health.state == "on" or (health.state == "unknown" and not health.fix)
    return [Check("bluetooth", "ok" if is_fine else "attention", health.text, health.fix)]


def _jobs() -> list[Check]:
    folder = jobs_folder()
    why = _why_not_writable(folder)
    if why:
        fix = "Give yourself the right to write there, or choose another with 'watch --job PATH'."
        return [Check("jobs", "fault", f"Jobs cannot be saved in {folder}: {why}.", fix)]
    free = shutil.disk_usage(_nearest(folder)).free
    text = f"Jobs are saved in {folder}; {free / 1e9:.1f} GB are free."
    if free < LEAST_FREE_BYTES:
        return [Check("jobs", "attention", text, "Make room: a long job takes some 15 MB.")]
    return [Check("jobs", "ok", text)]


def _second_place() -> list[Check]:
    try:
        folder = load_settings().backup_folder
    except SettingsFileError:
        return []  # told with the settings
    if folder is None:
        return []
    why = _why_not_writable(folder) if folder.is_dir() else "it is not there"
    if why:
        text = f"Second copies of jobs cannot go to {folder}: {why}."
        return [Check("second-place", "attention", text, "Plug it in, or choose another folder.")]
    return [Check("second-place", "ok", f"Second copies of jobs go to {folder}.")]


def _settings() -> list[Check]:
    path = settings_file()
    try:
        load_settings()
    except SettingsFileError as error:
        return [Check("settings", "fault", str(error), "Mend that line, or move the file away.")]
    text = f"{path} is read." if path.exists() else "Nothing was changed: the defaults hold."
    return [Check("settings", "ok", text)]


def _profiles() -> list[Check]:
    names, bad = profile_names(), []
    for name in names:
        try:
            load_profile(name)
        except ProfileError as error:
            bad.append(Check("profiles", "fault", str(error), "Mend or delete that file."))
    return bad or [Check("profiles", "ok", f"{len(names)} can be used.")]


def _log() -> list[Check]:
    path = log_file()
    why = _why_not_writable(path.parent)
    if why:
        text = f"The program keeps no log of itself in {path.parent}: {why}."
        return [Check("log", "attention", text, "Give yourself the right to write there.")]
    return [Check("log", "ok", f"The program's own log is {path}.")]


def _nearest(folder: Path) -> Path:
    """Give the folder, or the nearest one above it that is there."""
    return next(path for path in (folder, *folder.parents) if path.exists())


def _why_not_writable(folder: Path) -> str:
    """Try to write where the folder is, or would be made; leaves nothing behind."""
    nearest = _nearest(folder)
    try:
        with tempfile.TemporaryFile(dir=nearest) as file:
            file.write(b"x")
    except OSError as error:
        return error.strerror or str(error)
    return ""
