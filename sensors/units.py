"""Pressure and temperature units that gauges write, to Pa and degrees Celsius.

All pressures are absolute. Anything that is measured against the air outside (a dial gauge's
"inches of vacuum", psig) is not in the list on purpose.
"""

import re

# Conventional millimetre of mercury: 13 595.1 kg/m3 x 9.80665 m/s2 x 1 mm
# (NIST SP 811 (2008), appendix B.8, prints 1.333 224 E+02 Pa).
_PA_PER_MMHG = 133.322387415
# Torr: 1/760 of the standard atmosphere, 101 325 Pa (NIST SP 811, appendix B.8).
_PA_PER_TORR = 101325.0 / 760.0

PA_PER_UNIT: dict[str, float] = {
    "pa": 1.0,
    "hpa": 100.0,
    "kpa": 1000.0,
    "mbar": 100.0,
    "torr": _PA_PER_TORR,
    "mtorr": _PA_PER_TORR / 1000.0,
    "micron": _PA_PER_MMHG / 1000.0,  # a micrometre of mercury
    "inhg": _PA_PER_MMHG * 25.4,  # 3386.389 Pa (NIST SP 811, appendix B.8)
}

# Other spellings seen in gauges' text; common practice, no source.
_SPELLINGS = {
    "microns": "micron",
    "mic": "micron",
    "um": "micron",
    "umhg": "micron",
    "umofhg": "micron",
    "μm": "micron",
    "μmhg": "micron",
    "millitorr": "mtorr",
    "pascal": "pa",
    "pascals": "pa",
    "millibar": "mbar",
    "millibars": "mbar",
}
_CELSIUS = frozenset({"c", "degc", "°c", "celsius"})
_FAHRENHEIT = frozenset({"f", "degf", "°f", "fahrenheit"})
_KELVIN = frozenset({"k", "kelvin"})
_ABSOLUTE_ZERO_C = -273.15


def _plain(text: str) -> str:
    # casefold turns the micro sign into the Greek mu, which the spellings use.
    return text.casefold().replace(" ", "").strip("().[]")


def unit_named(text: str) -> str | None:
    """Give the key into ``PA_PER_UNIT`` for a unit as written, or ``None``.

    Examples
    --------
    >>> unit_named("mTorr"), unit_named("Microns"), unit_named("psig")
    ('mtorr', 'micron', None)
    """
    plain = _plain(text)
    plain = _SPELLINGS.get(plain, plain)
    return plain if plain in PA_PER_UNIT else None


def unit_in_name(name: str) -> str | None:
    """Give the unit that a field's name ends with, or ``None``.

    Examples
    --------
    >>> unit_in_name("pressure_mbar"), unit_in_name("Pressure [Pa]"), unit_in_name("p")
    ('mbar', 'pa', None)
    """
    words = [word for word in re.split(r"[_\s(\[\]).]+", name) if word]
    return unit_named(words[-1]) if len(words) > 1 else None


def is_temperature_unit(text: str) -> bool:
    """Tell whether ``text`` names a unit that ``celsius_from`` knows."""
    return _plain(text) in _CELSIUS | _FAHRENHEIT | _KELVIN


def celsius_from(value: float, unit: str) -> float:
    """Convert a temperature with the unit as written (none means Celsius) to Celsius.

    Raises
    ------
    ValueError
        If the unit is unknown or the value lies below absolute zero.
    """
    plain = _plain(unit)
    if plain in _FAHRENHEIT:
        value = (value - 32.0) / 1.8
    elif plain in _KELVIN:
        value += _ABSOLUTE_ZERO_C
    elif plain and plain not in _CELSIUS:
        raise ValueError(f"'{unit}' is no unit of temperature; expected C, F or K")
    if not _ABSOLUTE_ZERO_C - 1e-9 <= value < float("inf"):
        raise ValueError("the temperature lies below absolute zero or is not finite")
    return value
