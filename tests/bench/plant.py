"""One circuit under a pump, with air, water and a pool that may freeze: physics for mishaps.

Shares nothing with the other generators. Two gases (air, water vapour) in one volume; a hose whose
conductance is part viscous, part molecular; a pool with its own warmth. Pa, m3, s, kg, J.
"""

from dataclasses import dataclass, field
from math import exp, log

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_TRIPLE_PA, _TRIPLE_K, _ZERO_K = 611.657, 273.16, 273.15
_LATENT_BOIL, _LATENT_MELT = 2.5e6, 3.34e5  # J/kg near 0 C; ice sublimes with the sum
_LIQUID_J_KG_K, _ICE_J_KG_K = 4200.0, 2060.0
KG_PER_PA_M3 = 0.018015 / (8.3145 * 293.0)  # of vapour at room temperature
OPEN_AIR_PA = 101325.0


def saturation_pa(celsius: float) -> float:
    """Over liquid by Magnus' form (WMO-No. 8), over ice by Murphy and Koop (2005), equation 7.

    Q. J. R. Meteorol. Soc. 131, 1539 [memory]; within 0.3 % of IAPWS (tested).
    """
    kelvin = celsius + _ZERO_K
    if kelvin < _TRIPLE_K:
        return exp(9.550426 - 5723.265 / kelvin + 3.53068 * log(kelvin) - 0.00728332 * kelvin)
    return 611.2 * exp(17.62 * celsius / (243.12 + celsius))


@dataclass
class Pool:
    """Water in one place: it cools as it boils, freezes as a whole at 0 C, and then sublimes."""

    kg: float
    open_m3_s: float  # gas given off is this times what its pressure lacks
    warmth_w_per_k: float  # from the workshop
    metal_j_per_k: float  # the spot it lies on cools with it
    ambient_c: float
    celsius: float
    frozen_kg: float = 0.0

    @property
    def is_ice(self) -> bool:
        """Whether it is frozen through and not yet gone."""
        return self.kg > 0.0 and self.frozen_kg >= 0.999 * self.kg

    def offer(self, _step_s: float) -> tuple[float, float]:
        """Give how readily it evaporates, m3/s, and its own pressure, Pa."""
        return (self.open_m3_s if self.kg > 0.0 else 0.0), saturation_pa(self.celsius)

    def lose(self, gas_pa_m3: float, step_s: float) -> None:
        """Take away what has evaporated and follow the warmth."""
        gone_kg = min(gas_pa_m3 * KG_PER_PA_M3, self.kg)
        was_ice = self.is_ice
        self.kg -= gone_kg
        if was_ice:
            self.frozen_kg = self.kg
        latent = _LATENT_BOIL + (_LATENT_MELT if was_ice else 0.0)
        heat_j = self.warmth_w_per_k * (self.ambient_c - self.celsius) * step_s - latent * gone_kg
        self._warm(heat_j)

    def _warm(self, heat_j: float) -> None:
        specific = _ICE_J_KG_K if self.is_ice else _LIQUID_J_KG_K
        self.celsius += heat_j / (self.metal_j_per_k + specific * max(self.kg, 0.0))
        if self.is_ice and self.celsius <= 0.0:
            return
        spare_j = self.celsius * (self.metal_j_per_k + specific * max(self.kg, 0.0))
        if spare_j < 0.0 and self.frozen_kg < self.kg:  # freezes rather than getting colder
            self.frozen_kg = min(self.kg, self.frozen_kg - spare_j / _LATENT_MELT)
            self.celsius = 0.0
        elif spare_j > 0.0 and self.frozen_kg > 0.0:
            self.frozen_kg = max(0.0, self.frozen_kg - spare_j / _LATENT_MELT)
            self.celsius = 0.0


@dataclass
class ColdBody:
    """Ice on a large cold body, whose temperature goes its own way; gone after ``until_s``."""

    start_c: float
    end_c: float
    tau_s: float
    from_s: float
    until_s: float
    open_m3_s: float
    time_s: float = 0.0

    @property
    def is_ice(self) -> bool:
        """Whether there is ice now."""
        return self.from_s <= self.time_s < self.until_s

    def offer(self, step_s: float) -> tuple[float, float]:
        """Give how readily it sublimes, m3/s, and its own pressure, Pa."""
        self.time_s += step_s
        if not self.is_ice:
            return 0.0, 0.0
        share = exp(-(self.time_s - self.from_s) / self.tau_s)
        celsius = self.end_c + (self.start_c - self.end_c) * share
        return self.open_m3_s, saturation_pa(celsius)

    def lose(self, gas_pa_m3: float, step_s: float) -> None:
        """Stay as it is: the body is large, and how long its ice lasts is given."""


@dataclass(frozen=True)
class Rig:
    """Pump and hose: S_eff = 1 / (1/S + 1/(molecular + viscous P))."""

    pump_m3_s: float
    molecular_m3_s: float
    viscous_m3_s_pa: float

    def speed_m3_s(self, pressure_pa: float) -> float:
        """Speed at the circuit, the mean pressure in the hose taken as six tenths of it."""
        hose = self.molecular_m3_s + 0.6 * self.viscous_m3_s_pa * pressure_pa
        return self.pump_m3_s * hose / (self.pump_m3_s + hose)


@dataclass
class Day:
    """What acts on the circuit on a grid of ``step_s``; every array (n,) float64."""

    step_s: float
    volume_m3: float
    rig: Rig
    start_pa: float
    ultimate_pa: Floats
    air_in: Floats  # Pa m3/s
    water_in: Floats
    opening: Floats  # 1: as built, 0: valve closed or pump standing
    pool: Pool | ColdBody | None = None
    burst_in: Floats = field(default_factory=lambda: np.zeros(0))  # of water; none while frozen


@dataclass(frozen=True)
class Course:
    """How it went: partial pressures on the grid, and where there was ice. (n,) arrays."""

    air_pa: Floats
    water_pa: Floats
    is_ice: NDArray[np.bool_]

    def shown_pa(self, water_factor: float) -> Floats:
        """What a gauge without lag shows that overstates water vapour by this."""
        return np.asarray(self.air_pa + water_factor * self.water_pa)


def play(day: Day) -> Course:
    """Integrate, each step's exponential exact for the speed it begins with."""
    air, water, step_s, volume = day.start_pa, 0.0, day.step_s, day.volume_m3
    rows, ice = [], []
    bursts = day.burst_in.tolist() if day.burst_in.size else [0.0] * day.air_in.size
    for ultimate, q_air, q_water, opening, burst in zip(
        day.ultimate_pa.tolist(), day.air_in.tolist(), day.water_in.tolist(),
        day.opening.tolist(), bursts, strict=True,
    ):  # fmt: skip
        rows.append((air, water))
        ready, own_pa = (0.0, 0.0) if day.pool is None else day.pool.offer(step_s)
        if own_pa <= water:
            ready = 0.0
        frozen = day.pool is not None and day.pool.is_ice and own_pa > 0.95 * water
        ice.append(frozen)
        q_water += ready * own_pa + (0.0 if frozen else burst)
        speed = opening * day.rig.speed_m3_s(air + water)
        air = _step(air, q_air * (air < OPEN_AIR_PA) + speed * ultimate, speed, step_s / volume)[0]
        water, mean = _step(water, q_water, speed + ready, step_s / volume)
        if day.pool is not None:
            day.pool.lose(ready * (own_pa - mean) * step_s, step_s)
    array = np.array(rows)
    return Course(array[:, 0], array[:, 1], np.array(ice, dtype=bool))


def _step(pa: float, inflow: float, outflow: float, step: float) -> tuple[float, float]:
    """Pressure after a step (over the volume), and its mean over it."""
    reach = outflow * step
    if reach < 1e-9:
        return pa + inflow * step, pa + 0.5 * inflow * step
    keep, level = exp(-reach), inflow / outflow
    return level + (pa - level) * keep, level + (pa - level) * (1.0 - keep) / reach
