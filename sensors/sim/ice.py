"""Water at a cold spot: it cools as it boils, freezes, and sublimes as its warmth allows.

The heat of what evaporates is taken from the water and the metal it lies on; the workshop gives
some back. At 0 C the water freezes instead of getting colder; then the ice settles where the
warmth that leaks in makes as much vapour as the pump takes.
"""

from dataclasses import dataclass

from sensors.sim.water import (
    GAS_CONSTANT,
    KELVIN,
    WATER_MOLAR_MASS,
    boiling_pa,
    sublimation_pa,
)

# Near 0 C, J/kg and J/(kg K): handbook values [from memory], good to a few parts in a hundred.
BOILING_J_KG, FREEZING_J_KG = 2.50e6, 3.34e5
WATER_J_KG_K, ICE_J_KG_K = 4.2e3, 2.06e3


@dataclass(frozen=True, slots=True, kw_only=True)
class Ice:
    """Water that lies at one place of the circuit and freezes there.

    Attributes
    ----------
    mass_kg
        Water at the start, as warm as the circuit.
    warmth_w_per_k
        Heat that reaches it for each kelvin under the circuit's temperature.
    metal_j_per_k
        Heat capacity of the spot it lies on.
    conductance_m3_s
        How readily it evaporates: flow is this times (P_ice - P_water). Much larger than the
        pumping speed, so that it holds its own pressure.
    """

    mass_kg: float
    warmth_w_per_k: float
    metal_j_per_k: float = 20.0
    conductance_m3_s: float = 5e-3


class ColdSpot:
    """The state of that water: how much, how warm, how much of it frozen."""

    def __init__(self, ice: Ice, temperature_c: float) -> None:
        self._ice = ice
        self.kg = ice.mass_kg
        self.frozen_kg = 0.0
        self.temperature_c = temperature_c

    @property
    def is_ice(self) -> bool:
        """Whether it is frozen through and not yet gone."""
        return self.kg > 0.0 and self.frozen_kg >= self.kg

    @property
    def pressure_pa(self) -> float:
        """Its own vapour pressure."""
        celsius = self.temperature_c
        return sublimation_pa(celsius) if celsius < 0.0 or self.is_ice else boiling_pa(celsius)

    @property
    def conductance_m3_s(self) -> float:
        """How readily it evaporates; nothing when it is gone."""
        return self._ice.conductance_m3_s if self.kg > 0.0 else 0.0

    def lose(self, gas_pa_m3: float, gas_c: float, step_s: float) -> None:
        """Take away what evaporated in a step, with its heat, and let some warmth in.

        Parameters
        ----------
        gas_pa_m3
            Vapour given off, Pa m3 at ``gas_c``.
        gas_c
            Temperature of the circuit and its gas.
        step_s
            Length of the step.
        """
        moles = gas_pa_m3 / (GAS_CONSTANT * (gas_c + KELVIN))
        gone_kg = min(moles * WATER_MOLAR_MASS, self.kg)
        latent = BOILING_J_KG
        if self.is_ice:
            latent += FREEZING_J_KG
            self.frozen_kg -= gone_kg
        self.kg -= gone_kg
        if self.kg > 0.0:
            warmed_j = self._ice.warmth_w_per_k * (gas_c - self.temperature_c) * step_s
            self._warm(warmed_j - latent * gone_kg)

    def _warm(self, heat_j: float) -> None:
        is_ice = self.is_ice
        capacity = self._ice.metal_j_per_k + self.kg * (ICE_J_KG_K if is_ice else WATER_J_KG_K)
        self.temperature_c += heat_j / capacity
        to_spare_j = self.temperature_c * capacity
        if is_ice and to_spare_j <= 0.0:
            return
        if to_spare_j < 0.0 or self.frozen_kg > 0.0:  # it freezes, or melts, at 0 C
            frozen_kg = self.frozen_kg - to_spare_j / FREEZING_J_KG
            self.frozen_kg = min(max(frozen_kg, 0.0), self.kg)
            self.temperature_c = 0.0
