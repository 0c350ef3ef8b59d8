"""Whether this user may open a serial port, and what to do if not."""

import os
import stat
import sys
from pathlib import Path

# Groups that own serial ports on common Linux systems, where the device itself can't be asked.
_USUAL_GROUP = "dialout"


def may_open(device: str) -> bool:
    """Tell whether the user may read and write a device that is there (always so on Windows)."""
    return sys.platform == "win32" or os.access(device, os.R_OK | os.W_OK)


def permission_advice(device: str) -> str:
    """Say how the user gets to open a port that the system keeps from them."""
    if sys.platform == "win32":
        return "Close the program that holds it, or start Windows anew."
    if sys.platform == "darwin":
        return (
            "Choose the port that begins with /dev/cu, and allow the program under System "
            "Settings, Privacy & Security, if it asks for it."
        )
    group, is_member, may_group = _owner(device)
    if not may_group:
        return (
            f"Its system rules give it to nobody but its owner; as administrator: "
            f"'sudo chmod a+rw {device}' until it is plugged in anew."
        )
    if is_member:
        return f"Your user is in its group {group} already: log out and in again."
    return f"Join its group: 'sudo usermod -aG {group} $USER', then log out and in again."


def _owner(device: str) -> tuple[str, bool, bool]:
    """Give the device's group, whether the user was put into it, and whether it may open it."""
    if sys.platform == "win32":
        raise NotImplementedError
    import grp
    import pwd

    try:
        about = Path(device).stat()
        name = grp.getgrgid(about.st_gid).gr_name
        members = grp.getgrgid(about.st_gid).gr_mem
    except (OSError, KeyError):
        return _USUAL_GROUP, False, True
    wanted = stat.S_IRGRP | stat.S_IWGRP
    may_group = about.st_mode & wanted == wanted and about.st_gid != 0
    try:
        user = pwd.getpwuid(os.geteuid()).pw_name
    except KeyError:
        user = ""
    return name, user in members, may_group
