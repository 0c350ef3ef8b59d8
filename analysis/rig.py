"""What hose and core leave of the pump: the cheapest way to a shorter evacuation."""

from dataclasses import dataclass

from analysis.flow import Hose, aperture_conductance_m3_s, conductance_m3_s, effective_speed_m3_s

# The opening that a core leaves in a service port, its pin pressed: some 2 mm2, found by looking
# into one [practice, rough]. Removing the core through a coupler with a valve frees the port.
CORE_OPENING_M2 = 2e-6


@dataclass(frozen=True, slots=True)
class Rig:
    """Pump, hose and port between the pump and the circuit."""

    pump_speed_m3_s: float
    hose: Hose
    has_core: bool = True

    def speed_m3_s(self, pressure_pa: float) -> float:
        """Give S_eff at the circuit, m3/s: pump, hose and core one after the other.

        The hose's mean pressure is taken as half the circuit's, as at a good pump; good to some
        tens of per cent, enough to choose between hoses.

        Examples
        --------
        >>> thin = Rig(1.2e-3, Hose(0.0048, 1.5)).speed_m3_s(67.0)
        >>> wide = Rig(1.2e-3, Hose(0.0095, 1.0), has_core=False).speed_m3_s(67.0)
        >>> wide > 10 * thin
        True
        """
        through_hose = conductance_m3_s(self.hose, 0.5 * pressure_pa)
        speed = effective_speed_m3_s(self.pump_speed_m3_s, through_hose)
        if self.has_core:
            speed = effective_speed_m3_s(speed, aperture_conductance_m3_s(CORE_OPENING_M2))
        return speed

    def share_left(self, pressure_pa: float) -> float:
        """Give the share of the pump's speed that reaches the circuit, 0 to 1."""
        return self.speed_m3_s(pressure_pa) / self.pump_speed_m3_s
