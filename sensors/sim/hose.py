"""How much gas a hose lets through: viscous flow, molecular flow and the way between them."""

import math
from dataclasses import dataclass

from sensors.sim.water import GAS_CONSTANT, KELVIN

AIR_VISCOSITY_PA_S = 1.82e-5  # dry air at 20 C
AIR_MOLAR_MASS = 0.0289647  # kg/mol
# Knudsen's empirical transition factor for air at 20 C. Textbooks give it with d in cm and p in
# mbar; the product d p has the same number in m and Pa.
KNUDSEN_TOP = 192.0
KNUDSEN_BOTTOM = 237.0


def transition_factor(product_m_pa: float) -> float:
    """Knudsen's factor on the molecular term, from diameter times mean pressure (m Pa)."""
    return (1.0 + KNUDSEN_TOP * product_m_pa) / (1.0 + KNUDSEN_BOTTOM * product_m_pa)


@dataclass(frozen=True, slots=True)
class Hose:
    """A long round tube with air in it.

    Conductance is Hagen-Poiseuille's term plus Knudsen's molecular term times his transition
    factor, as in textbooks of vacuum technology (M. Knudsen, Annalen der Physik 28 (1909) 75).
    End effects and choking are left out: near atmospheric pressure the pump is the limit anyway.

    Attributes
    ----------
    diameter_m, length_m
        Inner diameter and length, both > 0.
    """

    diameter_m: float
    length_m: float

    def __post_init__(self) -> None:
        if not (self.diameter_m > 0.0 and self.length_m > 0.0):
            raise ValueError("a hose needs a diameter and a length above zero")

    @property
    def viscous_m3_s_per_pa(self) -> float:
        """Hagen-Poiseuille's conductance for each Pa of mean pressure."""
        return math.pi * self.diameter_m**4 / (128.0 * AIR_VISCOSITY_PA_S * self.length_m)

    def molecular_m3_s(self, temperature_c: float = 20.0) -> float:
        """Knudsen's conductance of a long tube in molecular flow."""
        spread = math.sqrt(2.0 * math.pi * GAS_CONSTANT * (temperature_c + KELVIN) / AIR_MOLAR_MASS)
        return spread * self.diameter_m**3 / (6.0 * self.length_m)

    def conductance_m3_s(self, mean_pressure_pa: float, temperature_c: float = 20.0) -> float:
        """Conductance at the mean of the pressures at both ends.

        Examples
        --------
        >>> round(Hose(0.0048, 1.5).conductance_m3_s(66.7) * 1000, 4)  # L/s
        0.0391
        """
        molecular = self.molecular_m3_s(temperature_c)
        molecular *= transition_factor(self.diameter_m * mean_pressure_pa)
        return self.viscous_m3_s_per_pa * mean_pressure_pa + molecular
