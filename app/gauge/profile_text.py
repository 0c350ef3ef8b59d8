"""A profile as TOML text: written by hand or by the program, read back with every value checked."""

import datetime
import json
import tomllib
from collections.abc import Mapping
from typing import Any

from sensors.calibration import KINDS, MOST_POINTS, Curve, Point

VERSION = 1
_HEAD = """\
# A gauge's profile for Simmerdown. A curve's points are [signal, Pa], by rising signal.
"""
_CURVE_KEYS = {"kind", "points", "low", "high", "calibrated", "note"}


class ProfileTextError(ValueError):
    """The text is no profile: where, and what was expected."""


def read_profile_text(data: bytes) -> tuple[str, str, dict[str, Curve]]:
    """Read address, note and curves.

    Raises
    ------
    ProfileTextError
        If it is no TOML, or has a key or value that a profile cannot have.
    """
    try:
        table = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise ProfileTextError("expected UTF-8 text") from None
    except (ValueError, RecursionError) as error:
        raise ProfileTextError(f"expected TOML ({str(error)[:100]})") from None
    _only("", table, {"version", "address", "note", "curves"})
    if table.get("version") != VERSION or isinstance(table.get("version"), bool):
        raise ProfileTextError(f"expected version = {VERSION}")
    curves = table.get("curves", {})
    if not isinstance(curves, dict):
        raise ProfileTextError("expected a table [curves.NAME] for each curve")
    return (
        _text("address", table.get("address")),
        _text("note", table.get("note", "")),
        {name: _curve(name, value) for name, value in curves.items()},
    )


def profile_text(address: str, note: str, curves: Mapping[str, Curve]) -> str:
    """Write a profile; ``read_profile_text`` gives the same back."""
    lines = [f"{_HEAD}version = {VERSION}", f"address = {_toml(address)}", f"note = {_toml(note)}"]
    for name, curve in curves.items():
        lines += ["", f"[curves.{_toml(name)}]", f"kind = {_toml(curve.kind)}"]
        for key in ("low", "high"):
            value = getattr(curve, key)
            lines += [] if value is None else [f"{key} = {float(value)!r}"]
        if curve.calibrated is not None:
            lines.append(f"calibrated = {curve.calibrated.isoformat()}")
        lines.append(f"note = {_toml(curve.note)}")
        points = [f"[{float(p.signal)!r}, {float(p.pressure_pa)!r}]" for p in curve.points]
        lines.append(f"points = [{', '.join(points)}]")
    return "\n".join(lines) + "\n"


def _curve(name: str, table: Any) -> Curve:
    where = f"curves.{name[:40]}"
    if not isinstance(table, dict):
        raise ProfileTextError(f"{where}: expected a table")
    _only(f"{where}.", table, _CURVE_KEYS)
    kind = table.get("kind")
    if kind not in KINDS:
        raise ProfileTextError(f"{where}.kind: expected one of {', '.join(KINDS)}")
    day = table.get("calibrated")
    is_day = isinstance(day, datetime.date) and not isinstance(day, datetime.datetime)
    if day is not None and not is_day:
        raise ProfileTextError(f"{where}.calibrated: expected a date such as 2030-01-31")
    ends = {key: _number(f"{where}.{key}", table[key]) for key in ("low", "high") if key in table}
    note = _text(f"{where}.note", table.get("note", ""))
    points = _points(f"{where}.points", table.get("points"))
    try:
        return Curve(kind, points, **ends, calibrated=day, note=note)
    except ValueError as error:
        raise ProfileTextError(f"{where}.{error}") from None


def _points(where: str, value: Any) -> tuple[Point, ...]:
    if not isinstance(value, list) or len(value) > MOST_POINTS:
        raise ProfileTextError(f"{where}: expected a list of [signal, pressure in Pa]")
    points = []
    for pair in value:
        if not isinstance(pair, list) or len(pair) != 2:
            raise ProfileTextError(f"{where}: expected a list of [signal, pressure in Pa]")
        points.append(Point(_number(where, pair[0]), _number(where, pair[1])))
    return tuple(points)


def _only(where: str, table: Mapping[str, Any], allowed: set[str]) -> None:
    for key in table:
        if key not in allowed:
            expected = ", ".join(sorted(allowed))
            raise ProfileTextError(f"{where}{key[:40]}: expected one of {expected}")


def _text(where: str, value: Any) -> str:
    if not isinstance(value, str):
        raise ProfileTextError(f"{where}: expected text in quotes")
    return value


def _number(where: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ProfileTextError(f"{where}: expected numbers")
    try:
        return float(value)
    except OverflowError:
        raise ProfileTextError(f"{where}: the number is too big") from None


def _toml(value: str) -> str:
    """JSON's notation of text is TOML's too, but for the delete character."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
