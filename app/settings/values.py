"""The user's settings: what they are, and which values they may have. SI inside.

No vehicle standard with a vacuum limit was found, so every limit is a setting that carries where
it comes from; the vehicle maker's figure overrides it. The file is read and written by
``app/settings/file.py``.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sensors.units import PA_PER_UNIT

THEMES = ("system", "light", "dark", "high-contrast")
PRACTICE = "common practice, no published source"
DEFAULT_CIRCUIT_C = 20.0  # where neither gauge nor user says: a bay at room temperature


class SettingError(ValueError):
    """A setting has a value it cannot have.

    Parameters
    ----------
    key
        Dotted name, as in the settings file.
    expected
        What would have been right, for the user.
    """

    def __init__(self, key: str, expected: str) -> None:
        super().__init__(f"{key} must be {expected}")
        self.key = key
        self.expected = expected


@dataclass(frozen=True, kw_only=True, slots=True)
class Limit:
    """A limit in Pa and where it comes from."""

    pressure_pa: float
    source: str = PRACTICE


_HOLD_UNDER = Limit(pressure_pa=500 * PA_PER_UNIT["micron"])
_HOLD_RISE = Limit(pressure_pa=100 * PA_PER_UNIT["micron"])
_NO_CHARGE_OVER = Limit(pressure_pa=1000 * PA_PER_UNIT["micron"])
_BLANK_OFF_END = Limit(pressure_pa=100 * PA_PER_UNIT["micron"])
_BLANK_OFF_RISE = Limit(pressure_pa=50 * PA_PER_UNIT["micron"])


@dataclass(frozen=True, kw_only=True, slots=True)
class Settings:
    """All settings. Every default of a limit is common practice (no published source).

    Attributes
    ----------
    unit
        Pressure unit shown, a key of ``sensors.units.PA_PER_UNIT``.
    theme
        One of ``THEMES``.
    sound
        Whether alarms are heard too.
    backup_folder
        Where a second copy of each job goes when it is closed, or ``None``.
    flat_min
        Flat interval, minutes, 1 to 120.
    circuit_c
        Temperature of the circuit's coldest part, -60 to 120 degrees Celsius; ``None`` when the
        user never said: then ``DEFAULT_CIRCUIT_C`` stands in.
    water_gauge_factor
        By how much the gauge overstates water vapour, 1 to 3; 1 takes its readings as they are. A
        thermal gauge calibrated for air has about 1.5 (kinetic theory, rough).
    before_hold
        Highest pressure at which a hold is begun.
    hold_rise, hold_rise_min
        Largest rise in a hold within this many minutes (1 to 60).
    hold_highest
        What the pressure of a hold stays under.
    do_not_charge
        Over this nothing may be charged.
    hold_clean_min, hold_normal_min, hold_long_min, hold_disputed_min
        Least length of a hold, minutes, 2 to 1440: new and clean; ordinary; rear unit, heat pump
        or long open; disputed.
    hold_length_source
        Where these lengths come from.
    blank_off_end
        What a blank-off test may end at.
    blank_off_rise, blank_off_min
        Largest rise in it, and how long it takes, 1 to 60 minutes.
    blank_off_load_pct, blank_off_load_source
        Largest gas load of the rig, 1 to 100 % of what ``hold_rise`` allows the whole circuit.
    rig_volume_ml
        Volume of hoses, gauge and the pump's inlet, 1 to 5000 mL; ``None`` when nobody said.

    Raises
    ------
    SettingError
        If a value is out of its range or of the wrong kind.
    """

    unit: str = "micron"
    theme: str = "system"
    sound: bool = True
    backup_folder: Path | None = None
    flat_min: float = 10.0
    circuit_c: float | None = None
    water_gauge_factor: float = 1.0
    before_hold: Limit = _HOLD_UNDER
    hold_rise: Limit = _HOLD_RISE
    hold_rise_min: float = 10.0
    hold_highest: Limit = _HOLD_UNDER
    do_not_charge: Limit = _NO_CHARGE_OVER
    hold_clean_min: float = 10.0
    hold_normal_min: float = 20.0
    hold_long_min: float = 30.0
    hold_disputed_min: float = 60.0
    hold_length_source: str = PRACTICE
    blank_off_end: Limit = _BLANK_OFF_END
    blank_off_rise: Limit = _BLANK_OFF_RISE
    blank_off_min: float = 5.0
    blank_off_load_pct: float = 20.0
    blank_off_load_source: str = PRACTICE
    rig_volume_ml: float | None = None

    def __post_init__(self) -> None:
        _one_of("unit", self.unit, tuple(PA_PER_UNIT))
        _one_of("theme", self.theme, THEMES)
        if not isinstance(self.sound, bool):
            raise SettingError("sound", "true or false")
        for name, (low, high, unit) in RANGES.items():
            value = getattr(self, name)
            if value is not None or name not in MAY_BE_UNSAID:
                _between(name, value, low, high, unit)
        for name in TEXT_SOURCES:
            source = getattr(self, name)
            if not isinstance(source, str) or not source.strip():
                raise SettingError(name, "a few words on where the figure comes from")
        for name in LIMITS:
            _check_limit(name, getattr(self, name))
        if self.do_not_charge.pressure_pa < self.hold_highest.pressure_pa:
            raise SettingError("limits.do_not_charge.pressure", "at least that of hold_highest")

    @property
    def circuit_c_or_default(self) -> float:
        """Temperature of the circuit to reckon with where the gauge reports none."""
        return DEFAULT_CIRCUIT_C if self.circuit_c is None else self.circuit_c


HOLD_LENGTHS = ("hold_clean_min", "hold_normal_min", "hold_long_min", "hold_disputed_min")
LIMITS = (
    "before_hold",
    "hold_rise",
    "hold_highest",
    "do_not_charge",
    "blank_off_end",
    "blank_off_rise",
)
TEXT_SOURCES = ("hold_length_source", "blank_off_load_source")
"""Where figures that are no pressures come from."""
HIGHEST_LIMIT_PA = 10_000.0  # over this it is no limit of an evacuation but a slip of the unit
MAY_BE_UNSAID = ("circuit_c", "rig_volume_ml")
RANGES: dict[str, tuple[float, float, str]] = {
    "flat_min": (1, 120, "minutes"),
    "circuit_c": (-60, 120, "degrees Celsius"),
    "water_gauge_factor": (1, 3, "(1 = as shown)"),
    "hold_rise_min": (1, 60, "minutes"),
    **dict.fromkeys(HOLD_LENGTHS, (2, 1440, "minutes")),
    "blank_off_min": (1, 60, "minutes"),
    "blank_off_load_pct": (1, 100, "per cent"),
    "rig_volume_ml": (1, 5000, "millilitres"),
}
"""Lowest and highest of each number, and its unit."""


def _one_of(key: str, value: Any, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        raise SettingError(key, "one of " + ", ".join(allowed))


def _between(key: str, value: Any, low: float, high: float, unit: str) -> None:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not is_number or not low <= value <= high:
        raise SettingError(key, f"a number from {low:g} to {high:g} {unit}")


def _check_limit(name: str, limit: Limit) -> None:
    if not 0 < limit.pressure_pa <= HIGHEST_LIMIT_PA:
        raise SettingError(f"limits.{name}.pressure", "above 0 and at most 10000 pa")
    if not limit.source.strip():
        raise SettingError(f"limits.{name}.source", "a few words on where the limit comes from")
