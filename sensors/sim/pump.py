"""The pump behind its hose: what speed is left at the circuit, and how fast a bump falls."""

from dataclasses import dataclass

from sensors.sim.hose import Hose


@dataclass(frozen=True, slots=True)
class Pump:
    """A two-stage rotary pump.

    Attributes
    ----------
    speed_m3_s
        Pumping speed at its inlet, taken as constant down to near the ultimate pressure.
    ultimate_pa
        Lowest pressure that it reaches, at a shut inlet.
    backflow_pa_m3_s
        Air it lets back when it stands still with its valve open.
    """

    speed_m3_s: float
    ultimate_pa: float = 3.0
    backflow_pa_m3_s: float = 0.02


def effective_speed_m3_s(pump: Pump, hose: Hose, pressure_pa: float) -> float:
    """Pumping speed at the circuit, S C / (S + C), with C at the hose's own mean pressure.

    The pressure at the pump's inlet depends on C and C on it, so the pair is solved by bisection.
    """
    low, high = 0.0, pressure_pa
    for _ in range(50):
        inlet = 0.5 * (low + high)
        through = hose.conductance_m3_s(0.5 * (pressure_pa + inlet)) * (pressure_pa - inlet)
        if through > pump.speed_m3_s * inlet:
            low = inlet
        else:
            high = inlet
    conductance = hose.conductance_m3_s(0.5 * (pressure_pa + 0.5 * (low + high)))
    return pump.speed_m3_s * conductance / (pump.speed_m3_s + conductance)


def fall_slope_m3_s(pump: Pump, hose: Hose, pressure_pa: float) -> float:
    """d(S_eff (P - P_ultimate)) / dP: a small bump falls with the volume divided by this.

    It is larger than S_eff because S_eff itself grows with pressure.
    """
    step = max(1e-3, 1e-3 * pressure_pa)
    high = effective_speed_m3_s(pump, hose, pressure_pa + step)
    low = effective_speed_m3_s(pump, hose, max(0.0, pressure_pa - step))
    above = high * (pressure_pa + step - pump.ultimate_pa)
    below = low * (max(0.0, pressure_pa - step) - pump.ultimate_pa)
    return (above - below) / (pressure_pa + step - max(0.0, pressure_pa - step))
