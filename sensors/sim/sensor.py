"""The default sensor: a simulated gauge on a simulated circuit, in real time times a speed."""

import asyncio
import math
from collections import deque

from sensors.events import Connected, Emit, SensorError
from sensors.sim.scenario import ACTIONS
from sensors.sim.scenarios import SCENARIOS
from sensors.sim.simulation import Simulation
from sensors.sim.truth import Truth

TICK_S = 0.02  # well under one frame of the window
MOST_PER_TICK = 500  # readings; after a stall the loop stays free for other tasks


class SimSensor:
    """``sim:SCENARIO?seed=1&speed=1&rate=5``, and with ``at=pump`` the second gauge beside it.

    Readings are the same as ``generate`` gives for the same scenario, seed and rate; ``time_s``
    is simulated time, from 0.

    Parameters
    ----------
    scenario
        Name of a scenario.
    seed, rate_hz
        ``None`` for the scenario's own.
    speed
        Simulated seconds in each real one, > 0; ``inf`` for as fast as it goes.
    is_at_pump
        It reads at the pump. With the same scenario, seed and speed the circuit is the far one's,
        as long as both are told what is done to it.

    Raises
    ------
    SensorError
        Final, if there is no such scenario or an option makes no sense.
    """

    def __init__(
        self,
        scenario: str,
        *,
        seed: int | None = None,
        speed: float = 1.0,
        rate_hz: float | None = None,
        is_at_pump: bool = False,
    ) -> None:
        if scenario not in SCENARIOS:
            known = ", ".join(SCENARIOS)
            raise SensorError(f"No scenario “{scenario}”. Known: {known}.", is_final=True)
        if not speed > 0.0:
            raise SensorError("The simulator's speed must be above zero.", is_final=True)
        if rate_hz is not None and not 0.0 < rate_hz <= 1000.0:
            raise SensorError(
                "The simulator's rate must be above 0 and at most 1000.", is_final=True
            )
        if seed is not None and seed < 0:
            raise SensorError("The simulator's seed must not be below zero.", is_final=True)
        self.scenario = SCENARIOS[scenario]
        self.speed = speed
        self.seed = self.scenario.seed if seed is None else seed
        self.rate_hz = self.scenario.rate_hz if rate_hz is None else rate_hz
        self.is_at_pump = is_at_pump
        self.simulation: Simulation | None = None
        self._acts: deque[str] = deque()

    @property
    def name(self) -> str:
        """The address that opens this sensor again."""
        options = f"seed={self.seed}&speed={self.speed:g}&rate={self.rate_hz:g}"
        at = "&at=pump" if self.is_at_pump else ""
        return f"sim:{self.scenario.name}?{options}{at}"

    def act(self, action: str) -> None:
        """Do something to the running circuit, from any thread; see ``scenario.ACTIONS``.

        It takes effect just after the last reading. Before ``run`` it waits for the start.

        Raises
        ------
        ValueError
            If there is no such action.
        """
        if action not in ACTIONS:
            raise ValueError(f"unknown action {action!r}; known: {', '.join(ACTIONS)}")
        self._acts.append(action)

    def truth(self) -> Truth | None:
        """Tell what was true so far; ``None`` before ``run``. Call it from the loop's thread."""
        return self.simulation.truth() if self.simulation else None

    async def run(self, emit: Emit) -> None:
        """Play the scenario to its end, each time from the start."""
        simulation = Simulation(
            self.scenario, seed=self.seed, rate_hz=self.rate_hz, is_at_pump=self.is_at_pump
        )
        self.simulation = simulation
        emit(Connected(0.0, f"simulated: {self.scenario.about}"))
        loop = asyncio.get_running_loop()
        begun_s = loop.time()
        while simulation.next_s <= self.scenario.duration_s:
            due_s = math.inf
            if math.isfinite(self.speed):
                due_s = (loop.time() - begun_s) * self.speed
            self._play_to(simulation, due_s, emit)
            wait_s = (simulation.next_s - due_s) / self.speed if math.isfinite(due_s) else 0.0
            await asyncio.sleep(min(max(wait_s, 0.0), TICK_S))

    def _play_to(self, simulation: Simulation, due_s: float, emit: Emit) -> None:
        end_s = min(due_s, self.scenario.duration_s)
        for _ in range(MOST_PER_TICK):
            while self._acts:
                simulation.act(self._acts.popleft())
            if simulation.next_s > end_s:
                break
            emit(simulation.advance())
