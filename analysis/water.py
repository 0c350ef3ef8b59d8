"""Water's saturation pressure over liquid and over ice, and the inverses.

Liquid: IAPWS R7-97 (2012), equation 30 and its exact inverse, equation 31 (region 4).
Ice: IAPWS R14-08 (2011), sublimation pressure, equation 6. They meet at the triple point.
"""

import math
from functools import lru_cache
from typing import Final

ZERO_CELSIUS_K: Final = 273.15
TRIPLE_POINT_K: Final = 273.16  # IAPWS R14-08
TRIPLE_POINT_PA: Final = 611.657  # IAPWS R14-08
CRITICAL_K: Final = 647.096  # IAPWS R7-97
CRITICAL_PA: Final = 22.064e6
_ICE_LOWEST_K: Final = 50.0  # R14-08's lower end
_ICE_LOWEST_PA: Final = 1.9e-40

GAS_CONSTANT: Final = 8.314462618  # J/(mol K), CODATA 2018
WATER_KG_PER_MOL: Final = 0.018015268  # IAPWS R6-95

# IAPWS R7-97, table 34: n1 ... n10
_N: Final = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
# IAPWS R14-08, table 1 (ice Ih): a1 ... a3, b1 ... b3
_ICE_A: Final = (-0.212144006e2, 0.273203819e2, -0.610598130e1)
_ICE_B: Final = (0.333333333e-2, 0.120666667e1, 0.170333333e1)


def pressure_over_liquid_pa(temperature_c: float) -> float:
    """Saturation pressure over liquid water, Pa.

    Parameters
    ----------
    temperature_c
        From 0 C (the equation holds a little into the supercooled range) to 373.946 C.

    Raises
    ------
    ValueError
        If the temperature is outside -10 to 373.946 C.

    Examples
    --------
    >>> round(pressure_over_liquid_pa(20.0), 1)
    2339.2
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    if not ZERO_CELSIUS_K - 10.0 <= kelvin <= CRITICAL_K:
        raise ValueError(f"no liquid water at {temperature_c} C")
    theta = kelvin + _N[8] / (kelvin - _N[9])
    a = theta * theta + _N[0] * theta + _N[1]
    b = _N[2] * theta * theta + _N[3] * theta + _N[4]
    c = _N[5] * theta * theta + _N[6] * theta + _N[7]
    root = 2.0 * c / (-b + math.sqrt(b * b - 4.0 * a * c))
    return 1e6 * float(root) ** 4


def pressure_over_ice_pa(temperature_c: float) -> float:
    """Sublimation pressure over ice, Pa.

    Raises
    ------
    ValueError
        If the temperature is outside -223.15 to 0.01 C.

    Examples
    --------
    >>> round(pressure_over_ice_pa(-10.0), 2)
    259.87
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    if not _ICE_LOWEST_K <= kelvin <= TRIPLE_POINT_K:
        raise ValueError(f"no ice at {temperature_c} C under vacuum")
    theta = kelvin / TRIPLE_POINT_K
    exponent = sum(a * math.pow(theta, b) for a, b in zip(_ICE_A, _ICE_B, strict=True)) / theta
    return TRIPLE_POINT_PA * math.exp(exponent)


@lru_cache(maxsize=16)  # a thermometer says the same for long
def boiling_pressure_pa(temperature_c: float) -> float:
    """Pressure under which water at ``temperature_c`` boils, or ice sublimes freely, Pa.

    Over ice below the triple point, over liquid above it.

    Examples
    --------
    >>> boiling_pressure_pa(-5.0) < TRIPLE_POINT_PA < boiling_pressure_pa(5.0)
    True
    """
    if temperature_c + ZERO_CELSIUS_K < TRIPLE_POINT_K:
        return pressure_over_ice_pa(temperature_c)
    return pressure_over_liquid_pa(temperature_c)


def boiling_temperature_c(pressure_pa: float) -> float:
    """Temperature at which water boils, or ice sublimes freely, at this pressure, Celsius.

    Raises
    ------
    ValueError
        If the pressure is not positive or lies above the critical point.

    Examples
    --------
    >>> round(boiling_temperature_c(500 * 0.1333224), 2)
    -24.48
    """
    if not _ICE_LOWEST_PA <= pressure_pa <= CRITICAL_PA:
        raise ValueError(f"water has no boiling temperature at {pressure_pa} Pa")
    if pressure_pa < TRIPLE_POINT_PA:
        return _ice_temperature_c(pressure_pa)
    beta = math.sqrt(math.sqrt(pressure_pa / 1e6))
    e = beta * beta + _N[2] * beta + _N[5]
    f = _N[0] * beta * beta + _N[3] * beta + _N[6]
    g = _N[1] * beta * beta + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    kelvin = (_N[9] + d - math.sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d))) / 2.0
    return kelvin - ZERO_CELSIUS_K


def _ice_temperature_c(pressure_pa: float) -> float:
    """Invert the sublimation pressure by bisection: it rises steadily, so this cannot fail."""
    low, high = _ICE_LOWEST_K - ZERO_CELSIUS_K, TRIPLE_POINT_K - ZERO_CELSIUS_K
    for _ in range(60):
        middle = 0.5 * (low + high)
        if pressure_over_ice_pa(middle) < pressure_pa:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def vapour_mass_kg(pressure_pa: float, volume_m3: float, temperature_c: float) -> float:
    """Mass of water vapour that alone makes this (true) pressure in this volume, kg.

    Ideal gas. A thermal gauge calibrated for air shows about 1.5 times the true pressure.

    Examples
    --------
    >>> round(vapour_mass_kg(67.65, 0.002, 20.0) * 1e6, 3)  # mg
    1.0
    """
    kelvin = temperature_c + ZERO_CELSIUS_K
    return pressure_pa * volume_m3 / (GAS_CONSTANT * kelvin) * WATER_KG_PER_MOL
