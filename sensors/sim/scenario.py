"""What a scenario is: a circuit, its rig, its water and what is done to it, as data."""

from dataclasses import dataclass, field

from sensors.sim.boiloff import BurstLaw, Outgassing
from sensors.sim.gauge import GaugeModel
from sensors.sim.hose import Hose
from sensors.sim.ice import Ice
from sensors.sim.pump import Pump

# What can be done to a running circuit, with the value used when none is given.
ACTIONS: dict[str, float] = {
    "close-valve": 0.0,
    "open-valve": 0.0,
    "pump-off": 0.0,
    "pump-on": 0.0,
    "nitrogen-in": 115e3,  # Pa reached, valve closed: 0.1 to 0.2 bar gauge is common practice
    "air-in": 3000.0,  # Pa let in within two seconds
    "leak-opens": 0.05,  # Pa m3/s added to the leak
    "throttle": 0.5,  # share of the pumping speed that a half-shut valve leaves
}


@dataclass(frozen=True, slots=True)
class ScriptedAction:
    """Something done at a simulated time; ``value`` as in ``ACTIONS``."""

    time_s: float
    action: str
    value: float | None = None

    def __post_init__(self) -> None:
        if self.action not in ACTIONS:
            raise ValueError(f"unknown action {self.action!r}; known: {', '.join(ACTIONS)}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """One invented circuit under an invented pump.

    Attributes
    ----------
    name, about
        Its name in ``sim:NAME``, and one line about it.
    duration_s
        How long it runs, simulated.
    volume_m3
        Volume that the gauge sees.
    temperature_c, temperature_drift_c_per_h
        Of the circuit; the gas follows it.
    start_pa
        Pressure at time zero, dry gas.
    near_share, near_s
        A gauge on the pump's side of a restriction sees this share of the circuit's pressure
        while pumping, and the whole of it after isolation, with this time constant.
    has_stalled
        True where leak, weak pump or thin hose is meant to keep the trace from coming down.
    is_gauge_shut_off
        True where the volume is the gauge's own only, and the circuit is not seen at all.
    """

    name: str
    about: str
    duration_s: float = 7200.0
    volume_m3: float = 2.5e-3
    temperature_c: float = 20.0
    temperature_drift_c_per_h: float = 0.0
    start_pa: float = 101325.0
    pump: Pump = field(default_factory=lambda: Pump(1.5e-3))
    hose: Hose = field(default_factory=lambda: Hose(6e-3, 1.2))
    bursts: BurstLaw | None = None
    outgassing: Outgassing = field(default_factory=Outgassing)
    ice: Ice | None = None
    leak_pa_m3_s: float = 0.0
    gauge: GaugeModel = field(default_factory=GaugeModel)
    rate_hz: float = 5.0
    seed: int = 1
    near_share: float = 1.0
    near_s: float = 40.0
    script: tuple[ScriptedAction, ...] = ()
    has_stalled: bool = False
    is_gauge_shut_off: bool = False
