"""The system libraries that Qt's wheels do not bring, and how a Debian-like system gets them.

Standard library only: used before anything is installed.
"""

import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Callable

# Library that must load -> Debian package that brings it (found by running Qt on a bare system).
_OFFSCREEN = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libglib-2.0.so.0": "libglib2.0-0",
}
_WINDOW = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
# Program that the tests run -> Debian package that brings it.
_TEST_PROGRAMS = {"dbus-daemon": "dbus"}


def missing_packages(*, for_tests: bool = False) -> list[str]:
    """Debian packages of the libraries (and programs of the tests) that this system lacks."""
    if not sys.platform.startswith("linux"):
        return []
    missing = [package for name, package in (_OFFSCREEN | _WINDOW).items() if not _loads(name)]
    if for_tests:
        missing += [p for name, p in _TEST_PROGRAMS.items() if shutil.which(name) is None]
    return missing


def install_command(packages: list[str]) -> str:
    """Return the command, to be shown, that installs ``packages`` on a Debian-like system."""
    return "sudo apt-get install --no-install-recommends " + " ".join(packages)


def install_missing(say: Callable[[str], None], log_path: str, *, for_tests: bool) -> None:
    """Install what is missing where that can be done, else say how; never stops the start.

    The commands without a window work without these libraries. What the installer writes goes to
    the log; sudo asks on the terminal itself.
    """
    packages = missing_packages(for_tests=for_tests)
    if not packages:
        return
    what = "the window and the tests" if for_tests else "the window and the report"
    apt_get = shutil.which("apt-get")
    if apt_get is None:
        say(f"Missing here, and {what} need them (Debian's names for them):")
        say("  " + " ".join(packages))
        return
    prefix = _as_root()
    if prefix is not None:
        say(f"Installing system packages that {what} need: " + " ".join(packages))
        if _apt_get([*prefix, apt_get], packages, log_path):
            return
    say(f"System packages that {what} need could not be installed from here. Run:")
    say("  " + install_command(packages))


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _as_root() -> list[str] | None:
    """Return what makes a command run as root; ``None`` where nothing does."""
    if os.geteuid() == 0:
        return []
    sudo = shutil.which("sudo")
    if sudo is None:
        return None
    if sys.stdin is not None and sys.stdin.isatty():
        return [sudo]
    quiet = subprocess.run([sudo, "-n", "true"], capture_output=True, check=False)
    return [sudo, "-n"] if quiet.returncode == 0 else None


def _apt_get(command: list[str], packages: list[str], log_path: str) -> bool:
    """Update the lists and install; whether it worked."""
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    install = ["install", "--yes", "--no-install-recommends", *packages]
    with open(log_path, "ab") as log:
        # sudo asks and complains on standard error; without it there is nothing to be seen there.
        errors = log if os.geteuid() == 0 else None
        for step in (["update"], install):  # stale lists name files that are gone
            done = subprocess.run(
                [*command, *step], env=environment, stdout=log, stderr=errors, check=False
            )
    return done.returncode == 0
