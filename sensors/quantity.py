"""A number as gauges write it: sign, exponent, unit, decimal comma, out-of-range markers."""

import math
import re
from dataclasses import dataclass

from sensors.events import Status
from sensors.units import PA_PER_UNIT, celsius_from, unit_in_name, unit_named

_NUMBER = re.compile(
    r"(?P<mark>[<>])?\s*"
    r"(?P<number>(?:[+-]\s*)?(?:[0-9]+(?:\.[0-9]*|,[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
    r"\s*(?P<unit>.*)",
    re.DOTALL,
)
# Words for "out of range": common practice, no source. "HI" and "LO" are left out, since some
# instruments mean their battery by them.
_OVER = frozenset(
    "ol +ol o.l o.l. ovl over overrange over-range over_range overload overflow".split()
)
_UNDER = frozenset("-ol under underrange under-range under_range underflow".split())
_MARKS: dict[str, Status] = {"": "ok", ">": "over-range", "<": "under-range"}
# Numbers that stand for infinity and "not a number" in SCPI-1999, volume 1, 7.2.1 [from memory].
_SCPI_INFINITY = 9.9e37
_SCPI_NAN = 9.91e37
# Standard atmosphere (NIST SP 811): a vacuum gauge that is over its range and does not say
# where that ends is somewhere below the air outside.
ATMOSPHERE_PA = 101325.0
# No gauge of an evacuation reads more, nor stands where it is hotter: what is beyond that is no
# reading, and wild numbers are kept from whatever reckons with them.
HIGHEST_PA = 1e7
HOTTEST_C = 1000.0
DEFAULT_UNIT = "micron"


@dataclass(frozen=True, slots=True)
class Quantity:
    """One field's number. ``value`` is ``None`` when only "over" or "under" was written."""

    value: float | None
    unit: str
    status: Status


def parse_quantity(text: str, *, is_decimal_comma: bool) -> Quantity:
    """Read one field.

    Raises
    ------
    ValueError
        If the field is no finite number and no out-of-range marker; the text says why.

    Examples
    --------
    >>> parse_quantity(">25000 micron", is_decimal_comma=False)
    Quantity(value=25000.0, unit='micron', status='over-range')
    """
    text = text.strip()
    word = text.casefold()
    if word in _OVER:
        return Quantity(None, "", "over-range")
    if word in _UNDER:
        return Quantity(None, "", "under-range")
    if word.lstrip("+-") in ("nan", "inf", "infinity"):
        raise ValueError(f"'{text}' is no finite number")
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise ValueError(f"'{_short(text)}' is no number" if text else "the field is empty")
    number = "".join(match["number"].split())
    if "," in number and not is_decimal_comma:
        raise ValueError(f"'{_short(text)}' is no number: the comma separates fields here")
    status = _MARKS[match["mark"] or ""]
    return _with_special_values(float(number.replace(",", ".")), match["unit"].strip(), status)


def _with_special_values(value: float, unit: str, status: Status) -> Quantity:
    if not math.isfinite(value) or abs(value) == _SCPI_NAN:
        raise ValueError("the number is too big or stands for 'not a number'")
    if abs(value) == _SCPI_INFINITY:
        return Quantity(None, unit, "over-range" if value > 0 else "under-range")
    return Quantity(value, unit, status)


def pressure_from(quantity: Quantity, name: str, unit: str | None) -> float:
    """Convert to Pa; the unit written beside the number counts first, then ``unit``, then the name.

    Without any of them it is micron of mercury, the trade's unit. An out-of-range marker without
    a number is 0 Pa (under) or the standard atmosphere (over).

    Raises
    ------
    ValueError
        If the unit is unknown or the pressure is negative or over ``HIGHEST_PA``.
    """
    known = unit or unit_in_name(name) or DEFAULT_UNIT
    if quantity.unit:
        written = unit_named(quantity.unit)
        if written is None:
            raise ValueError(
                f"'{_short(quantity.unit)}' after the number is no unit of absolute pressure; "
                f"expected {', '.join(PA_PER_UNIT)}"
            )
        known = written
    if quantity.value is None:
        return ATMOSPHERE_PA if quantity.status == "over-range" else 0.0
    pressure_pa = quantity.value * PA_PER_UNIT[known]
    if pressure_pa < 0:
        raise ValueError("the pressure is negative; expected an absolute pressure")
    if not pressure_pa <= HIGHEST_PA:
        raise ValueError(f"the pressure is too big: over {1e-5 * HIGHEST_PA:g} bar")
    return abs(pressure_pa)  # "-0" is 0


def temperature_from(quantity: Quantity) -> float:
    """Convert to degrees Celsius.

    Raises
    ------
    ValueError
        If it is out of range, below absolute zero, over ``HOTTEST_C`` or in an unknown unit.
    """
    if quantity.value is None or quantity.status != "ok":
        raise ValueError("the temperature is out of the gauge's range")
    temperature_c = celsius_from(quantity.value, quantity.unit)
    if temperature_c > HOTTEST_C:
        raise ValueError(f"the temperature is over {HOTTEST_C:g} C")
    return temperature_c


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:40] + "..."
