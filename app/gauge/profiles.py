"""Profiles: a gauge under a name of its own, with its address and its calibration curves.

One TOML file a profile in the user's configuration. A stranger's profile is data only: an address
that is checked like a typed one, numbers, a note. Nothing in it is run, and it can name neither
a file nor a simulation.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from app.gauge.profile_text import ProfileTextError, profile_text, read_profile_text
from app.system.atomic import write_atomically
from app.system.errors import UsageError
from app.system.paths import profiles_folder
from sensors.address import parse_address
from sensors.calibration import LONGEST_NOTE, Curve
from sensors.events import SensorError

EXTENSION = ".toml"
LARGEST_BYTES = 64 * 1024
MOST_CURVES = 16
LONGEST_ADDRESS = 500
_NAME = re.compile(r"[^\W_][\w .-]{0,39}")
# Names that Windows keeps for devices, whatever comes after a dot.
_DEVICES = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)
_NO_GAUGE = ("sim", "replay")
_NO_CURVES: Mapping[str, Curve] = MappingProxyType({})


class ProfileError(UsageError):
    """A profile cannot be used, read or written: one clear sentence."""


@dataclass(frozen=True, slots=True)
class Profile:
    """A named gauge.

    Raises
    ------
    ProfileError
        If a part of it cannot be.
    """

    name: str
    address: str
    note: str = ""
    curves: Mapping[str, Curve] = field(default_factory=lambda: _NO_CURVES)

    def __post_init__(self) -> None:
        check_name(self.name)
        if len(self.address) > LONGEST_ADDRESS:
            raise self._wrong(f"expected an address of at most {LONGEST_ADDRESS} characters")
        try:
            parsed = parse_address(self.address)
        except SensorError as error:
            raise self._wrong(str(error)) from error
        if parsed.kind in _NO_GAUGE:
            raise self._wrong(f"expected a gauge's address, not {parsed.kind}:")
        if len(self.note) > LONGEST_NOTE or not self.note.isprintable():
            raise self._wrong(f"expected a note of one line, at most {LONGEST_NOTE} characters")
        if len(self.curves) > MOST_CURVES:
            raise self._wrong(f"expected at most {MOST_CURVES} curves")
        curve = parsed.options.get("curve")
        if curve is not None and curve not in self.curves:
            raise self._wrong(f"its address names the curve '{curve}', which it does not have")

    def _wrong(self, what: str) -> ProfileError:
        return ProfileError(f"The profile '{self.name}': {what.rstrip('.')}.")


def check_name(name: str) -> None:
    """Refuse a name that is no safe file name everywhere.

    Raises
    ------
    ProfileError
        Says what was expected.
    """
    is_safe = _NAME.fullmatch(name) and not name.endswith((" ", "."))
    if not is_safe or _DEVICES.fullmatch(name) or name != unicodedata.normalize("NFC", name):
        raise ProfileError(
            f"'{name[:50]}' cannot be a profile's name; expected 1 to 40 letters, digits, "
            "blanks, dots, - or _, beginning with a letter or digit."
        )


def profile_names() -> list[str]:
    """Give the names of the profiles there are, in order."""
    names = []
    for path in profiles_folder().glob(f"*{EXTENSION}"):
        try:
            check_name(path.stem)
        except ProfileError:
            continue  # not one of ours
        names.append(path.stem)
    return sorted(names, key=str.casefold)


def load_profile(name: str) -> Profile:
    """Load one of the user's profiles.

    Raises
    ------
    ProfileError
        If there is none of this name, or it cannot be used.
    """
    check_name(name)
    path = profiles_folder() / f"{name}{EXTENSION}"
    try:
        is_there = path.exists()
    except OSError:  # it may not even be looked up: reading says so
        is_there = True
    if not is_there:
        known = ", ".join(profile_names()) or "none yet"
        raise ProfileError(f"There is no profile '{name}'; there is: {known}.")
    return read_profile(path)


def read_profile(path: Path) -> Profile:
    """Read a profile's file, the user's own or a stranger's.

    Raises
    ------
    ProfileError
        If it cannot be read or says something that is no profile.
    """
    try:
        if not path.is_file():
            raise ProfileError(f"{path} is no file.")
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as fault:
        raise _cannot("read", path, fault) from fault
    if len(data) > LARGEST_BYTES:
        raise ProfileError(f"{path} is larger than a profile's {LARGEST_BYTES // 1024} KiB.")
    try:
        address, note, curves = read_profile_text(data)
    except ProfileTextError as error:
        raise ProfileError(f"{path}: {str(error).rstrip('.')}.") from error
    return Profile(path.stem, address, note, curves)


def save_profile(profile: Profile) -> Path:
    """Write a profile, whole or not at all; give its file.

    Raises
    ------
    ProfileError
        If it cannot be written, or is larger than could be read back.
    """
    path = profiles_folder() / f"{profile.name}{EXTENSION}"
    text = profile_text(profile.address, profile.note, profile.curves)
    if len(text.encode()) > LARGEST_BYTES:
        raise ProfileError(f"The profile '{profile.name}' has too many points to be kept.")
    try:
        write_atomically(path, text)
    except OSError as fault:
        raise _cannot("written", path, fault) from fault
    return path


def save_new_profile(profile: Profile) -> Path:
    """Write a profile under a name that none has yet, large and small letters alike.

    Raises
    ------
    ProfileError
        If there is one of this name, or it cannot be written.
    """
    _refuse_taken(profile.name)
    return save_profile(profile)


def replace_profile(name: str, profile: Profile) -> None:
    """Write a profile in the place of another, under its new name if it has one.

    Raises
    ------
    ProfileError
        If the new name is another profile's, or it cannot be written.
    """
    if profile.name != name:
        _refuse_taken(profile.name, but=name)
    save_profile(profile)
    # Where large and small letters are one, the old name may now be the new one's file.
    if profile.name != name and {name, profile.name} <= set(profile_names()):
        remove_profile(name)


def _refuse_taken(name: str, but: str = "") -> None:
    for taken in profile_names():
        if taken != but and taken.casefold() == name.casefold():  # on some disks the same file
            raise ProfileError(
                f"There is a profile '{taken}' already; expected another name, or rename that one."
            )


def take_in(path: Path) -> Profile:
    """Keep a profile that somebody sent, once it is checked, under its file's name.

    Raises
    ------
    ProfileError
        If it is no profile, or there is one of this name.
    """
    profile = read_profile(path)
    save_new_profile(profile)
    return profile


def remove_profile(name: str) -> None:
    """Delete a profile.

    Raises
    ------
    ProfileError
        If it cannot be deleted.
    """
    check_name(name)
    path = profiles_folder() / f"{name}{EXTENSION}"
    try:
        path.unlink()
    except OSError as fault:
        raise _cannot("deleted", path, fault) from fault


def _cannot(be: str, path: Path, fault: OSError) -> ProfileError:
    return ProfileError(f"{path} cannot be {be}: {fault.strerror or fault}.")
