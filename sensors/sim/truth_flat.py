"""The rate of visible bursts over time, and the true time of flat that follows from it."""

import copy
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sensors.sim.boiloff import BurstLaw
from sensors.sim.circuit import Circuit
from sensors.sim.response import peak_share
from sensors.sim.scenario import Scenario
from sensors.sim.truth_log import StateLog
from sensors.sim.water import vapour_rise_pa

LOOK_AHEAD_S = 48 * 3600.0
AHEAD_STEP_S = 2.0
AHEAD_LOG_SHARE = 0.02  # of the time looked ahead so far: the rate changes ever more slowly


@dataclass(frozen=True, slots=True)
class RateCurve:
    """Rate of visible bursts: time, rate (1/s), and the noise and base line that go with it.

    All (n,) float64. The rate is 0 where nothing boils, NaN where nothing is pumped.
    """

    time_s: npt.NDArray[np.float64]
    per_s: npt.NDArray[np.float64]
    noise_pa: npt.NDArray[np.float64]
    base_pa: npt.NDArray[np.float64]


def visible_rate(circuit: Circuit, states: Sequence[StateLog], flat_interval_s: float) -> RateCurve:
    """Tell the rate of visible bursts from the logged states and, while it must, from ahead."""
    scenario = circuit.scenario
    curve = _curve_of(scenario, states)
    if scenario.bursts is None or not states[-1].is_pumped:
        return curve
    if scenario.ice is None and not curve.per_s[-1] >= 1.0 / flat_interval_s:
        return curve
    ahead = _look_ahead(circuit, flat_interval_s)
    return _curve_of(scenario, [*states, *ahead]) if ahead else curve


def last_crossing(curve: RateCurve, flat_interval_s: float) -> float | None:
    """Time at which the rate falls below one per flat interval and stays below."""
    per_s = np.nan_to_num(curve.per_s, nan=0.0)
    above = np.flatnonzero(per_s >= 1.0 / flat_interval_s)
    if above.size == 0 or above[-1] + 1 >= per_s.size:
        return None
    last = int(above[-1])
    if math.isnan(curve.per_s[last + 1]):
        return None
    high, low = math.log(per_s[last]), math.log(max(per_s[last + 1], 1e-12))
    share = (high - math.log(1.0 / flat_interval_s)) / max(high - low, 1e-12)
    return float(curve.time_s[last] + share * (curve.time_s[last + 1] - curve.time_s[last]))


def _curve_of(scenario: Scenario, states: Sequence[StateLog]) -> RateCurve:
    time_s = np.array([state.time_s for state in states])
    base_pa = np.array([state.base_pa for state in states])
    noise_pa = np.array([scenario.gauge.noise_at(state.base_pa) for state in states])
    if scenario.bursts is None:
        return RateCurve(time_s, np.zeros_like(time_s), noise_pa, base_pa)
    per_s = _rates(scenario, scenario.bursts, states, noise_pa)
    return RateCurve(time_s, per_s, noise_pa, base_pa)


def _rates(
    scenario: Scenario,
    law: BurstLaw,
    states: Sequence[StateLog],
    noise_pa: npt.NDArray[np.float64],
) -> npt.NDArray[np.float64]:
    """Rate of all bursts times the share of them that is visible (sizes are log-normal)."""
    fall_s = np.array([state.fall_s for state in states])
    part = peak_share(np.full_like(fall_s, law.release_s), fall_s, scenario.gauge.lag_s)
    rates = np.zeros(len(states))
    for i, state in enumerate(states):
        if not state.is_pumped:
            rates[i] = math.nan
            continue
        if not state.is_boiling:
            continue
        mass_kg = law.median_ug_at(state.drying_s) * 1e-9
        rise_pa = vapour_rise_pa(mass_kg, scenario.volume_m3, state.temperature_c)
        rise_pa *= state.factor * float(part[i])
        margin = math.log(max(rise_pa, 1e-300) / (5.0 * noise_pa[i])) / law.size_spread
        share = 0.5 * math.erfc(-margin / math.sqrt(2.0))
        rates[i] = law.rate_at(state.drying_s) * share
    return rates


def _look_ahead(circuit: Circuit, flat_interval_s: float) -> list[StateLog]:
    """Let a copy of the circuit run on without new bursts until the rate is low for good."""
    ahead = copy.deepcopy(circuit)
    states: list[StateLog] = []
    end_s = circuit.time_s + LOOK_AHEAD_S
    while ahead.time_s < end_s:
        # The fast start (air, fresh gas) is over by now: the steps are exact for what is left.
        log_s = max(20.0, AHEAD_LOG_SHARE * (ahead.time_s - circuit.time_s))
        for _ in range(round(log_s / AHEAD_STEP_S)):
            ahead.step(AHEAD_STEP_S)
        states.append(StateLog.of(ahead))
        if ahead.has_pool or not states[-1].is_boiling:
            continue
        curve = _curve_of(ahead.scenario, states[-1:])
        if curve.per_s[0] < 0.5 / flat_interval_s:
            break
    return states
