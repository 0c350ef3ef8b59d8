"""Flow of air through a hose at vacuum, and what it leaves of the pump's speed.

Viscous (Poiseuille) and molecular flow of air at 20 C from first principles, joined by Knudsen's
transition factor. Good to a few per cent for smooth hoses; couplers and cores throttle more.
"""

import math
from dataclasses import dataclass
from typing import Final

AIR_VISCOSITY_PA_S: Final = 1.82e-5  # 20 C
AIR_MEAN_SPEED_M_S: Final = 462.94  # sqrt(8 R T / (pi M)), 293.15 K, M = 28.9647 g/mol
# Knudsen's factor (1 + 192 d p) / (1 + 237 d p) with d in cm and p in mbar (from memory;
# M. Knudsen, Ann. Phys. 333 (1909) 75): 1 cm mbar = 1 m Pa.
_KNUDSEN_UP: Final = 192.0
_KNUDSEN_DOWN: Final = 237.0


@dataclass(frozen=True, slots=True)
class Hose:
    """A round hose: bore and length, m.

    Raises
    ------
    ValueError
        If either is not positive.
    """

    bore_m: float
    length_m: float

    def __post_init__(self) -> None:
        if not (self.bore_m > 0 and self.length_m > 0):
            raise ValueError("a hose has a positive bore and length")


def viscous_conductance_m3_s(hose: Hose, pressure_pa: float) -> float:
    """Conductance for laminar air flow at the hose's mean pressure, m3/s (Poiseuille)."""
    return math.pi * hose.bore_m**4 * pressure_pa / (128.0 * AIR_VISCOSITY_PA_S * hose.length_m)


def molecular_conductance_m3_s(hose: Hose) -> float:
    """Conductance of a long hose for molecular air flow at 20 C, m3/s (Knudsen)."""
    return math.pi / 12.0 * AIR_MEAN_SPEED_M_S * hose.bore_m**3 / hose.length_m


def aperture_conductance_m3_s(area_m2: float) -> float:
    """Conductance of a thin opening for molecular air flow at 20 C, m3/s."""
    return 0.25 * AIR_MEAN_SPEED_M_S * area_m2


def conductance_m3_s(hose: Hose, pressure_pa: float) -> float:
    """Conductance in any regime: viscous plus molecular times Knudsen's transition factor.

    Parameters
    ----------
    hose
        The hose.
    pressure_pa
        Mean pressure in the hose, Pa, >= 0.

    Examples
    --------
    >>> round(conductance_m3_s(Hose(0.0048, 1.5), 66.7) * 1000, 4)  # L/s
    0.0391
    """
    dp = hose.bore_m * pressure_pa
    factor = (1.0 + _KNUDSEN_UP * dp) / (1.0 + _KNUDSEN_DOWN * dp)
    return viscous_conductance_m3_s(hose, pressure_pa) + factor * molecular_conductance_m3_s(hose)


def effective_speed_m3_s(pump_speed_m3_s: float, conductance: float) -> float:
    """Give what is left of a pump's speed behind a conductance, S C / (S + C), m3/s."""
    total = pump_speed_m3_s + conductance
    return 0.0 if total <= 0 else pump_speed_m3_s * conductance / total


def pumped_throughput_pa_m3_s(pump_speed_m3_s: float, hose: Hose, pressure_pa: float) -> float:
    """Gas taken out of the circuit at ``pressure_pa`` by the pump through the hose, Pa m3/s.

    The mean pressure in the hose follows from the balance at the pump: found by iteration.
    """
    pump_pa = 0.5 * pressure_pa
    for _ in range(50):
        conductance = conductance_m3_s(hose, 0.5 * (pressure_pa + pump_pa))
        flow = effective_speed_m3_s(pump_speed_m3_s, conductance) * pressure_pa
        pump_pa = 0.5 * (pump_pa + flow / pump_speed_m3_s)
    return flow


def small_fall_time_s(
    volume_m3: float, pump_speed_m3_s: float, hose: Hose, pressure_pa: float
) -> float:
    """Time constant of a small fall at ``pressure_pa``: V / (d(S_eff P)/dP), s.

    Shorter than V / S_eff, because the hose's conductance itself grows with pressure.
    """
    step = 1e-3 * pressure_pa
    up = pumped_throughput_pa_m3_s(pump_speed_m3_s, hose, pressure_pa + step)
    down = pumped_throughput_pa_m3_s(pump_speed_m3_s, hose, pressure_pa - step)
    return volume_m3 * 2.0 * step / (up - down)


def pump_down_time_s(volume_m3: float, speed_m3_s: float, from_pa: float, to_pa: float) -> float:
    """Time to pump a volume down at constant speed and no gas load, V / S ln(p1 / p2), s.

    Examples
    --------
    >>> round(pump_down_time_s(0.002, 0.001, 101300, 100), 2)
    13.84
    """
    return volume_m3 / speed_m3_s * math.log(from_pa / to_pa)
