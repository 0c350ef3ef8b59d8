"""One running simulation: the circuit, its bursts, its script and its gauge, reading by reading."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sensors.events import Reading, Status
from sensors.sim.boiloff import NO_BURST, plan_bursts
from sensors.sim.circuit import Circuit
from sensors.sim.gauge import Gauge
from sensors.sim.scenario import Scenario, ScriptedAction
from sensors.sim.scenarios import scenario_named
from sensors.sim.truth import Truth, tell_truth
from sensors.sim.truth_log import BurstLog, StateLog

MAX_STEP_S = 0.25
LOG_EVERY_S = 10.0


class Simulation:
    """A scenario under way. The same seed and actions give the same readings, bit for bit.

    Parameters
    ----------
    scenario
        What to play.
    seed
        Of all random numbers; ``None`` for the scenario's own.
    rate_hz
        Mean readings a second; ``None`` for the scenario's own.
    is_at_pump
        The gauge sits at the pump, before the isolating valve: another gauge on the same circuit.

    Raises
    ------
    ValueError
        If ``rate_hz`` is not above zero.
    """

    def __init__(
        self,
        scenario: Scenario,
        *,
        seed: int | None = None,
        rate_hz: float | None = None,
        is_at_pump: bool = False,
    ) -> None:
        rate_hz = scenario.rate_hz if rate_hz is None else rate_hz
        if not (0.0 < rate_hz < math.inf):
            raise ValueError("rate must be above zero")
        seed = scenario.seed if seed is None else seed
        boiling_seed, far_seed, pump_seed = np.random.SeedSequence(seed).spawn(3)
        gauge_seed = pump_seed if is_at_pump else far_seed
        self.scenario, self.is_at_pump = scenario, is_at_pump
        self.circuit = Circuit(scenario)
        self.gauge = Gauge(scenario.gauge, np.random.default_rng(gauge_seed), rate_hz)
        self.next_s = 0.0
        self.actions: list[ScriptedAction] = []
        self._plans = plan_bursts(scenario.bursts, np.random.default_rng(boiling_seed))
        self._plan = next(self._plans, NO_BURST)
        self._script = sorted(scenario.script, key=lambda step: step.time_s)[::-1]
        self._bursts: list[BurstLog] = []
        self._states: list[StateLog] = []
        self._play_script()
        self._follow(0.0)

    def act(self, action: str, value: float | None = None) -> None:
        """Do something to the circuit now, at the time of the last reading."""
        step = ScriptedAction(self.circuit.time_s, action, value)
        self.circuit.act(action, value)
        self.actions.append(step)
        self._log()

    def advance(self) -> Reading:
        """Go on to the next reading and take it."""
        time_s = self.next_s
        self._run_to(time_s)
        reading = self.gauge.read(time_s, self.circuit.temperature_c)
        self.next_s = time_s + self.gauge.pause_s(time_s)
        return reading

    def truth(self, flat_interval_s: float = 600.0) -> Truth:
        """Tell what was true so far, and when flat will come if all goes on as it is."""
        return tell_truth(
            self.circuit,
            bursts=self._bursts,
            states=self._states,
            actions=self.actions,
            gaps=self.gauge.gaps,
            flat_interval_s=flat_interval_s,
        )

    def _run_to(self, end_s: float) -> None:
        circuit = self.circuit
        while True:
            self._play_script()
            left_s = end_s - circuit.time_s
            if left_s <= 1e-9:
                break
            step_s = min(left_s, MAX_STEP_S)
            if self._script:
                step_s = min(step_s, max(1e-9, self._script[-1].time_s - circuit.time_s))
            if circuit.is_boiling:
                step_s = min(step_s, max(1e-9, self._plan.drying_s - circuit.drying_s))
            self._follow(step_s)
        circuit.time_s = max(circuit.time_s, end_s)

    def _play_script(self) -> None:
        while self._script and self._script[-1].time_s <= self.circuit.time_s:
            step = self._script.pop()
            self.act(step.action, step.value)

    def _follow(self, step_s: float) -> None:
        circuit = self.circuit
        if step_s > 0.0:
            circuit.step(step_s)
        water_pa = circuit.smooth_pa + circuit.burst_pa
        factor = self.scenario.gauge.factor_at(circuit.dry_pa + water_pa)
        self.gauge.follow(self._shown_pa(circuit.dry_pa + factor * water_pa), step_s)
        while circuit.drying_s >= self._plan.drying_s - 1e-9:
            self._begin_burst(factor * circuit.near_share)
        if not self._states or circuit.time_s >= self._states[-1].time_s + LOG_EVERY_S:
            self._log()

    def _shown_pa(self, shown_far_pa: float) -> float:
        """Give what the gauge would show without lag, from what it would in the circuit."""
        circuit = self.circuit
        if not self.is_at_pump:
            return shown_far_pa * circuit.near_share
        if not circuit.has_open_valve:  # none of the circuit's gas is there
            return circuit.pump_side_pa
        return shown_far_pa * circuit.pump_side_pa / max(circuit.pressure_pa, 1e-9)

    def _begin_burst(self, factor: float) -> None:
        circuit, plan = self.circuit, self._plan
        rise_pa = circuit.start_burst(plan)
        self._bursts.append(
            BurstLog(
                time_s=circuit.time_s,
                mass_kg=plan.mass_kg,
                release_s=plan.release_s,
                fall_s=circuit.fall_s(),
                full_rise_pa=rise_pa * factor,
                noise_pa=self.scenario.gauge.noise_at(self.gauge.seen_pa),
            )
        )
        self._plan = next(self._plans, NO_BURST)

    def _log(self) -> None:
        self._states.append(StateLog.of(self.circuit))


@dataclass(frozen=True, slots=True)
class Trace:
    """Readings as arrays.

    Attributes
    ----------
    time_s, pressure_pa, temperature_c
        (n,) float64; the temperature is NaN where the gauge has none.
    status
        One for each reading.
    """

    time_s: npt.NDArray[np.float64]
    pressure_pa: npt.NDArray[np.float64]
    temperature_c: npt.NDArray[np.float64]
    status: tuple[Status, ...]


def generate(
    scenario: Scenario | str,
    seed: int | None = None,
    rate_hz: float | None = None,
    duration_s: float | None = None,
) -> tuple[Trace, Truth]:
    """Play a scenario as fast as possible.

    Parameters
    ----------
    scenario
        Name or data.
    seed, rate_hz, duration_s
        ``None`` for the scenario's own.

    Returns
    -------
    Trace, Truth
        Readings from time 0 up to ``duration_s``, and what was true.

    Raises
    ------
    KeyError
        If no scenario has that name.

    Examples
    --------
    >>> trace, truth = generate("dry", seed=1, rate_hz=1.0, duration_s=60.0)
    >>> len(trace.time_s) > 50, len(truth.bursts)
    (True, 0)
    """
    if isinstance(scenario, str):
        scenario = scenario_named(scenario)
    duration_s = scenario.duration_s if duration_s is None else duration_s
    simulation = Simulation(scenario, seed=seed, rate_hz=rate_hz)
    readings = []
    while simulation.next_s <= duration_s:
        readings.append(simulation.advance())
    missing = math.nan
    trace = Trace(
        np.array([r.time_s for r in readings]),
        np.array([r.pressure_pa for r in readings]),
        np.array([missing if r.temperature_c is None else r.temperature_c for r in readings]),
        tuple(r.status for r in readings),
    )
    return trace, simulation.truth()
