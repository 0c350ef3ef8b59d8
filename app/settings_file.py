"""Reads and writes the one settings file.

TOML, because technicians edit it by hand: it takes comments and needs no brackets. Python reads it
but does not write it; the file is flat enough to be written here. Pressures stand in it with their
unit (``"500 micron"``), so that nobody has to guess.
"""

import json
import re
import tomllib
from pathlib import Path
from typing import Any

from app.atomic import write_atomically
from app.paths import settings_file
from app.settings import HOLD_LENGTHS, LIMITS, PRACTICE, Limit, SettingError, Settings
from sensors.sentence import one_line
from sensors.units import PA_PER_UNIT, unit_named

_PLAIN = (
    "unit",
    "theme",
    "sound",
    "flat_min",
    "circuit_c",
    "water_gauge_factor",
    "hold_rise_min",
    *HOLD_LENGTHS,
    "hold_length_source",
    "rig_volume_ml",
)
_BACKUP = "a copy of each job goes there when it is closed; the folder has to be there"
_EXAMPLES = {"circuit_c": "20.0", "rig_volume_ml": "60.0"}  # shown, commented out, when not set
_COMMENTS = {
    "unit": "pressure shown in: " + " ".join(PA_PER_UNIT),
    "theme": "system, light, dark or high-contrast",
    "flat_min": "flat: fewer than one visible burst in this many minutes",
    "circuit_c": "coldest part of the circuit, degrees Celsius, where the gauge has none",
    "water_gauge_factor": "1 = as shown; a thermal gauge set for air shows water about 1.5 times",
    "hold_rise_min": "minutes within which limits.hold_rise counts",
    "hold_clean_min": "least length of a hold, minutes: a new, clean circuit",
    "hold_normal_min": "... an ordinary one",
    "hold_long_min": "... with a rear unit or heat pump, or open for long",
    "hold_disputed_min": "... where the result is disputed",
    "rig_volume_ml": "hoses, gauge and pump inlet together, millilitres",
}
_LARGEST_BYTES = 256 * 1024
_HEAD = """\
# Simmerdown's settings. Changing one in the window writes this file anew: comments of yours are
# lost then, values are kept. The vehicle maker's figures override these limits.
"""


class SettingsFileError(Exception):
    """The settings file is unreadable: one clear sentence with file, line, what was expected."""

    def __init__(self, text: str) -> None:
        super().__init__(one_line(text))


def load_settings(path: Path | None = None) -> Settings:
    """Read the settings; without a file these are the defaults.

    Raises
    ------
    SettingsFileError
        If the file cannot be read or says something that is no setting.
    """
    source = path or settings_file()
    try:
        with source.open("rb") as file:
            data = file.read(_LARGEST_BYTES + 1)
        if len(data) > _LARGEST_BYTES:
            raise SettingsFileError(f"{source} is larger than {_LARGEST_BYTES >> 10} KiB")
        text = data.decode("utf-8-sig")
        return _settings(_table(text))
    except FileNotFoundError:
        return Settings()
    except OSError as fault:
        raise SettingsFileError(f"{source} cannot be read: {fault.strerror}") from fault
    except UnicodeDecodeError as fault:
        line = fault.object[: fault.start].count(b"\n") + 1
        raise SettingsFileError(f"{source}, line {line}: expected UTF-8 text") from fault
    except (tomllib.TOMLDecodeError, _NoTomlError) as fault:
        raise SettingsFileError(_syntax_sentence(source, text, str(fault))) from fault
    except SettingError as fault:
        line = _line_of(text, fault.key)
        raise SettingsFileError(f"{source}, line {line}: {fault}") from fault


def save_settings(settings: Settings, path: Path | None = None) -> None:
    """Write the settings, whole or not at all. A file that cannot be read is never overwritten.

    Raises
    ------
    SettingsFileError
        If the present file is unreadable (mend it, or ``set_aside`` it), or cannot be written.
    """
    target = path or settings_file()
    load_settings(target)
    try:
        write_atomically(target, _text(settings))
    except OSError as fault:
        raise SettingsFileError(f"{target} cannot be written: {fault.strerror}") from fault


def set_aside(path: Path | None = None) -> Path:
    """Rename an unreadable file, once the user agrees, so that a new one can be written."""
    source = path or settings_file()
    number = 1
    while (kept := source.with_name(f"{source.name}.unreadable-{number}")).exists():
        number += 1
    return source.rename(kept)


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
        if key not in (*_PLAIN, "backup_folder"):
            known = ", ".join((*_PLAIN, "backup_folder", "[limits.NAME]"))
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


def _text(settings: Settings) -> str:
    lines = [_HEAD]
    for key in _PLAIN:
        value = getattr(settings, key)
        comment = f"  # {_COMMENTS[key]}" if key in _COMMENTS else ""
        if value is None:
            lines.append(f"# {key} = {_EXAMPLES[key]}{comment}")
        else:
            lines.append(f"{key} = {_toml(value)}{comment}")
    if settings.backup_folder is None:
        lines.append(f'# backup_folder = "/media/stick/jobs"  # {_BACKUP}')
    else:
        lines.append(f"backup_folder = {_toml(str(settings.backup_folder))}  # {_BACKUP}")
    for name in LIMITS:
        limit = getattr(settings, name)
        micron = limit.pressure_pa / PA_PER_UNIT["micron"]
        lines += [
            f"\n[limits.{name}]",
            f'pressure = "{micron:.10f}'.rstrip("0").rstrip(".") + ' micron"',
            f"source = {_toml(limit.source)}",
        ]
    return "\n".join(lines) + "\n"


def _toml(value: str | bool | float) -> str:
    """JSON's notation of text, truth and numbers is TOML's too, but for the delete character."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
