"""The header row of a CSV file: which column holds what."""

from dataclasses import dataclass

from sensors.units import PA_PER_UNIT

_UNITS = " ".join(PA_PER_UNIT)
_EXPECTED = (
    "expected a header row with time_s or time, one pressure_UNIT "
    f"({_UNITS}) and optionally temperature_c, separated by comma, semicolon or tab"
)


@dataclass(frozen=True, slots=True)
class Columns:
    """Where each column stands, from 0."""

    separator: str
    count: int
    time: int
    is_iso_time: bool
    pressure: int
    pa_per_unit: float
    temperature: int | None

    @property
    def is_decimal_comma(self) -> bool:
        """Whether a comma may stand for the decimal point."""
        return self.separator != ","


def parse_header(line: str) -> Columns:
    """Read the header row.

    Raises
    ------
    ValueError
        With what is wrong and what was expected.

    Examples
    --------
    >>> parse_header("time_s;pressure_mbar").pa_per_unit
    100.0
    """
    separator = next((mark for mark in "\t;," if mark in line), ",")
    names = [unquoted(name).casefold() for name in line.split(separator)]
    for at, name in enumerate(names, start=1):
        if not name:  # as spreadsheets write what is beside the table
            raise ValueError(f"column {at} of {len(names)} has no name; {_EXPECTED}")
        if name not in ("time", "time_s", "temperature_c") and not name.startswith("pressure"):
            raise ValueError(f"the column name '{name[:40]}' is unknown; {_EXPECTED}")
    times = [at for at, name in enumerate(names) if name in ("time", "time_s")]
    pressures = [at for at, name in enumerate(names) if name.startswith("pressure")]
    temperatures = [at for at, name in enumerate(names) if name == "temperature_c"]
    if len(times) != 1:
        raise ValueError(f"{_count(times)} time column; expected exactly one of time_s and time")
    if len(pressures) != 1:
        raise ValueError(f"{_count(pressures)} pressure column; expected exactly one pressure_UNIT")
    if len(temperatures) > 1:
        raise ValueError("more than one temperature_c column; expected at most one")
    unit = names[pressures[0]].removeprefix("pressure").removeprefix("_")
    if unit not in PA_PER_UNIT:
        raise ValueError(
            f"the pressure column '{names[pressures[0]][:40]}' has no known unit; expected "
            f"pressure_UNIT with one of {_UNITS}"
        )
    return Columns(
        separator,
        len(names),
        times[0],
        names[times[0]] == "time",
        pressures[0],
        PA_PER_UNIT[unit],
        temperatures[0] if temperatures else None,
    )


def unquoted(cell: str) -> str:
    """Strip blanks and one pair of double quotes."""
    cell = cell.strip()
    if len(cell) >= 2 and cell[0] == cell[-1] == '"':
        cell = cell[1:-1].strip()
    return cell


def _count(found: list[int]) -> str:
    return "more than one" if found else "no"
