"""From a hold's rate of rise to a leak's throughput, and what it may mean in refrigerant a year.

The rise under vacuum is air coming in; in service refrigerant goes out, at several times the
pressure difference. Which factor joins the two depends on the leak's shape, which nobody knows:
so the answer is a span, between molecular (very fine) and laminar (long and fine) flow. This is
for orientation; a standing test never replaces leak detection under pressure.
"""

import math
from dataclasses import dataclass
from typing import Final, Literal

from analysis.reason import Interval
from analysis.water import GAS_CONSTANT, ZERO_CELSIUS_K

FlowLaw = Literal["molecular", "choked", "laminar"]
LAWS: Final[tuple[FlowLaw, ...]] = ("molecular", "choked", "laminar")

REFERENCE_C: Final = 20.0
ATMOSPHERE_PA: Final = 101325.0
SECONDS_PER_YEAR: Final = 365.25 * 86400.0
AIR_KG_PER_MOL: Final = 0.0289647
_AIR_VISCOSITY_PA_S: Final = 18.206e-6  # CoolProp, 20 C, 1 atm
_AIR_HEAT_RATIO: Final = 1.4


@dataclass(frozen=True, slots=True)
class Refrigerant:
    """A refrigerant at 20 C, as its vapour leaves a resting circuit.

    Attributes
    ----------
    name
        ASHRAE 34 designation.
    kg_per_mol
        Molar mass.
    saturation_pa
        Absolute saturation pressure.
    viscosity_pa_s
        Mean of the viscosities of the saturated vapour and the vapour at 1 atm.
    heat_ratio
        cp / cv of the saturated vapour (R-744, near its critical point: of the dilute gas).
    """

    name: str
    kg_per_mol: float
    saturation_pa: float
    viscosity_pa_s: float
    heat_ratio: float


# Computed with CoolProp 7 (Bell et al. 2014, doi 10.1021/ie4033999) at 293.15 K.
REFRIGERANTS: Final = {
    fluid.name: fluid
    for fluid in (
        Refrigerant("R-134a", 0.102032, 571707.0, 11.555e-6, 1.2188),
        Refrigerant("R-1234yf", 0.1140416, 591836.0, 12.239e-6, 1.1870),
        Refrigerant("R-744", 0.0440098, 5729053.0, 16.258e-6, 1.2908),
    )
}


def throughput_pa_m3_s(rate_pa_s: float, volume_m3: float) -> float:
    """Gas entering a closed volume, Q = V dP/dt, Pa m3/s (40 CFR 1065.644)."""
    return rate_pa_s * volume_m3


def throughput_interval(rate_pa_s: Interval, volume_m3: float) -> Interval:
    """Q = V dP/dt for a rate with its interval, Pa m3/s."""
    return Interval(
        rate_pa_s.low * volume_m3, rate_pa_s.best * volume_m3, rate_pa_s.high * volume_m3
    )


def molar_flow_mol_s(throughput: float, temperature_c: float = REFERENCE_C) -> float:
    """Molar flow of a throughput in Pa m3/s, Q / (R T), mol/s.

    Examples
    --------
    >>> molar_flow_mol_s(throughput_pa_m3_s(25300 / 70, 0.002), 20.0)  # 40 CFR 1065.644
    0.00029657...
    """
    return throughput / (GAS_CONSTANT * (temperature_c + ZERO_CELSIUS_K))


def outward_factor(refrigerant: Refrigerant, law: FlowLaw) -> float:
    """Moles of refrigerant out in service, at 20 C, per mole of air in under vacuum.

    laminar: flow goes with (p1^2 - p2^2) / viscosity; molecular: with (p1 - p2) / sqrt(M);
    choked: with the upstream pressure times the critical flow function / sqrt(M).
    """
    p_in, p_out = ATMOSPHERE_PA, refrigerant.saturation_pa
    lighter = math.sqrt(AIR_KG_PER_MOL / refrigerant.kg_per_mol)
    if law == "laminar":
        viscosity = _AIR_VISCOSITY_PA_S / refrigerant.viscosity_pa_s
        return (p_out**2 - ATMOSPHERE_PA**2) / p_in**2 * viscosity
    if law == "molecular":
        return (p_out - ATMOSPHERE_PA) / p_in * lighter
    critical = _critical_flow(refrigerant.heat_ratio) / _critical_flow(_AIR_HEAT_RATIO)
    return p_out / p_in * lighter * critical


def _critical_flow(heat_ratio: float) -> float:
    """Mass flow function of an ideal gas through a choked nozzle (ISO 9300, ideal gas)."""
    k = heat_ratio
    return math.sqrt(k) * math.pow(2.0 / (k + 1.0), (k + 1.0) / (2.0 * (k - 1.0)))


def loss_g_per_yr(air_in_pa_m3_s: float, refrigerant: Refrigerant, law: FlowLaw) -> float:
    """Refrigerant lost in service by a leak that lets this much air in under vacuum, g/yr.

    Parameters
    ----------
    air_in_pa_m3_s
        Throughput of air into the evacuated circuit at 20 C.
    refrigerant
        One of ``REFRIGERANTS``.
    law
        How the gas flows through the leak.

    Examples
    --------
    >>> q = throughput_pa_m3_s(27.5 * 0.1333224 / 600, 0.002)
    >>> round(loss_g_per_yr(q, REFRIGERANTS["R-134a"], "molecular"))
    40
    """
    moles = molar_flow_mol_s(air_in_pa_m3_s) * outward_factor(refrigerant, law)
    return moles * SECONDS_PER_YEAR * refrigerant.kg_per_mol * 1e3


def losses_g_per_yr(air_in_pa_m3_s: Interval, refrigerant: Refrigerant) -> dict[FlowLaw, Interval]:
    """Give the refrigerant lost in service, g/yr, under each law that the leak may follow.

    None of them is the best one: the truth lies somewhere between the least and the greatest.
    """
    per_unit = {law: loss_g_per_yr(1.0, refrigerant, law) for law in LAWS}
    air = air_in_pa_m3_s
    return {
        law: Interval(air.low * each, air.best * each, air.high * each)
        for law, each in per_unit.items()
    }


def rise_rate_pa_s(loss: float, volume_m3: float, refrigerant: Refrigerant, law: FlowLaw) -> float:
    """Rate of rise, Pa/s, of an evacuated circuit with a leak that would lose ``loss`` g/yr."""
    return loss / loss_g_per_yr(volume_m3, refrigerant, law)
