"""The circuit: its state, and one step of V dP/dt = -S_eff (P - P_ultimate) + Q."""

import math

from sensors.sim.boiloff import BurstPlan
from sensors.sim.hose import transition_factor
from sensors.sim.ice import ColdSpot
from sensors.sim.pump import fall_slope_m3_s
from sensors.sim.scenario import ACTIONS, Scenario
from sensors.sim.water import KELVIN, boiling_pa, vapour_rise_pa

ATMOSPHERE_PA = 101325.0
NITROGEN_PA_PER_S = 4000.0  # a regulator fills a small circuit in about half a minute
AIR_IN_S = 2.0
BOILING_CHECK_S = 10.0  # the temperature drifts slowly: the boiling pressure is renewed this often


class Circuit:
    """One volume with three parts of pressure: dry gas, outgassed water, burst water.

    The parts obey linear equations while S_eff stands still, so each step is the exact
    exponential; S_eff follows the pressure from step to step (good for steps well under the
    fall time). Burst water is kept apart only so that the truth about bursts is known.
    """

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.time_s = 0.0
        self.drying_s = 0.0
        self.dry_pa = scenario.start_pa
        self.smooth_pa = 0.0
        self.burst_pa = 0.0
        self.temperature_c = scenario.temperature_c
        ice = scenario.ice
        self.cold_spot = ColdSpot(ice, scenario.temperature_c) if ice else None
        self.leak_pa_m3_s = scenario.leak_pa_m3_s
        self.has_open_valve = True
        self.has_running_pump = True
        self.throttle = 1.0
        self.near_share = scenario.near_share
        self._boiling_pa = boiling_pa(scenario.temperature_c)
        self._boiling_from_s = 0.0
        self._inlet_pa = scenario.start_pa
        self._speed_m3_s = scenario.pump.speed_m3_s  # S_eff in the last step
        self._fill_left_pa = 0.0
        self._fill_pa_per_s = 0.0
        self._releases: list[list[float]] = []  # [Pa left, 1/s]
        self._viscous = scenario.hose.viscous_m3_s_per_pa
        self._molecular = scenario.hose.molecular_m3_s(scenario.temperature_c)

    @property
    def pressure_pa(self) -> float:
        """True total pressure."""
        return self.dry_pa + self.smooth_pa + self.burst_pa

    @property
    def pump_side_pa(self) -> float:
        """True total pressure between the isolating valve and the pump.

        The same gas passes both ends: S (P_pump - P_ultimate) = S_eff (P - P_ultimate). A pump
        that stands behind the closed valve is taken as vented.
        """
        pump = self.scenario.pump
        if not self.has_running_pump:
            return self.pressure_pa if self.has_open_valve else ATMOSPHERE_PA
        if not self.has_open_valve:
            return pump.ultimate_pa
        share = self._speed_m3_s / pump.speed_m3_s
        return pump.ultimate_pa + share * max(self.pressure_pa - pump.ultimate_pa, 0.0)

    @property
    def is_pumped(self) -> bool:
        """Whether the pump is drawing from the circuit."""
        return self.has_open_valve and self.has_running_pump

    @property
    def is_frozen(self) -> bool:
        """Whether the ice now decides the pressure (and what is frozen cannot boil)."""
        spot = self.cold_spot
        return spot is not None and spot.is_ice and self.pressure_pa < 1.1 * spot.pressure_pa

    @property
    def has_pool(self) -> bool:
        """Whether water or ice is left at the cold spot."""
        return self.cold_spot is not None and self.cold_spot.kg > 0.0

    @property
    def is_boiling(self) -> bool:
        """Whether water in the circuit can boil at this pressure and temperature."""
        return self.pressure_pa < self._boiling_pa and not self.is_frozen

    def fall_s(self) -> float:
        """Time constant with which a small bump of burst water falls now."""
        slope = self.scenario.outgassing.conductance_m3_s
        if self.is_pumped:
            slope += self.throttle * fall_slope_m3_s(
                self.scenario.pump, self.scenario.hose, self.pressure_pa
            )
        return self.scenario.volume_m3 / slope if slope > 0.0 else 1e9

    def start_burst(self, plan: BurstPlan) -> float:
        """Begin a burst; return the pressure it adds in all, Pa."""
        rise_pa = vapour_rise_pa(plan.mass_kg, self.scenario.volume_m3, self.temperature_c)
        self._releases.append([rise_pa, 1.0 / plan.release_s])
        return rise_pa

    def act(self, action: str, value: float | None = None) -> None:
        """Do one of ``ACTIONS``; repeating one (closing a closed valve) changes nothing."""
        value = ACTIONS[action] if value is None else value
        if action in ("close-valve", "open-valve"):
            self.has_open_valve = action == "open-valve"
            self._fill_left_pa = 0.0
        elif action in ("pump-off", "pump-on"):
            self.has_running_pump = action == "pump-on"
        elif action == "nitrogen-in":
            self.has_open_valve = False
            self._fill_left_pa = max(0.0, value - self.pressure_pa)
            self._fill_pa_per_s = NITROGEN_PA_PER_S
        elif action == "air-in":
            self._fill_left_pa = value
            self._fill_pa_per_s = value / AIR_IN_S
        elif action == "leak-opens":
            self.leak_pa_m3_s += value
        else:
            self.throttle = value

    def step(self, step_s: float) -> None:
        """Go on by ``step_s`` seconds."""
        speed = self._speed_m3_s = self._effective_speed_m3_s()
        self._step_dry(speed, step_s)
        self._step_water(speed, step_s)
        if self.is_boiling:
            self.drying_s += step_s
        self.time_s += step_s
        self._step_slow(step_s)

    def _effective_speed_m3_s(self) -> float:
        if not (self.has_open_valve and self.has_running_pump):
            return 0.0
        pressure = self.dry_pa + self.smooth_pa + self.burst_pa
        mean = 0.5 * (pressure + min(self._inlet_pa, pressure))
        molecular = self._molecular * transition_factor(self.scenario.hose.diameter_m * mean)
        conductance = self._viscous * mean + molecular
        pump = self.scenario.pump.speed_m3_s
        # The inlet pressure of this step serves the next one: it settles within a few steps.
        self._inlet_pa = pressure * conductance / (pump + conductance)
        return self.throttle * pump * conductance / (pump + conductance)

    def _step_dry(self, speed_m3_s: float, step_s: float) -> None:
        scenario, volume = self.scenario, self.scenario.volume_m3
        inflow = self.leak_pa_m3_s
        if self.has_open_valve and not self.has_running_pump:
            inflow += scenario.pump.backflow_pa_m3_s
        # A leak is choked or viscous; either way it ends where the circuit is full of air.
        inflow *= max(0.0, 1.0 - (self.dry_pa / ATMOSPHERE_PA) ** 2)
        if speed_m3_s > 0.0:
            settled = scenario.pump.ultimate_pa + inflow / speed_m3_s
            keep = math.exp(-speed_m3_s * step_s / volume)
            self.dry_pa = settled + (self.dry_pa - settled) * keep
        else:
            self.dry_pa += inflow * step_s / volume
        if self._fill_left_pa > 0.0:
            added = min(self._fill_left_pa, self._fill_pa_per_s * step_s)
            self._fill_left_pa -= added
            self.dry_pa += added

    def _step_water(self, speed_m3_s: float, step_s: float) -> None:
        out, volume = self.scenario.outgassing, self.scenario.volume_m3
        outflow = speed_m3_s + out.conductance_m3_s
        inflow = out.conductance_m3_s * out.equilibrium_at(self.drying_s)
        spot = self.cold_spot if self.has_pool else None
        ready, own_pa = 0.0, 0.0
        if spot is not None:
            own_pa = spot.pressure_pa
            ready = spot.conductance_m3_s if self.smooth_pa < own_pa else 0.0
            outflow += ready
            inflow += ready * own_pa
        if outflow > 0.0:
            span = outflow * step_s / volume
            keep = math.exp(-span)
            settled = inflow / outflow
            if spot is not None:
                mean_pa = settled + (self.smooth_pa - settled) * (1.0 - keep) / span
                gas_pa_m3 = ready * max(0.0, own_pa - mean_pa) * step_s
                spot.lose(gas_pa_m3, self.temperature_c, step_s)
            self.smooth_pa = settled + (self.smooth_pa - settled) * keep
        else:
            keep = 1.0
        self.burst_pa *= keep
        if self._releases:
            self._release(math.sqrt(keep), step_s)

    def _release(self, keep: float, step_s: float) -> None:
        for release in self._releases:
            given = release[0] * (1.0 - math.exp(-release[1] * step_s))
            release[0] -= given
            self.burst_pa += given * keep
        self._releases = [r for r in self._releases if r[0] > 1e-6]

    def _step_slow(self, step_s: float) -> None:
        """Temperature, and the even-out between the circuit's ends after isolation."""
        scenario = self.scenario
        if scenario.near_share != 1.0:
            aim = scenario.near_share if self.is_pumped else 1.0
            self.near_share = aim + (self.near_share - aim) * math.exp(-step_s / scenario.near_s)
        if scenario.temperature_drift_c_per_h == 0.0:
            return
        change = scenario.temperature_drift_c_per_h * step_s / 3600.0
        ratio = 1.0 + change / (self.temperature_c + KELVIN)
        self.temperature_c += change
        self.dry_pa *= ratio
        self.smooth_pa *= ratio
        self.burst_pa *= ratio
        if self.time_s - self._boiling_from_s > BOILING_CHECK_S:
            self._boiling_from_s = self.time_s
            self._boiling_pa = boiling_pa(self.temperature_c)
