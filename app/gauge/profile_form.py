"""A profile as a form has it: fields of text to a profile, and back."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from app.gauge.profiles import Profile
from app.system.errors import UsageError
from sensors.address import parse_address, with_options
from sensors.calibration import KINDS, Curve, Point
from sensors.events import SensorError
from sensors.units import PA_PER_UNIT

_NEW_CURVE = "signal"  # its name, which nobody sees unless they open the file
Number = Callable[[str], float | None]
"""Reads a typed number; ``None`` where it is none, or could be two."""


def plain_number(text: str) -> float | None:
    """Read a number with a point or a comma."""
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


@dataclass(frozen=True, slots=True)
class CurveForm:
    """A curve's fields. ``kind`` "" is no curve; ``points`` has "signal pressure" a line."""

    kind: str = ""
    points: str = ""
    unit: str = "pa"
    calibrated: str = ""
    note: str = ""


def curve_of_profile(profile: Profile) -> Curve | None:
    """Give the curve that the profile's address uses."""
    name = parse_address(profile.address).options.get("curve")
    return None if name is None else profile.curves[name]


def curve_form(curve: Curve | None, unit: str) -> CurveForm:
    """Give a curve's fields, its pressures in a unit."""
    if curve is None:
        return CurveForm(unit=unit)
    lines = (f"{p.signal:.10g}  {p.pressure_pa / PA_PER_UNIT[unit]:.10g}" for p in curve.points)
    day = curve.calibrated.isoformat() if curve.calibrated else ""
    return CurveForm(curve.kind, "\n".join(lines), unit, day, curve.note)


def curve_from(form: CurveForm, old: Curve | None, number: Number = plain_number) -> Curve | None:
    """Read a curve's fields; its ends are those of the old one, if it has some.

    Parameters
    ----------
    form
        The fields.
    old
        The curve before.
    number
        Reads a typed number.

    Raises
    ------
    UsageError
        If they make no curve.
    """
    if not form.kind:
        return None
    kind = next((known for known in KINDS if known == form.kind), None)
    if kind is None:
        raise UsageError(f"The curve's kind: expected one of {', '.join(KINDS)}.")
    try:
        day = date.fromisoformat(form.calibrated) if form.calibrated.strip() else None
    except ValueError:
        raise UsageError("The day: expected one such as 2030-01-31, or nothing.") from None
    lines = [line for line in form.points.splitlines() if line.strip()]
    points = tuple(_point(line, form.unit, number) for line in lines)
    low, high = (old.low, old.high) if old is not None else (None, None)
    try:
        return Curve(kind, points, low, high, day, form.note.strip())
    except ValueError as error:
        raise UsageError(f"The curve: {error}.") from None


def edited(
    name: str,
    address: str,
    note: str,
    form: CurveForm,
    before: Profile | None = None,
    *,
    number: Number = plain_number,
) -> Profile:
    """Give the profile that the fields describe.

    Parameters
    ----------
    name, address, note, form
        The fields.
    before
        The profile as it was.
    number
        Reads a typed number.

    Raises
    ------
    UsageError
        If they describe none.
    """
    curve = curve_from(form, curve_of_profile(before) if before else None, number)
    try:
        used = parse_address(address).options.get("curve")
        named = None if curve is None else used or _NEW_CURVE
        if named != used:
            address = with_options(address, {"curve": named})
    except SensorError as error:
        raise UsageError(str(error)) from error
    curves = dict(before.curves) if before else {}
    if curve is not None and named is not None:
        curves[named] = curve
    elif used == _NEW_CURVE:
        curves.pop(used, None)  # the form made it; one written by hand stays in the file
    return Profile(name.strip(), address.strip(), note.strip(), curves)


def _point(line: str, unit: str, number: Number) -> Point:
    # A comma before a blank sets the two apart, any other is a decimal mark.
    words = [word.rstrip(",") for word in line.replace(";", " ").split()]
    values = [value for value in map(number, words) if value is not None]
    if len(words) != 2 or len(values) != 2:
        raise UsageError(
            f"The curve's point '{line.strip()[:40]}': expected a signal and a pressure, two "
            "numbers with a blank between and no mark for thousands, such as 2.5 10."
        )
    return Point(values[0], values[1] * PA_PER_UNIT[unit])
