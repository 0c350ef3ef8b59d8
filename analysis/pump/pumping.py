"""What the pump really takes out of the circuit, and the water that went with the bursts.

A small fall after a burst goes with V / (d(S_eff P)/dP), which is V / (n S_eff) where n is the
slope of ln(S_eff P) against ln P: 1 where gas flows molecularly, 2 where it is viscous. With the
hose known n follows from its law; without, it lies somewhere between 1 and 2.
"""

import math
from collections import deque
from dataclasses import dataclass, replace

from analysis.closing.reopening import Reopening
from analysis.middle import median
from analysis.pump.flow import pumped_throughput_pa_m3_s
from analysis.pump.rig import Rig
from analysis.reason import Interval
from analysis.water import vapour_mass_kg

REMEMBERED = 15  # falls: half of them may be spoilt by the next burst and the median still stands
# Without a hose: between molecular and viscous, most circuits at 60 to 300 micron at 1.4 to 1.7.
SLOPE_LOW, SLOPE_BEST, SLOPE_HIGH = 1.0, 1.5, 2.0
RIG_SLOPE_LOW, CORE_SLOPE_LOW = 0.95, 0.8  # of n by the hose's law; a core flattens it
MOST_RELEASED = 3.0  # times the rise: where more is missing the burst's shape is not known
# An air-calibrated thermal gauge on water vapour: 1.477 by kinetic theory, 1.5 to 2 in the
# literature (from memory); a tenth either way for 80 in 100.
FACTOR_DOUBT = 0.10
# The base line falls meanwhile and the next burst cuts it short: a quarter too short at the
# median of 14 simulated circuits, 5 to 14 % on circuits of one volume without a base line.
FALL_DOUBT = 0.35
VOLUME_DOUBT = 0.10  # a circuit's volume is read off a data sheet or guessed [practice]


@dataclass(frozen=True, slots=True)
class Pumping:
    """What is known of the pumping so far; each is ``None`` until it can be told.

    ``speed_m3_s`` is S_eff at the circuit at ``level_pa``, where the falls were seen that tell it;
    ``water_kg`` the gas of all bursts so far if it was water.
    """

    fall_s: float | None
    speed_m3_s: Interval | None
    water_kg: Interval | None
    level_pa: float | None = None


NOTHING_KNOWN = Pumping(None, None, None)


class PumpingMeter:
    """Measures the pumping from the falls of the bursts.

    Parameters
    ----------
    volume_m3
        The circuit's volume; without it only the fall time is told.
    water_gauge_factor
        How many times the gauge overstates water vapour; 1 for a gauge that is right for any gas.
    temperature_c
        Of the gas, for its mass.
    rig
        Pump and hose, where they are known; a core in the port makes the hose's law less sure.
    """

    def __init__(
        self,
        *,
        volume_m3: float | None,
        water_gauge_factor: float = 1.0,
        temperature_c: float = 20.0,
        rig: Rig | None = None,
    ) -> None:
        self._volume_m3 = volume_m3
        self._factor = water_gauge_factor
        self._temperature_c = temperature_c
        self._rig = rig
        self._slope: Interval | None = None
        self._falls_s: deque[float] = deque(maxlen=REMEMBERED)
        self._levels_pa: deque[float] = deque(maxlen=REMEMBERED)
        self._water_kg = 0.0
        self.state = NOTHING_KNOWN

    def add_burst(
        self, rise_pa: float, fall_s: float, level_pa: float | None, area_pa_s: float | None = None
    ) -> None:
        """Take a confirmed burst.

        Parameters
        ----------
        rise_pa, fall_s, area_pa_s
            Its rise, its fall's time constant, and the area under it. While the gas still comes
            the pump takes some and the gauge lags, so that the rise is too small; the area over
            the fall time is what all the gas would have raised at once.
        level_pa
            The level it stood on. Without it only the gas counts.
        """
        if level_pa is not None or not self._falls_s:
            self._falls_s.append(fall_s)
            self._levels_pa.append(level_pa or 0.0)
        middle_s, middle_pa = median(self._falls_s), median(self._levels_pa)
        volume_m3 = self._volume_m3
        if volume_m3 is None:
            self.state = Pumping(middle_s, None, None, middle_pa)
            return
        released_pa = rise_pa
        if area_pa_s is not None and fall_s > 0.0:
            released_pa = min(max(rise_pa, area_pa_s / fall_s), MOST_RELEASED * rise_pa)
        self._water_kg += vapour_mass_kg(released_pa / self._factor, volume_m3, self._temperature_c)
        doubt = math.hypot(FACTOR_DOUBT, VOLUME_DOUBT)
        water = Interval(self._water_kg * (1 - doubt), self._water_kg, self._water_kg * (1 + doubt))
        speed = self._speed(middle_s, middle_pa, volume_m3)
        self.state = Pumping(middle_s, speed, water, middle_pa)

    def calibrate(self, found: Reopening) -> None:
        """Take what the fall after an isolation told: V / S_eff there, and n for falls to come."""
        self._slope = found.slope
        volume_over_speed_s = found.volume_over_speed_s
        if self._volume_m3 is None:
            return
        low, best, high = (
            self._volume_m3 / time_s
            for time_s in (
                volume_over_speed_s.high * (1 + VOLUME_DOUBT),
                volume_over_speed_s.best,
                volume_over_speed_s.low / (1 + VOLUME_DOUBT),
            )
        )
        speed = Interval(low, best, high)
        self.state = replace(self.state, speed_m3_s=speed, level_pa=found.level_pa)

    def _speed(self, fall_s: float, level_pa: float, volume_m3: float) -> Interval:
        low, best, high = self._slopes(level_pa)
        # Half of the falls lie within their quartiles; the median of n is sqrt(n) times surer.
        falls = sorted(self._falls_s)
        spread = (falls[-1 - len(falls) // 4] - falls[len(falls) // 4]) / math.sqrt(len(falls))
        doubt = math.hypot(spread / fall_s, VOLUME_DOUBT, FALL_DOUBT)
        return Interval(
            volume_m3 / (high * fall_s) / (1 + doubt),
            volume_m3 / (best * fall_s),
            volume_m3 / (low * fall_s) * (1 + doubt),
        )

    def _slopes(self, level_pa: float) -> tuple[float, float, float]:
        """Give n = d ln(S_eff P) / d ln P at this pressure: lowest, best, highest."""
        if self._slope is not None:
            return self._slope.low, self._slope.best, self._slope.high
        rig = self._rig
        if rig is None or level_pa <= 0:
            return SLOPE_LOW, SLOPE_BEST, SLOPE_HIGH
        up, down = (
            pumped_throughput_pa_m3_s(rig.pump_speed_m3_s, rig.hose, level_pa * step)
            for step in (1.05, 1 / 1.05)
        )
        slope = math.log(up / down) / (2 * math.log(1.05))
        low = CORE_SLOPE_LOW if rig.has_core else RIG_SLOPE_LOW
        return max(low * slope, 1.0), slope, min(1.05 * slope, 2.0)
