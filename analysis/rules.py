"""The settings of the analysis, validated once, SI inside."""

import math
from dataclasses import dataclass, field, fields

from analysis.closing.blank_off import BlankOffRules
from analysis.hold.rules import MICRON_PA, HoldRules
from analysis.pump.flow import Hose
from analysis.pump.rig import Rig

__all__ = ["MICRON_PA", "EvacuationRules"]


@dataclass(frozen=True, kw_only=True)
class EvacuationRules:
    """What the analysis needs to be told; every default is common practice without a source.

    Attributes
    ----------
    flat_interval_s
        Flat is when the rate of visible bursts is below one per this time.
    circuit_c
        Temperature of the circuit's coldest part, used where the gauge reports none.
    volume_m3
        Volume of the circuit, or ``None`` when unknown.
    water_gauge_factor
        How many times the gauge overstates water vapour (an air-calibrated thermal one about
        1.5); 1 takes its readings as they are.
    flat_below_pa
        Flat is never called on a trace that stands higher than this.
    silence_s
        Without a reading for this long the caution ``no-signal`` stands; of a gauge that itself
        reads more rarely only after three of its own pauses.
    quiet_start_s
        A circuit that never boiled counts as flat after this long without a burst: at one burst
        per flat interval the chance of that is exp(-1800/600), five in a hundred.
    cold_c, warm_c
        ``cold`` is raised under ``cold_c`` and lowered over ``warm_c`` (two degrees apart, so that
        it does not flicker).
    rig_volume_m3
        Volume of hoses, gauge and the pump's inlet, or ``None`` when unknown.
    pump_speed_m3_s, hose_bore_m, hose_length_m
        The rig, or ``None`` where unknown: the three together make S_eff surer.
    hold
        The limits of the standing test.
    blank_off
        The limits of the blank-off test.

    Raises
    ------
    ValueError
        If a number is not finite or out of its range; the text names the setting.
    """

    flat_interval_s: float = 600.0
    circuit_c: float = 20.0
    volume_m3: float | None = None
    water_gauge_factor: float = 1.0
    flat_below_pa: float = 500 * MICRON_PA
    silence_s: float = 30.0
    quiet_start_s: float = 1800.0
    cold_c: float = 10.0
    warm_c: float = 12.0
    rig_volume_m3: float | None = None
    pump_speed_m3_s: float | None = None
    hose_bore_m: float | None = None
    hose_length_m: float | None = None
    hold: HoldRules = field(default_factory=HoldRules)
    blank_off: BlankOffRules = field(default_factory=BlankOffRules)

    def __post_init__(self) -> None:
        for item in fields(self):
            value = getattr(self, item.name)
            if value is None or not isinstance(value, int | float):
                continue
            if not math.isfinite(value):
                raise ValueError(f"{item.name} must be a number, not {value}")
            if not item.name.endswith("_c") and value <= 0:
                raise ValueError(f"{item.name} must be above zero, not {value:g}")
        if not -60.0 <= self.circuit_c <= 120.0:
            raise ValueError(f"circuit_c must lie between -60 and 120, not {self.circuit_c:g}")

    @property
    def rig(self) -> Rig | None:
        """Pump and hose, once all of them are known; a core may be in the port."""
        if self.pump_speed_m3_s is None or self.hose_bore_m is None or self.hose_length_m is None:
            return None
        return Rig(self.pump_speed_m3_s, Hose(self.hose_bore_m, self.hose_length_m))
