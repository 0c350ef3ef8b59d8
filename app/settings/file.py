"""Reads and writes the one settings file.

TOML, because technicians edit it by hand: it takes comments and needs no brackets. Python reads it
but does not write it; the file is flat enough to be written by ``app/settings/text.py``. Pressures
stand in it with their unit (``"500 micron"``), so that nobody has to guess.
"""

import re
import tomllib
from collections.abc import Collection
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from app.settings.text import PLAIN, changed_text, literals, whole_text
from app.settings.values import LIMITS, PRACTICE, Limit, SettingError, Settings
from app.system.atomic import write_atomically
from app.system.errors import UsageError
from app.system.paths import settings_file
from sensors.units import PA_PER_UNIT, unit_named

ALL = tuple(field.name for field in fields(Settings))
_LARGEST_BYTES = 256 * 1024


class SettingsFileError(UsageError):
    """The settings file is unreadable: one clear sentence with file, line, what was expected."""


def load_settings(path: Path | None = None) -> Settings:
    """Read the settings; without a file these are the defaults.

    Raises
    ------
    SettingsFileError
        If the file cannot be read or says something that is no setting.
    """
    source = path or settings_file()
    return _parsed(source, _text_of(source) or "")


def save_settings(
    settings: Settings, path: Path | None = None, changed: Collection[str] = ALL
) -> Path | None:
    """Write the settings that were changed, whole or not at all; what else is in the file stays.

    Where a line cannot be changed by itself the file is written anew, without its comments, and
    the one before is kept beside it. A file that cannot be read is never overwritten.

    Returns
    -------
    Path or None
        The file before, where it was kept.

    Raises
    ------
    SettingsFileError
        If the present file is unreadable (mend it, or ``set_aside`` it), or cannot be written, or
        says by now what does not go with a change.
    """
    target, kept = path or settings_file(), None
    text = _text_of(target)
    before = _parsed(target, text or "")
    try:
        after = replace(before, **{key: getattr(settings, key) for key in changed})
    except SettingError as fault:
        raise SettingsFileError(f"{target} does not go with it: {fault}") from fault
    new = whole_text(after) if text is None else changed_text(text, before, after)
    try:
        if not _says(target, new, after):
            kept = _beside(target, "before")
            write_atomically(kept, text or "")
            new = whole_text(after)
        write_atomically(target, new)
    except OSError as fault:
        raise SettingsFileError(f"{target} cannot be written: {fault.strerror}") from fault
    return kept


def set_aside(path: Path | None = None) -> Path:
    """Rename an unreadable file, once the user agrees, so that a new one can be written."""
    source = path or settings_file()
    return source.rename(_beside(source, "unreadable"))


def _beside(source: Path, why: str) -> Path:
    number = 1
    while (kept := source.with_name(f"{source.name}.{why}-{number}")).exists():
        number += 1
    return kept


def _text_of(source: Path) -> str | None:
    """Read the file; ``None`` where there is none."""
    try:
        with source.open("rb") as file:
            data = file.read(_LARGEST_BYTES + 1)
        if len(data) > _LARGEST_BYTES:
            raise SettingsFileError(f"{source} is larger than {_LARGEST_BYTES >> 10} KiB")
        return data.decode("utf-8-sig")
    except FileNotFoundError:
        return None
    except OSError as fault:
        raise SettingsFileError(f"{source} cannot be read: {fault.strerror}") from fault
    except UnicodeDecodeError as fault:
        line = fault.object[: fault.start].count(b"\n") + 1
        raise SettingsFileError(f"{source}, line {line}: expected UTF-8 text") from fault


def _parsed(source: Path, text: str) -> Settings:
    try:
        return _settings(_table(text))
    except (tomllib.TOMLDecodeError, _NoTomlError) as fault:
        raise SettingsFileError(_syntax_sentence(source, text, str(fault))) from fault
    except SettingError as fault:
        line = _line_of(text, fault.key)
        raise SettingsFileError(f"{source}, line {line}: {fault}") from fault


def _says(source: Path, text: str, wanted: Settings) -> bool:
    """Tell whether a text, read back, is these settings."""
    try:
        return literals(_parsed(source, text)) == literals(wanted)
    except SettingsFileError:
        return False


class _NoTomlError(ValueError):
    pass


def _table(text: str) -> dict[str, Any]:
    """Parse TOML; what its parser does not call an error of the text is made one."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise
    except ValueError:  # a whole number of more digits than Python reads
        raise _NoTomlError("a number is too long") from None
    except RecursionError:
        raise _NoTomlError("lists lie too deep in each other") from None


def _settings(table: dict[str, Any]) -> Settings:
    values: dict[str, Any] = {}
    limits = table.pop("limits", {})
    if not isinstance(limits, dict):
        raise SettingError("limits", "a table [limits.NAME] for each limit")
    for key, value in table.items():
        if key not in PLAIN:
            known = ", ".join((*PLAIN, "[limits.NAME]"))
            raise SettingError(key, f"one of the settings there are: {known}")
        values[key] = _folder(value) if key == "backup_folder" else value
    for name, limit in limits.items():
        if name not in LIMITS:
            raise SettingError(
                f"limits.{name}", "one of the limits there are: " + ", ".join(LIMITS)
            )
        values[name] = _limit(name, limit)
    return Settings(**values)


def _folder(value: Any) -> Path:
    if not isinstance(value, str) or not value.strip():
        raise SettingError("backup_folder", "the path of a folder in quotes")
    return Path(value)


def _limit(name: str, table: Any) -> Limit:
    key = f"limits.{name}"
    if not isinstance(table, dict) or not {"pressure"} <= set(table) <= {"pressure", "source"}:
        raise SettingError(key, 'a table with pressure = "500 micron" and source = "..."')
    source = table.get("source", PRACTICE)
    if not isinstance(source, str):
        raise SettingError(f"{key}.source", "text in quotes")
    return Limit(pressure_pa=_pressure_pa(f"{key}.pressure", table["pressure"]), source=source)


def _pressure_pa(key: str, value: Any) -> float:
    match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(\D+)", str(value))
    unit = unit_named(match[2]) if match else None
    if match is None or unit is None:
        units = ", ".join(PA_PER_UNIT)
        raise SettingError(key, f'a number and its unit in quotes, as "500 micron" ({units})')
    return float(match[1]) * PA_PER_UNIT[unit]


def _syntax_sentence(source: Path, text: str, message: str) -> str:
    match = re.search(r"(.*) \(at (?:line (\d+), column \d+|end of document)\)", message)
    what, line = (match[1], match[2]) if match else (message, None)
    line = line or str(text.count("\n") + 1)
    return f'{source}, line {line}: expected NAME = VALUE, text in "quotes" ({what.lower()})'


def _line_of(text: str, dotted_key: str) -> int:
    """Return the line, from 1, on which a setting stands; its table's if it has none of its own."""
    table, found = "", 1
    for number, line in enumerate(text.splitlines(), start=1):
        if match := re.match(r"\s*\[\s*([\w.\s\"-]+?)\s*\]", line):
            table = match[1] + "."
            name = match[1]
        elif match := re.match(r"\s*([\w.\"-]+)\s*=", line):
            name = table + match[1]
        else:
            continue
        name = re.sub(r"[\"\s]", "", name)
        if name == dotted_key:
            return number
        if dotted_key.startswith(name + "."):
            found = number
    return found
