"""Why a hold's finding is what it is, in codes and numbers, and how much longer would tell more."""

import math
from typing import Final

import numpy as np

from analysis.hold.fit import HoldFit
from analysis.hold.limits import check_limits
from analysis.hold.models import Member
from analysis.hold.rules import HoldRules
from analysis.hold.terms import SLOWEST
from analysis.hold.trace import ThinnedHold
from analysis.hold.verdict import Odds, Parts
from analysis.reason import Interval, Reason
from analysis.snapshot import Finding, HoldResult, LimitCheck

_GAP_SHARE: Final = 0.05
_GAP_S: Final = 10.0
_ROUND_UP_S: Final = 60.0
_OVER_LIMIT: Final = {
    "start": "start-too-high",
    "rise": "rise-over-limit",
    "highest": "pressure-over-limit",
    "charge": "do-not-charge",
}


def too_short(hold: ThinnedHold, rules: HoldRules) -> HoldResult:
    """Build the result of a hold from which nothing can be told yet.

    How much longer tells more is not said of a gauge that is stuck: while it is, no time does.
    """
    reason = Reason(
        "too-short",
        {
            "duration_s": hold.duration_s,
            "needed_s": rules.shortest_s,
            "points": len(hold.pressure_pa),
        },
    )
    needed = _whole_minutes_s(max(rules.usual_s - hold.duration_s, _ROUND_UP_S))
    # A stuck gauge is checked, however long it is waited.
    longer_s = None if hold.stuck_for_s > 0.0 else needed
    return _untold(hold, rules, (reason, *left_out(hold)), longer_s)


def never_moved(hold: ThinnedHold, rules: HoldRules) -> HoldResult:
    """Build the result of a hold in which all readings are the same number.

    How finely the gauge reads is not known then, and so not how large a leak would have shown: a
    tight circuit looks no other than a gauge that is stuck, off or shut off.
    """
    return _untold(hold, rules, (Reason("never-moved"), *left_out(hold)), None)


def too_few(hold: ThinnedHold, rules: HoldRules) -> HoldResult:
    """Build the result of a hold whose readings stopped before or while it evened out."""
    reasons = (Reason("few-readings", {"gap_s": hold.longest_gap_s}), *left_out(hold))
    return _untold(hold, rules, reasons, _whole_minutes_s(rules.usual_s))


def _untold(
    hold: ThinnedHold, rules: HoldRules, reasons: tuple[Reason, ...], needed_s: float | None
) -> HoldResult:
    pressure = hold.pressure_pa
    start = float(np.median(pressure[: max(1, len(pressure) // 10)]))
    return HoldResult(
        finding="unclear",
        duration_s=hold.duration_s,
        rise_pa=float(pressure[-1]) - start,
        hold_longer_s=needed_s,
        leak_pa_s=None,
        vapour_pa=None,
        smallest_leak_seen_pa_s=None,
        limits=check_limits(hold, start, 0.0, rules),
        reasons=reasons,
    )


def left_out(hold: ThinnedHold) -> tuple[Reason, ...]:
    """Say what was left out: what a stuck gauge shows, and what came after an opening."""
    if hold.opened_by:
        return (Reason(f"opened-to-{hold.opened_by}", {"after_s": hold.duration_s}),)
    if hold.stuck_for_s == 0.0:
        return ()
    return (Reason("gauge-stuck", {"stuck_s": hold.stuck_for_s}),)


def longer_s(
    hold: ThinnedHold,
    finding: Finding,
    odds: Odds,
    members: list[Member],
    parts: list[Parts],
    rules: HoldRules,
) -> float | None:
    """How much longer to hold, s, whole minutes; only where the finding is unclear.

    ``None`` as well while the gauge is stuck, for no time helps that. Else until the slow vapour's
    time constant is well inside the hold, or else half as long again.
    """
    if finding != "unclear" or hold.stuck_for_s > 0.0:
        return None
    total = max(rules.usual_s, 1.5 * hold.duration_s)
    weight = sum(m.weight for m, p in zip(members, parts, strict=True) if p.slow_s > 0)
    if odds.slow > 0.2 and weight > 0:
        slow = sum(m.weight * p.slow_s for m, p in zip(members, parts, strict=True)) / weight
        total = max(total, 1.25 * slow)
    more = min(max(total - hold.duration_s, 120.0), SLOWEST * hold.duration_s)
    return _whole_minutes_s(more)


def _whole_minutes_s(length_s: float) -> float:
    return math.ceil(length_s / _ROUND_UP_S) * _ROUND_UP_S


def gather_reasons(
    hold: ThinnedHold,
    fit: HoldFit,
    finding: Finding,
    odds: Odds,
    leak: Interval | None,
    vapour: Interval | None,
    seen_pa_s: float,
    limits: tuple[LimitCheck, ...],
    rules: HoldRules,
) -> tuple[Reason, ...]:
    """Give the reasons, the one that decided first."""
    if fit.fell_pa is None:
        reasons = [_deciding(fit, finding, odds, leak, vapour, rules)]
    else:
        reasons = [Reason("pressure-fell", {"fall_pa": fit.fell_pa})]
    reasons.append(Reason("evened-out", {"at_s": fit.from_s, "pressure_pa": fit.evened_pa}))
    if finding not in ("leak", "both"):  # beside a leak it would read as if there were none
        reasons.append(Reason("smallest-leak", {"leak_pa_s": seen_pa_s}))
    reasons += left_out(hold)
    if fit.warmth_k != 0.0:
        reasons.append(_warmth(fit))
    if hold.longest_gap_s > max(_GAP_SHARE * hold.duration_s, _GAP_S):
        reasons.append(Reason("gap-in-hold", {"gap_s": hold.longest_gap_s}))
    return (*reasons, *over_limits(limits))


def over_limits(limits: tuple[LimitCheck, ...]) -> list[Reason]:
    """Say which limits are not met."""
    return [
        Reason(_OVER_LIMIT[check.name], {"value_pa": check.value, "limit_pa": check.limit})
        for check in limits
        if not check.passed
    ]


def _deciding(
    fit: HoldFit,
    finding: Finding,
    odds: Odds,
    leak: Interval | None,
    vapour: Interval | None,
    rules: HoldRules,
) -> Reason:
    likely = {"probability": {"held": odds.held, "leak": odds.leak, "vapour": odds.vapour,
                              "both": odds.both, "unclear": odds.slow}[finding]}  # fmt: skip
    if finding == "leak" and leak is not None:
        return Reason("straight-rise", {"leak_pa_s": leak.best, **likely})
    if finding == "vapour" and vapour is not None:
        return Reason("levels-off", {"vapour_pa": vapour.best, **likely})
    if finding == "both" and leak is not None and vapour is not None:
        values = {"leak_pa_s": leak.best, "vapour_pa": vapour.best}
        return Reason("levels-off-onto-straight-rise", {**values, **likely})
    if finding == "held":
        return Reason("rise-within-limit", {"limit_pa": rules.rise_pa, **likely})
    if odds.vapour + odds.held >= rules.sure_other:  # ... and yet not told
        return Reason("leak-would-not-show", {"limit_pa_s": rules.allowed_pa_s})
    if odds.slow >= max(odds.leak + odds.both, odds.vapour, odds.held):
        return Reason("still-rising-slower", {"probability": odds.slow})
    return Reason(
        "cannot-tell-apart",
        {"leak": odds.leak + odds.both, "vapour": odds.vapour + odds.slow, "held": odds.held},
    )


def _warmth(fit: HoldFit) -> Reason:
    """Temperature changed: how much of the rise it may explain, by gas law and by vapour."""
    law = fit.evened_pa * fit.warmth_k / 293.15
    vapour = fit.evened_pa * (2.0 ** (fit.warmth_k / 10.0) - 1.0)
    return Reason(
        "temperature-changed",
        {"change_k": fit.warmth_k, "gas_law_pa": law, "vapour_at_most_pa": vapour},
    )
