"""What goes into the analysis: samples, marks made by hand, and the passing of silence."""

from dataclasses import dataclass
from typing import Literal, Protocol

Status = Literal["ok", "over-range", "under-range"]

MarkKind = Literal[
    "valve-closed",  # the isolating valve: the circuit is cut off from the pump (hold's time zero)
    "valve-opened",  # ... and joined to the pump again
    "blank-off",  # pump, hoses and gauge alone are cut off from pump and circuit
    "hold-over",  # the technician ends the standing test and takes its finding
    "pump-off",
    "nitrogen-in",
    "valve-moved",  # some other valve of the rig
    "heat",
    "note",
]


class Sample(Protocol):
    """One reading as the analysis sees it (``sensors.events.Reading`` meets this)."""

    @property
    def time_s(self) -> float:
        """Seconds from any fixed zero; never goes back."""

    @property
    def pressure_pa(self) -> float:
        """Absolute pressure, Pa, finite and >= 0."""

    @property
    def temperature_c(self) -> float | None:
        """Degrees Celsius, or ``None`` where the gauge has none."""

    @property
    def status(self) -> Status:
        """Whether the gauge was inside its range."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Something the technician did, by hand, at ``time_s``."""

    time_s: float
    kind: MarkKind
    text: str = ""


@dataclass(frozen=True, slots=True)
class Silence:
    """The clock has reached ``time_s`` and no reading has come since the last one."""

    time_s: float
