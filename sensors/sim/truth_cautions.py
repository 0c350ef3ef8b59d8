"""Which cautions should stand in a simulated run, and when."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sensors.sim.scenario import Scenario, ScriptedAction
from sensors.sim.truth_log import StateLog

SILENCE_S = 30.0  # common practice, as the analysis' default
COLD_C = 10.0
LET_IN_S = 30.0  # gas may still be flowing in for this long
STALL_WINDOW_S = 300.0
STALL_SHARE = 0.1
STALL_PA = 66.7  # 500 micron, the usual limit before a hold (common practice)


@dataclass(frozen=True, slots=True)
class CautionTruth:
    """A caution that should stand from about ``from_s``; ``until_s`` is ``None`` at the end."""

    kind: str
    from_s: float
    until_s: float | None


def tell_cautions(
    scenario: Scenario,
    states: Sequence[StateLog],
    actions: Sequence[ScriptedAction],
    gaps: Iterable[tuple[float, float]],
    first_visible_s: float,
) -> tuple[CautionTruth, ...]:
    """Say which cautions a run deserves, from what was done and how the circuit went."""
    found = [CautionTruth("no-signal", a, b) for a, b in gaps if b - a > SILENCE_S]
    if scenario.is_gauge_shut_off:
        found.append(CautionTruth("gauge-shut-off", 0.0, None))
    found.extend(_spans("cold", states, [s.temperature_c < COLD_C for s in states]))
    found.extend(_spans("ice", states, [s.is_frozen for s in states]))
    if scenario.has_stalled:
        found.extend(_stall(states))
    found.extend(_rises(states, actions))
    boiled = [s.time_s for s in states if s.is_boiling and s.is_pumped]
    if boiled and not scenario.is_gauge_shut_off and first_visible_s > boiled[0]:
        until_s = None if math.isinf(first_visible_s) else first_visible_s
        found.append(CautionTruth("no-bursts-seen", boiled[0], until_s))
    return tuple(sorted(found, key=lambda caution: caution.from_s))


def _spans(kind: str, states: Sequence[StateLog], stands: list[bool]) -> Iterator[CautionTruth]:
    from_s: float | None = None
    for state, is_standing in zip(states, stands, strict=True):
        if is_standing and from_s is None:
            from_s = state.time_s
        elif not is_standing and from_s is not None:
            yield CautionTruth(kind, from_s, state.time_s)
            from_s = None
    if from_s is not None:
        yield CautionTruth(kind, from_s, None)


def _stall(states: Sequence[StateLog]) -> Iterator[CautionTruth]:
    """From when the base line, still too high, fell by less than a tenth in five minutes."""
    first = 0
    for state in states:
        while states[first].time_s < state.time_s - STALL_WINDOW_S:
            first += 1
        if state.time_s < STALL_WINDOW_S or not state.is_pumped or state.base_pa < STALL_PA:
            continue
        if state.base_pa > (1.0 - STALL_SHARE) * states[first].base_pa:
            yield CautionTruth("not-pulling-down", state.time_s, None)
            return


def _back_s(states: Sequence[StateLog], from_s: float) -> float | None:
    """When the pressure has come back to under twice what it was before ``from_s``."""
    before_pa = [s.pressure_pa for s in states if s.time_s < from_s][-1:] or [0.0]
    later = (s for s in states if s.time_s > from_s + LET_IN_S)
    return next((s.time_s for s in later if s.pressure_pa < 2.0 * before_pa[0]), None)


def _rises(states: Sequence[StateLog], actions: Sequence[ScriptedAction]) -> Iterator[CautionTruth]:
    """Pump stopped or leak opened: ``rising``; much air at once: ``sudden-rise``."""
    undo = {"pump-off": "pump-on"}
    has_open_valve = True
    for i, action in enumerate(actions):
        if action.action in ("close-valve", "nitrogen-in"):
            has_open_valve = False
        elif action.action == "open-valve":
            has_open_valve = True
        if action.action in ("air-in", "nitrogen-in"):
            yield CautionTruth("sudden-rise", action.time_s, _back_s(states, action.time_s))
        elif action.action == "leak-opens" or (action.action == "pump-off" and has_open_valve):
            ends = (a.time_s for a in actions[i:] if a.action == undo.get(action.action))
            yield CautionTruth("rising", action.time_s, next(ends, None))
