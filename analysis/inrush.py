"""Gas that rushes into what is cut off from the pump: a joint let go, or something was opened.

Told from the readings themselves, within some seconds: up to more than twice the level and by
more than 500 micron, and still there for three seconds or readings (``rise.py``), which two wild
readings are not. In the first minute a circuit may even out or boil as sharply as that, so that
only what comes up over 10 kPa counts, which neither does. Where a gauge that stood still lets go,
the jump to where it would be anyway is not the circuit's; what rises on after it is.
"""

from dataclasses import dataclass
from typing import Final

from analysis.hold_stuck import SAME
from analysis.pulls import BROKEN_PA
from analysis.rise import BEYOND_BURSTS_PA, SUDDEN_S, SuddenRise

QUIET_S: Final = 60.0  # the first even-out may be as sharp as that
_ON_LINE: Final = 2.0  # times what it rose by on the way there: more was not missed by the gauge


@dataclass(frozen=True, slots=True)
class Rush:
    """Gas that rushed in: when it was told, and the level from which it rose."""

    told_s: float
    foot_pa: float


class Inrush:
    """Follows the readings of a hold; times from the valve's closing.

    Attributes
    ----------
    rush
        What rushed in and has not gone since; ``None`` if nothing did.
    """

    def __init__(self) -> None:
        self._sudden = SuddenRise(is_pumped=False)
        self._is_quiet = False  # the first minute is over
        self._first_pa: float | None = None
        self._last_pa = self._since_s = 0.0  # what is shown, and since when
        self.rush: Rush | None = None

    def add(self, time_s: float, pressure_pa: float, *, was_stuck: bool = False) -> None:
        """Take a reading, or the end of the gauge's range; and whether it was stuck until then."""
        sudden, is_air = self._sudden, pressure_pa > BROKEN_PA
        is_quiet = time_s >= QUIET_S
        if not is_air and (
            is_quiet > self._is_quiet or self._lets_go(time_s, pressure_pa, was_stuck)
        ):
            sudden.forget()
        self._is_quiet = is_quiet
        sudden.update(time_s, pressure_pa)
        if sudden.reason is None:
            self.rush = None
        elif self.rush is None and (is_quiet or is_air):
            self.rush = Rush(time_s, sudden.foot_pa)

    def _lets_go(self, time_s: float, pressure_pa: float, was_stuck: bool) -> bool:
        """Whether a reading that stood still jumps to about where it would be anyway."""
        first_pa, last_pa, since_s = self._first_pa, self._last_pa, self._since_s
        if first_pa is None:
            self._first_pa = first_pa = pressure_pa
        if abs(pressure_pa - last_pa) <= SAME * pressure_pa:
            return False
        self._last_pa, self._since_s = pressure_pa, time_s
        if pressure_pa - last_pa < BEYOND_BURSTS_PA:
            return False
        missed_pa = _ON_LINE * (last_pa - first_pa) * (time_s - since_s) / max(since_s, SUDDEN_S)
        return was_stuck or (time_s - since_s > SUDDEN_S and pressure_pa - last_pa <= missed_pa)
