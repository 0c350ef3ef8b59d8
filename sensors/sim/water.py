"""Water: the pressure at which it boils, the pressure over ice, and what a given mass adds.

Simmerdown's simulator keeps its own formulas so that it shares nothing with the analysis that it
is used to test.
"""

import math

GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018, exact
WATER_MOLAR_MASS = 0.018015268  # kg/mol, IAPWS R6-95
KELVIN = 273.15
TRIPLE_K = 273.16
TRIPLE_PA = 611.657  # IAPWS R14-08
CRITICAL_K = 647.096
CRITICAL_PA = 22.064e6  # IAPWS SR1-86 (1992)

_ICE = (
    (-21.2144006, 0.00333333333),
    (27.3203819, 1.20666667),
    (-6.10598130, 1.70333333),
)  # IAPWS R14-08, equation 6
_LIQUID = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)  # Wagner and Pruss, IAPWS SR1-86 (1992), equation 1


def sublimation_pa(temperature_c: float) -> float:
    """Vapour pressure over ice, Pa (IAPWS R14-08, 50 K to the triple point).

    Examples
    --------
    >>> round(sublimation_pa(-20.0), 1)
    103.2
    """
    ratio = (temperature_c + KELVIN) / TRIPLE_K
    return TRIPLE_PA * math.exp(sum(a * ratio**b for a, b in _ICE) / ratio)


def boiling_pa(temperature_c: float) -> float:
    """Pressure at which liquid water boils, Pa; below 0 C it is extended to supercooled water.

    Examples
    --------
    >>> round(boiling_pa(20.0))
    2339
    """
    temperature_k = temperature_c + KELVIN
    distance = 1.0 - temperature_k / CRITICAL_K
    total = sum(a * distance**b for a, b in _LIQUID)
    return CRITICAL_PA * math.exp(CRITICAL_K / temperature_k * total)


def vapour_rise_pa(mass_kg: float, volume_m3: float, temperature_c: float) -> float:
    """Pressure that ``mass_kg`` of water vapour adds to a closed volume (ideal gas), Pa.

    Examples
    --------
    >>> round(vapour_rise_pa(1e-6, 2e-3, 20.0), 2)
    67.65
    """
    moles = mass_kg / WATER_MOLAR_MASS
    return moles * GAS_CONSTANT * (temperature_c + KELVIN) / volume_m3
