"""Whether the gas of a pressure test was still cooling: a reading half way tells.

Gas that is warm from being let in cools by e^(-t/tau) with tau of minutes, so that most of its fall
is over by half way. A leak under pressure falls on about straight. The slowest cooling says how
much of the first half's fall may come again in the second; what falls by more leaks. A leak that
is small beside the cooling passes for it, so cooling is no acquittal: it asks for a second test.
"""

import math
from dataclasses import dataclass
from typing import Final, Literal

Course = Literal["cools", "falls-on", "unknown"]

SURE: Final = 1.645  # standard deviations: told wrongly in 1 of 20 at most
_SLOWEST_S: Final = 600.0  # "wait for some 10 min" before a start is read [practice]
_LEAST_SHARE: Final = 1e-9  # of the first half's fall: after days nothing is left to cool
_LOST: Final = 0.5  # of a reading's standard deviation: it adds an eighth to it
# Gas let into an empty vessel from a large one comes to cp/cv times its temperature at most
# (first law; nitrogen 1.40, CoolProp), and loses no more of its pressure than that by cooling.
_MOST: Final = 1.0 - 1.0 / 1.40


@dataclass(frozen=True, slots=True)
class Halves:
    """A fall that temperature does not explain, in two halves of equal length, and its errors.

    Attributes
    ----------
    first_pa, second_pa
        How far it fell in each.
    start_pa
        Pressure at the start.
    duration_s
        Of both together.
    dial_pa, heat_pa, place_pa
        Standard deviations: of one reading of the dial, of one temperature, and of the rest of the
        metal against the place that was touched; Pa.
    step_pa
        How finely the dial is read.
    """

    first_pa: float
    second_pa: float
    start_pa: float
    duration_s: float
    dial_pa: float
    heat_pa: float
    place_pa: float
    step_pa: float

    @property
    def course(self) -> Course:
        """Whether it slows down as cooling gas does, falls on as a leak does, or may do both."""
        # first - second = start - 2 x middle + end, where an even drift of the metal drops out
        bend_pa = math.hypot(math.sqrt(6.0) * self.dial_pa, self.place_pa)
        slows = self.first_pa - self.second_pa > SURE * bend_pa + self.step_pa
        again = self._again(_SLOWEST_S)
        rest_pa = self.second_pa - again * self.first_pa
        falls_on = rest_pa > SURE * self._error_pa(again) + self.step_pa
        if falls_on or self.first_pa + self.second_pa > _MOST * self.start_pa:
            return "falls-on"
        return "cools" if slows else "unknown"

    @property
    def is_outside(self) -> bool:
        """Whether the middle lies outside of start and end by more than the readings are off.

        A closed circuit falls, as its gas cools or leaks, or rises, but not there and back.
        """
        least_pa = SURE * self._error_pa(0.0) + self.step_pa
        return min(self.first_pa, self.second_pa) < -least_pa

    @property
    def wait_s(self) -> float:
        """How long still until what is left of the cooling is lost in the dial's error, s.

        As slow as the readings leave it open, in whole minutes, at least one.
        """
        second_pa = max(self.second_pa, 0.0) + self._error_pa(0.0)
        share = max(min(second_pa / self.first_pa, self._again(_SLOWEST_S)), _LEAST_SHARE)
        left_pa = second_pa * share / (1.0 - share)
        time_constant_s = 0.5 * self.duration_s / -math.log(share)
        wait_s = time_constant_s * math.log(left_pa / (_LOST * self.dial_pa))
        return 60.0 * max(math.ceil(wait_s / 60.0), 1)

    def _again(self, time_constant_s: float) -> float:
        """Share of the first half's fall that cooling brings again in the second."""
        return math.exp(-0.5 * self.duration_s / time_constant_s)

    def _error_pa(self, again: float) -> float:
        """Give the error of second - again x first, by dial, thermometer and place."""
        dial_pa = self.dial_pa * math.hypot(again, 1.0 + again, 1.0)
        heat_pa = self.heat_pa * (1.0 - again) / math.sqrt(2.0)
        return math.hypot(dial_pa, heat_pa, self.place_pa)
