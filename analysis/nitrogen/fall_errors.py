"""How far the figures of a pressure test may be off, by dial, thermometer and place."""

import math
from dataclasses import dataclass
from typing import Final

from analysis.nitrogen.cooling import SURE
from analysis.reason import Interval

_UNEVEN: Final = 0.5  # of a change at one place: so far may the rest of the metal be off [chosen]
_Z80: Final = 1.2816  # beyond that a fall is told in 9 of 10 tests


@dataclass(frozen=True, slots=True)
class FallErrors:
    """What the end would read had nothing escaped, and limits of error, all in Pa.

    A limit of error is taken as a rectangular distribution, its deviation limit / sqrt(3)
    (JCGM 100:2008, 4.3.7); two readings and two temperatures, each on its own.

    Attributes
    ----------
    expected_pa
        What the end would read by the temperatures alone.
    dial_pa
        Of one reading.
    heat_pa
        By both temperatures.
    place_pa
        By the rest of the metal, which one place tells no better.
    step_pa
        How finely the dial is read.
    """

    expected_pa: float
    dial_pa: float
    heat_pa: float
    place_pa: float
    step_pa: float
    _readings: float  # both, against one

    @classmethod
    def of(
        cls,
        start: tuple[float, float],
        end_k: float,
        *,
        dial_pa: float,
        step_pa: float,
        thermometer_k: float,
    ) -> "FallErrors":
        """Reckon them from the start's pressure in Pa and temperature in K, and the end's."""
        start_pa, start_k = start
        expected_pa = start_pa * end_k / start_k
        return cls(
            expected_pa=expected_pa,
            dial_pa=dial_pa,
            heat_pa=expected_pa * thermometer_k * math.hypot(1.0 / start_k, 1.0 / end_k),
            place_pa=expected_pa * _UNEVEN * abs(end_k - start_k) / end_k,
            step_pa=step_pa,
            _readings=math.hypot(1.0, end_k / start_k),
        )

    @property
    def sure_pa(self) -> float:
        """From here on a fall, or a rise, is told."""
        return SURE * self._rest_pa + self.step_pa  # crossing a mark may be hardly a move

    @property
    def seen_pa(self) -> float:
        """The smallest fall that would have been told in 9 of 10 tests."""
        return self.sure_pa + _Z80 * self._spread_pa

    def around(self, fall_pa: float) -> Interval:
        """Give the 80 % interval of a fall."""
        reach_pa = _Z80 * self._spread_pa
        return Interval(fall_pa - reach_pa, fall_pa, fall_pa + reach_pa)

    @property
    def _rest_pa(self) -> float:
        dial_pa = self.dial_pa * self._readings
        return math.hypot(dial_pa, self.heat_pa, self.place_pa) / math.sqrt(3.0)

    @property
    def _spread_pa(self) -> float:
        return math.hypot(self._rest_pa, 0.5 * self.step_pa * self._readings / math.sqrt(3.0))
