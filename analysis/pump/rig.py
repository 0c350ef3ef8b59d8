"""What hose and core leave of the pump: the cheapest way to a shorter evacuation."""

from dataclasses import dataclass, replace
from typing import Final, Literal

from analysis.pump.flow import (
    Hose,
    aperture_conductance_m3_s,
    conductance_m3_s,
    effective_speed_m3_s,
)

# The opening that a core leaves in a service port, its pin pressed: some 2 mm2, found by looking
# into one [practice, rough]. Removing the core through a coupler with a valve frees the port.
CORE_OPENING_M2: Final = 2e-6
# Where a circuit boils for most of the time, and where a hold may begin: 500 micron [practice].
TYPICAL_PA: Final = 66.66
# A wide, short hose to compare with: 3/8 inch inside, 1 m.
WIDE_HOSE: Final = Hose(0.0095, 1.0)
_WORTH_WHILE: Final = 1.1  # a change that gains less is not worth a word


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


@dataclass(frozen=True, slots=True)
class RigChoice:
    """What one way to join the circuit leaves of the pump's speed.

    ``share_left`` is that share, 0 to 1; the same gas takes ``times_as_long`` to be taken away as
    with the pump right at the circuit.
    """

    name: Literal["as-it-is", "cores-out", "wide-hose"]
    share_left: float

    @property
    def times_as_long(self) -> float:
        """One over the share."""
        return 1.0 / self.share_left


def rig_choices(rig: Rig, pressure_pa: float = TYPICAL_PA) -> tuple[RigChoice, ...]:
    """Give the rig as it is, and what would be gained by the two usual changes, one upon another.

    Parameters
    ----------
    rig
        As it is.
    pressure_pa
        At the circuit.

    Examples
    --------
    >>> [choice.name for choice in rig_choices(Rig(1.2e-3, Hose(0.0064, 0.9)))]
    ['as-it-is', 'cores-out', 'wide-hose']
    """
    choices = [RigChoice("as-it-is", rig.share_left(pressure_pa))]
    changes = {"cores-out": replace(rig, has_core=False)}
    changes["wide-hose"] = replace(rig, has_core=False, hose=WIDE_HOSE)
    for name, changed in changes.items():
        share = changed.share_left(pressure_pa)
        if share > _WORTH_WHILE * choices[-1].share_left:
            choices.append(RigChoice(name, share))  # type: ignore[arg-type]
    return tuple(choices)
