"""The settings file's text: made whole, or changed line by line so that what else is in it stays.

Technicians edit the file by hand: their comments, their order and what they left out are theirs.
"""

import json
import math
import re
from decimal import Decimal

from app.settings.values import HOLD_LENGTHS, LIMITS, Limit, Settings
from sensors.units import PA_PER_UNIT

PLAIN = (
    "unit",
    "theme",
    "sound",
    "flat_min",
    "circuit_c",
    "water_gauge_factor",
    "hold_rise_min",
    *HOLD_LENGTHS,
    "hold_length_source",
    "blank_off_min",
    "blank_off_load_pct",
    "blank_off_load_source",
    "rig_volume_ml",
    "backup_folder",
)
_EXAMPLES = {"circuit_c": "20.0", "rig_volume_ml": "60.0", "backup_folder": '"/media/stick/jobs"'}
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
    "blank_off_min": "how long a blank-off test takes, minutes; limits.blank_off_rise counts in it",
    "blank_off_load_pct": "most gas load of the rig, per cent of what a hold allows the circuit",
    "rig_volume_ml": "hoses, gauge and pump inlet together, millilitres",
    "backup_folder": "a copy of each job goes there when it is closed; the folder has to be there",
}
_HEAD = """\
# Simmerdown's settings. What is changed in the window is changed here in its own line; all else,
# comments too, stays as it is. The vehicle maker's figures override these limits.
"""
_VALUE = r""""(?:[^"\\]|\\.)*"|'[^']*'|[^\s#"'\[{]+"""
_ENTRY = re.compile(rf"(\s*)(#\s*)?([\w-]+)(\s*=\s*)({_VALUE})(\s*(?:#.*)?)")
_TABLE = re.compile(r"\s*\[\s*([\w.\s\"-]+?)\s*\]\s*(?:#.*)?")

Place = tuple[str, str]
"""A table's name, "" for none, and a key in it."""


def whole_text(settings: Settings) -> str:
    """Write a new file: every setting with what it means, those not set as examples."""
    lines, table = [_HEAD], ""
    for (name, key), literal in literals(settings).items():
        if name != table:
            lines.append(f"\n[{name}]")
            table = name
        lines.append(_line(key, literal))
    return "\n".join(lines) + "\n"


def changed_text(text: str, before: Settings, after: Settings) -> str:
    """Change in a file's text what differs between two settings, each in its own line.

    It looks at lines only, so it can be wrong where a text goes over several: what comes out has
    to be read back before it counts.
    """
    lines, old = text.split("\n"), literals(before)
    for place, literal in literals(after).items():
        if literal != old[place]:
            _set(lines, place, literal)
    return "\n".join(lines)


def literals(settings: Settings) -> dict[Place, str | None]:
    """Give how each setting is written; ``None`` for one that is not set."""
    entries: dict[Place, str | None] = {}
    for key in PLAIN:
        value = getattr(settings, key)
        is_whole = isinstance(value, int) and not isinstance(value, bool)
        entries["", key] = None if value is None else _toml(float(value) if is_whole else value)
    for name in LIMITS:
        limit: Limit = getattr(settings, name)
        entries[f"limits.{name}", "pressure"] = f'"{pressure_text(limit.pressure_pa)}"'
        entries[f"limits.{name}", "source"] = _toml(limit.source)
    return entries


def pressure_text(value_pa: float) -> str:
    """Write a pressure in the first unit in which it is a short number.

    Examples
    --------
    >>> pressure_text(500 * PA_PER_UNIT["micron"]), pressure_text(65.0)
    ('500 micron', '65 pa')
    """
    for unit in ("micron", *PA_PER_UNIT):
        short = f"{value_pa / PA_PER_UNIT[unit]:.6g}"
        if "e" not in short and math.isclose(
            float(short) * PA_PER_UNIT[unit], value_pa, rel_tol=1e-12
        ):
            return f"{short} {unit}"
    return f"{Decimal(repr(value_pa)):f} pa"


def _line(key: str, literal: str | None) -> str:
    comment = f"  # {_COMMENTS[key]}" if key in _COMMENTS else ""
    shown = f"# {key} = {_EXAMPLES[key]}" if literal is None else f"{key} = {literal}"
    return shown + comment


def _set(lines: list[str], place: Place, literal: str | None) -> None:
    """Change the line of a setting, or take the example's place, or add one."""
    table, key = place
    found = _lines_of(lines, table)
    for is_example in (False, True):
        for at in found or ():
            entry = _ENTRY.fullmatch(lines[at])
            if entry is None or entry[3] != key or bool(entry[2]) != is_example:
                continue
            if is_example and entry[6].strip() != f"# {_COMMENTS.get(key)}":
                continue  # not ours: somebody's own note
            indent, _, _, equals, old, comment = entry.groups()
            mark = "# " if literal is None else ""
            lines[at] = f"{indent}{mark}{key}{equals}{literal or old}{comment}"
            return
    if literal is None:
        return
    ending = "\r" if lines[0].endswith("\r") else ""
    if found is None:
        lines += [f"[{table}]{ending}", ending]
        found = range(len(lines) - 1, len(lines) - 1)
    entries = (_ENTRY.fullmatch(lines[at]) for at in found)
    taken = [at for at, entry in zip(found, entries, strict=True) if entry and not entry[2]]
    lines.insert(taken[-1] + 1 if taken else found.start, _line(key, literal) + ending)


def _lines_of(lines: list[str], table: str) -> range | None:
    """Give the lines of a table, its head left out; ``None`` where there is no such table."""
    heads = {
        number: re.sub(r"[\"\s]", "", head[1])
        for number, line in enumerate(lines)
        if (head := _TABLE.fullmatch(line))
    }
    starts = [-1, *heads]
    for number, until in zip(starts, [*starts[1:], len(lines)], strict=True):
        if heads.get(number, "") == table:
            return range(number + 1, until)
    return None


def _toml(value: object) -> str:
    """JSON's notation of text, truth and numbers is TOML's too, but for the delete character."""
    plain = value if isinstance(value, bool | float) else str(value)
    return json.dumps(plain, ensure_ascii=False).replace("\x7f", "\\u007f")
