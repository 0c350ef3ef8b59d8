"""What each hold of a simulated run should find."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sensors.sim.scenario import Scenario, ScriptedAction
from sensors.sim.truth_log import StateLog

# A rise of 100 micron in 10 minutes is where common practice (no source) draws the line.
LIMIT_PA = 13.33224
LIMIT_S = 600.0


@dataclass(frozen=True, slots=True)
class HoldTruth:
    """One time with the valve closed.

    ``leak_pa_s`` is the leak over the volume; ``vapour_pa`` how far the gauge would still rise by
    vapour from the closing on, ``vapour_s`` its time constant. ``finding`` counts a term when it
    alone would pass the common limit within the hold; ``None`` when only the sum would.
    """

    closed_s: float
    opened_s: float
    finding: Literal["held", "leak", "vapour", "both"] | None
    leak_pa_s: float
    vapour_pa: float
    vapour_s: float | None


def tell_holds(
    scenario: Scenario,
    states: Sequence[StateLog],
    actions: Sequence[ScriptedAction],
    end_s: float,
) -> tuple[HoldTruth, ...]:
    """Find every closing of the valve and say what should be seen after it."""
    holds = []
    previous = True
    for i, state in enumerate(states):
        if previous and not state.has_open_valve and not _was_filled(state.time_s, actions):
            opened = (later.time_s for later in states[i:] if later.has_open_valve)
            holds.append(_tell_hold(scenario, state, next(opened, end_s)))
        previous = state.has_open_valve
    return tuple(holds)


def _was_filled(time_s: float, actions: Sequence[ScriptedAction]) -> bool:
    """Whether the valve was closed to let nitrogen in: that is no hold."""
    return any(a.action == "nitrogen-in" and abs(a.time_s - time_s) < 60.0 for a in actions)


def _tell_hold(scenario: Scenario, state: StateLog, opened_s: float) -> HoldTruth:
    duration_s = max(LIMIT_S, opened_s - state.time_s)
    leak_pa_s = state.leak_pa_m3_s / scenario.volume_m3
    conductance = scenario.outgassing.conductance_m3_s
    vapour_pa = 0.0
    if conductance > 0.0:
        vapour_pa = max(0.0, state.equilibrium_pa - state.water_pa) * state.factor
    has_leak = leak_pa_s * duration_s >= LIMIT_PA * duration_s / LIMIT_S
    has_vapour = vapour_pa >= LIMIT_PA
    finding: Literal["held", "leak", "vapour", "both"] | None = "held"
    if has_leak and has_vapour:
        finding = "both"
    elif has_leak or has_vapour:
        finding = "leak" if has_leak else "vapour"
    elif leak_pa_s * LIMIT_S + vapour_pa >= LIMIT_PA:
        finding = None
    return HoldTruth(
        closed_s=state.time_s,
        opened_s=opened_s,
        finding=finding,
        leak_pa_s=leak_pa_s,
        vapour_pa=vapour_pa,
        vapour_s=scenario.volume_m3 / conductance if conductance > 0.0 else None,
    )
