"""What ``hold`` tells, as the one JSON object other programs rely on."""

from dataclasses import dataclass
from typing import Any

from analysis.hold.leak import LAWS, Refrigerant
from analysis.hold.length import LEAST_HOLDS, CircuitKind, LeastHold, hold_end
from analysis.reason import Interval
from analysis.snapshot import HoldResult
from app.hold.leak_words import assumption, losses_of, smallest_seen
from app.output.rig_json import interval_json, limit_json, reason_json
from app.words.sentences import Words

VERSION = 1


@dataclass(frozen=True, slots=True)
class HeldCircuit:
    """What is known of the circuit that was held."""

    volume_m3: float | None = None
    refrigerant: Refrigerant | None = None
    kind: CircuitKind = "normal"
    least: LeastHold = LEAST_HOLDS["normal"]


def as_json(result: HoldResult, circuit: HeldCircuit) -> dict[str, Any]:
    """Give the object of ``hold --json`` (version 1).

    Without a volume the throughputs (Pa m3/s) are ``None``.
    """
    words, volume_m3 = Words(), circuit.volume_m3
    smallest_pa_s = result.smallest_leak_seen_pa_s
    return {
        "version": VERSION,
        "finding": result.finding,
        "duration_s": result.duration_s,
        "rise_pa": result.rise_pa,
        "hold_longer_s": result.hold_longer_s,
        "leak_pa_s": interval_json(result.leak_pa_s),
        "leak_pa_m3_s": interval_json(result.leak_pa_s, volume_m3),
        "vapour_pa": interval_json(result.vapour_pa),
        "smallest_leak_seen_pa_s": smallest_pa_s,
        "smallest_leak_seen_pa_m3_s": (
            None if smallest_pa_s is None or volume_m3 is None else smallest_pa_s * volume_m3
        ),
        "limits": [limit_json(check) for check in result.limits],
        "reasons": [reason_json(why, words) for why in result.reasons],
        "least_hold": _least(result, circuit, words),
        "refrigerant_loss": _loss(result, circuit, words),
    }


def _least(result: HoldResult, circuit: HeldCircuit, words: Words) -> dict[str, Any]:
    """Say how long such a circuit is held at least, and whether the hold may end here."""
    end = hold_end(result, circuit.least)
    return {
        "circuit": circuit.kind,
        "length_s": circuit.least.length_s,
        "source": circuit.least.source,
        "may_end": end.may_end,
        "left_s": end.left_s,
        "why": reason_json(end.reason, words),
    }


def _loss(result: HoldResult, circuit: HeldCircuit, words: Words) -> dict[str, Any] | None:
    """Say what the leak may lose in service, by each flow law it may follow.

    ``None`` without volume or refrigerant. ``leak_g_per_yr`` is null where no leak was found.
    """
    fluid, volume_m3 = circuit.refrigerant, circuit.volume_m3
    if fluid is None or volume_m3 is None:
        return None
    return {
        "refrigerant": fluid.name,
        "assumption": assumption(words.translate),
        "leak_g_per_yr": _by_law(result.leak_pa_s, volume_m3, fluid),
        "smallest_leak_seen_g_per_yr": _by_law(smallest_seen(result), volume_m3, fluid),
    }


def _by_law(
    rate_pa_s: Interval | None, volume_m3: float, fluid: Refrigerant
) -> dict[str, dict[str, float] | None] | None:
    if rate_pa_s is None:
        return None
    losses = losses_of(rate_pa_s, volume_m3, fluid)
    return {law: interval_json(losses[law]) for law in LAWS}
