"""A gauge's zero and span, as the last check found them, put right in every reading."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from sensors.events import Connected, Emit, Reading, Sensor, SensorEvent

# More is no drift: it is the wrong unit, or another gauge.
LOWEST_GAIN, HIGHEST_GAIN = 0.5, 2.0
HIGHEST_DRIFT_PA = 1e4  # of the zero; a tenth of the air [practice]
_HIGHEST_ZERO_PA = 1e5


def read_zero_pa(text: str) -> float:
    """Read what the gauge shows, in Pa, where there is nothing."""
    return _number(text, -_HIGHEST_ZERO_PA, _HIGHEST_ZERO_PA)


def read_gain(text: str) -> float:
    """Read the factor that puts the gauge's span right."""
    return _number(text, LOWEST_GAIN, HIGHEST_GAIN)


def read_day(text: str) -> date:
    """Read a day such as 2030-01-31."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ValueError("expected a day such as 2030-01-31") from None


@dataclass(frozen=True, slots=True)
class Correction:
    """True pressure = (reading - ``zero_pa``) * ``gain``, as found on the day ``checked``.

    Examples
    --------
    >>> Correction(zero_pa=2.0, gain=1.1).of(Reading(0.0, 102.0)).pressure_pa
    110.0
    """

    zero_pa: float = 0.0
    gain: float = 1.0
    checked: date | None = None

    def of(self, reading: Reading) -> Reading:
        """Give the reading put right; one out of the gauge's range stays as it is."""
        if reading.status != "ok":
            return reading
        pressure_pa = float(f"{(reading.pressure_pa - self.zero_pa) * self.gain:.12g}")
        if pressure_pa < 0:
            return replace(reading, pressure_pa=0.0, status="under-range")
        return replace(reading, pressure_pa=pressure_pa)

    @property
    def words(self) -> str:
        """What the record says of it beside the gauge.

        Examples
        --------
        >>> Correction(2.0, 1.1, date(2030, 1, 31)).words
        'put right by its check (2030-01-31): zero 2 Pa, gain 1.1'
        """
        day = self.checked.isoformat() if self.checked else "undated"
        return f"put right by its check ({day}): zero {self.zero_pa:.4g} Pa, gain {self.gain:.5g}"


def correction_of(options: Mapping[str, str]) -> Correction | None:
    """Give the correction that an address's checked options tell, if any."""
    if not {"zero_pa", "gain", "checked"} & set(options):
        return None
    return Correction(
        read_zero_pa(options.get("zero_pa", "0")),
        read_gain(options.get("gain", "1")),
        read_day(options["checked"]) if "checked" in options else None,
    )


class Applied:
    """A sensor with what is applied to its readings, told whenever it connects.

    Parameters
    ----------
    sensor
        Gives the readings.
    correction
        Puts them right; ``None`` leaves them as they are.
    words
        What else is applied on the way: the calibration curve.
    """

    def __init__(self, sensor: Sensor, correction: Correction | None, *words: str) -> None:
        self._sensor, self._correction = sensor, correction
        self._words = [*words, correction.words] if correction else list(words)

    @property
    def name(self) -> str:
        """The address of the sensor within."""
        return self._sensor.name

    async def run(self, emit: Emit) -> None:
        """Run the sensor within."""
        await self._sensor.run(lambda event: emit(self._through(event)))

    def _through(self, event: SensorEvent) -> SensorEvent:
        if isinstance(event, Reading) and self._correction is not None:
            return self._correction.of(event)
        if isinstance(event, Connected):
            return replace(event, detail=", ".join([event.detail, *self._words]))
        return event


def _number(text: str, low: float, high: float) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not low <= value <= high:
        raise ValueError(f"expected a number from {low:g} to {high:g}")
    return value
