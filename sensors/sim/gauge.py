"""The gauge: lag, gas factor, noise, rounding, glitches, stuck readings, gaps, jitter."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sensors.events import Reading

# A thermal gauge overstates water vapour while its wire is in molecular heat conduction; towards
# atmospheric pressure the factor goes to about 1. Where it halves depends on the gauge: rough.
FACTOR_HALF_PA = 1000.0
_BLOCK = 2048


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeModel:
    """How a gauge turns the pressure in the circuit into readings.

    Attributes
    ----------
    lag_s
        Time constant of its response.
    noise_share, noise_floor_pa
        White noise: share of the pressure, and floor, added in quadrature.
    wander_share, wander_s
        Slow wander: share of the pressure and its correlation time.
    step_pa
        Readings are rounded to this.
    water_factor
        Shown over true pressure for water vapour (1.477 by kinetic theory, rough).
    top_pa, bottom_pa
        Ends of its range.
    glitches_per_h, stucks_per_h, gaps_per_h
        How often a single wild reading, a repeated reading, a silence comes.
    stuck_s, gap_s
        Mean lengths of the last two.
    jitter
        Irregularity of the sampling, a share of the interval, below 1.
    has_temperature
        Whether it reports the circuit's temperature.
    """

    lag_s: float = 0.5
    noise_share: float = 0.003
    noise_floor_pa: float = 0.05
    wander_share: float = 0.002
    wander_s: float = 120.0
    step_pa: float = 0.1333224
    water_factor: float = 1.477
    top_pa: float = 120e3
    bottom_pa: float = 0.0
    glitches_per_h: float = 0.0
    stucks_per_h: float = 0.0
    stuck_s: float = 3.0
    gaps_per_h: float = 0.0
    gap_s: float = 10.0
    jitter: float = 0.05
    has_temperature: bool = False

    def factor_at(self, pressure_pa: float) -> float:
        """Shown over true pressure for water vapour, at one total pressure."""
        return 1.0 + (self.water_factor - 1.0) / (1.0 + pressure_pa / FACTOR_HALF_PA)

    def noise_at(self, shown_pa: float) -> float:
        """Noise of one reading, Pa: white noise and rounding (step / sqrt(12)) together."""
        white = math.hypot(self.noise_floor_pa, self.noise_share * shown_pa)
        return math.hypot(white, self.step_pa / math.sqrt(12.0))


class Gauge:
    """One gauge at work; ``follow`` the circuit, then ``read``, then ask for ``pause_s``."""

    def __init__(self, model: GaugeModel, rng: np.random.Generator, rate_hz: float) -> None:
        self.model = model
        self.gaps: list[tuple[float, float]] = []
        self.seen_pa = math.nan  # after the lag, before noise and rounding
        self._input_pa = math.nan
        self._interval_s = 1.0 / rate_hz
        self._draws = _draws(rng)
        self._uniform: tuple[float, ...] = ()
        self._wander = 0.0
        self._stuck_until_s = -math.inf
        self._last_pa = 0.0

    def follow(self, shown_pa: float, step_s: float) -> None:
        """Let the gauge follow for ``step_s`` what it would show without lag at its end."""
        if math.isnan(self.seen_pa):
            self.seen_pa = self._input_pa = shown_pa
        middle = 0.5 * (self._input_pa + shown_pa)
        self.seen_pa = middle + (self.seen_pa - middle) * math.exp(-step_s / self.model.lag_s)
        self._input_pa = shown_pa

    def read(self, time_s: float, temperature_c: float) -> Reading:
        """Take one reading at ``time_s``."""
        model = self.model
        self._uniform, normal = next(self._draws)
        keep = math.exp(-self._interval_s / model.wander_s)
        self._wander = keep * self._wander + math.sqrt(1.0 - keep * keep) * normal[1]
        white = math.hypot(model.noise_floor_pa, model.noise_share * self.seen_pa)
        value = self.seen_pa * (1.0 + model.wander_share * self._wander) + white * normal[0]
        value = self._spoil(time_s, value)
        value = max(0.0, round(value / model.step_pa) * model.step_pa)
        self._last_pa = value
        shown_c = round(temperature_c + 0.05 * normal[2], 1) if model.has_temperature else None
        if value > model.top_pa:
            return Reading(time_s, model.top_pa, shown_c, "over-range")
        if value < model.bottom_pa:
            return Reading(time_s, model.bottom_pa, shown_c, "under-range")
        return Reading(time_s, value, shown_c)

    def _spoil(self, time_s: float, value_pa: float) -> float:
        """Single wild readings, and readings that repeat for a while."""
        model, uniform = self.model, self._uniform
        if time_s < self._stuck_until_s:
            return self._last_pa
        if uniform[0] < model.stucks_per_h * self._interval_s / 3600.0:
            self._stuck_until_s = time_s - model.stuck_s * math.log(1.0 - uniform[1])
        if uniform[2] < model.glitches_per_h * self._interval_s / 3600.0:
            return value_pa * (0.2 if uniform[3] < 0.3 else 1.3 + 2.0 * uniform[3])
        return value_pa

    def pause_s(self, time_s: float) -> float:
        """Seconds to the next reading, after the one just taken at ``time_s``."""
        uniform = self._uniform
        pause = self._interval_s * (1.0 + self.model.jitter * (2.0 * uniform[4] - 1.0))
        if uniform[5] < self.model.gaps_per_h * self._interval_s / 3600.0:
            pause -= self.model.gap_s * math.log(1.0 - uniform[6])
            self.gaps.append((time_s, time_s + pause))
        return pause


def _draws(
    rng: np.random.Generator,
) -> Iterator[tuple[tuple[float, ...], tuple[float, ...]]]:
    """Random numbers for one reading at a time, drawn in blocks because that is far quicker."""
    while True:
        uniform = rng.random((_BLOCK, 7)).tolist()
        normal = rng.standard_normal((_BLOCK, 3)).tolist()
        yield from zip(map(tuple, uniform), map(tuple, normal), strict=True)
