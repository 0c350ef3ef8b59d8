"""What a sensor says: the four events, and the one method every sensor has."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, Protocol

from sensors.sentence import one_line

Status = Literal["ok", "over-range", "under-range"]


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of the gauge.

    Attributes
    ----------
    time_s
        Seconds from any zero that stays the same for the run; counts through sleep.
    pressure_pa
        Absolute pressure in Pa, finite and >= 0. At ``over-range`` and ``under-range`` it is
        the end of the gauge's range as far as that is known.
    temperature_c
        Temperature the gauge reports, degrees Celsius, or ``None``.
    status
        Whether the gauge was inside its range.
    """

    time_s: float
    pressure_pa: float
    temperature_c: float | None = None
    status: Status = "ok"


@dataclass(frozen=True, slots=True)
class Connected:
    """The sensor was reached; ``detail`` names what answered."""

    time_s: float
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Rejected:
    """Something arrived that is no reading: kept, counted and shown, never dropped silently."""

    time_s: float
    raw: bytes
    why: str


@dataclass(frozen=True, slots=True)
class Lost:
    """The sensor is out of reach since ``time_s``; ``why`` is one clear sentence."""

    time_s: float
    why: str


SensorEvent = Connected | Reading | Rejected | Lost
Emit = Callable[[SensorEvent], None]


class SensorError(Exception):
    """A sensor is broken or out of reach. The text is one clear sentence for the user.

    Parameters
    ----------
    why
        What, where, and what was expected.
    is_final
        True when trying again cannot help (wrong address, wrong option, unreadable file).
    """

    def __init__(self, why: str, *, is_final: bool = False) -> None:
        super().__init__(one_line(why))
        self.is_final = is_final


class Sensor(Protocol):
    """Anything that yields readings. A constructor does no I/O."""

    @property
    def name(self) -> str:
        """The address that opens this sensor again."""

    async def run(self, emit: Emit) -> None:
        """Emit events until exhausted (return), broken (``SensorError``) or cancelled.

        ``emit`` never blocks and may be called from any thread.
        """
