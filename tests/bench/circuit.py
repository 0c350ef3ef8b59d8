"""The circuit as two volumes, a restriction, a hose and a pump: pressures by integration.

Inside: Pa, litres, L/s, so gas loads are Pa L/s (1000 Pa L/s = 1 Pa m3/s).
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
State = tuple[float, float, float, float]  # far, near, gauge, pump inlet; Pa

# Air at 20 C through a tube, d and l in cm, p in mbar: 134.86 d^4 p/l + 12.119 d^3/l, L/s
# (first principles; vacuum handbooks print 135 and 12.1).  Per Pa of mean pressure here.
_VISCOUS_PER_PA = 1.3486
_MOLECULAR = 12.119


@dataclass(frozen=True)
class Circuit:
    """Sizes of the plant. ``gauge_at_far`` puts the gauge beyond the restriction."""

    far_l: float
    near_l: float
    restriction_d_cm: float
    restriction_l_cm: float
    hose_d_cm: float
    hose_l_cm: float
    pump_l_s: float
    ultimate_pa: float
    lag_s: float
    gauge_at_far: bool

    def hose_l_s(self, mean_pa: float) -> float:
        return tube_l_s(self.hose_d_cm, self.hose_l_cm, mean_pa)

    def flow(self, pressure_pa: float) -> float:
        """Gas the pump takes at a steady ``pressure_pa`` of the near volume, Pa L/s."""
        inlet_pa = pressure_pa
        for _ in range(40):
            hose = self.hose_l_s((pressure_pa + inlet_pa) / 2)
            inlet_pa = (self.pump_l_s * self.ultimate_pa + hose * pressure_pa) / (
                self.pump_l_s + hose
            )
        return self.pump_l_s * (inlet_pa - self.ultimate_pa)

    def fall_s(self, pressure_pa: float) -> float:
        """Time constant of a small fall about ``pressure_pa``, both volumes taken as one."""
        width_pa = 0.01 * pressure_pa
        slope = (self.flow(pressure_pa + width_pa) - self.flow(pressure_pa - width_pa)) / (
            2 * width_pa
        )
        return (self.far_l + self.near_l) / slope


def tube_l_s(d_cm: float, l_cm: float, mean_pa: float) -> float:
    return (_VISCOUS_PER_PA * d_cm**4 * mean_pa + _MOLECULAR * d_cm**3) / l_cm


def ticks(count: int, step_s: float) -> Floats:
    """Return the first ``count`` times of a grid."""
    return np.arange(count, dtype=np.float64) * step_s


@dataclass(frozen=True)
class Drive:
    """What acts on the circuit on a grid of ``step_s``: loads (Pa L/s) and the hose's opening."""

    step_s: float
    far_load: Floats
    near_load: Floats
    hose_opening: Floats  # 1 as built, 0 shut


def integrate(
    circuit: Circuit,
    drive: Drive,
    start: State,
    evaporate: Callable[[float, float], float] | None = None,
) -> Floats:
    """Run the circuit; row i holds far, near, gauge and pump-inlet pressure after i steps.

    Linearly implicit Euler: stable whatever the conductances, and it conserves gas.
    ``evaporate(far_pa, step_s)`` gives the further load of a pool or of ice, Pa L/s.
    """
    step_s = drive.step_s
    far, near, gauge, inlet = start
    r_visc = _VISCOUS_PER_PA * circuit.restriction_d_cm**4 / circuit.restriction_l_cm / 2
    r_mol = _MOLECULAR * circuit.restriction_d_cm**3 / circuit.restriction_l_cm
    h_visc = _VISCOUS_PER_PA * circuit.hose_d_cm**4 / circuit.hose_l_cm / 2
    h_mol = _MOLECULAR * circuit.hose_d_cm**3 / circuit.hose_l_cm
    pump, ultimate = circuit.pump_l_s, circuit.ultimate_pa
    far_dt, near_dt = circuit.far_l / step_s, circuit.near_l / step_s
    follow = 1.0 - exp(-step_s / circuit.lag_s)
    at_far = circuit.gauge_at_far
    rows = [start]
    for load_far, load_near, opening in zip(
        drive.far_load.tolist(), drive.near_load.tolist(), drive.hose_opening.tolist(), strict=True
    ):
        if evaporate is not None:
            load_far += evaporate(far, step_s)
        hose = opening * (h_visc * (near + inlet) + h_mol)
        drain = pump * hose / (pump + hose)
        link = r_visc * (far + near) + r_mol
        a, d = far_dt + link, near_dt + link + drain
        b1 = far_dt * far + load_far
        b2 = near_dt * near + load_near + drain * ultimate
        scale = 1.0 / (a * d - link * link)
        far, near = (d * b1 + link * b2) * scale, (link * b1 + a * b2) * scale
        inlet = (pump * ultimate + hose * near) / (pump + hose)
        gauge += follow * ((far if at_far else near) - gauge)
        rows.append((far, near, gauge, inlet))
    return np.array(rows)
