"""From weighed explanations to one finding, with floors under which a rise does not matter."""

import math
from dataclasses import dataclass
from typing import Final

from analysis.hold.models import Member
from analysis.hold.rules import HoldRules
from analysis.hold.terms import LINE, Terms
from analysis.reason import Interval
from analysis.snapshot import Finding

_ROOT2: Final = math.sqrt(2.0)
_HALVINGS: Final = 40
_LEAST_WEIGHT: Final = 1e-4
_WITH_LINE: Final = frozenset({"leak", "both", "both-two"})
_SLOW: Final = frozenset({"slow", "vapour-slow"})
_LEVELLING: Final = frozenset({"vapour", "vapour-two", "both", "both-two"})


@dataclass(frozen=True)
class Parts:
    """What one explanation says about the hold: its straight, levelling and slow parts."""

    leak_pa_s: float
    leak_error_pa_s: float
    vapour_pa: float
    vapour_error_pa: float
    slow_pa_s: float
    slow_s: float


@dataclass(frozen=True)
class Odds:
    """Probability of each finding, ``slow`` being a rise that may yet level off."""

    held: float
    leak: float
    vapour: float
    both: float
    slow: float


def parts_of(
    member: Member, terms: Terms, duration_s: float, start_pa: float, rules: HoldRules
) -> Parts:
    """Split an explanation into its parts; vapour is counted from the valve's closing.

    What is over by the end of the even-out counts as even-out, unless it is larger than an
    even-out can be: then it was vapour that levelled off fast.
    """
    leak = leak_error = vapour = vapour_error2 = slow_rate = slow_s = earlier = 0.0
    span = duration_s - terms.from_s
    for column, tau, value, error in zip(
        member.columns.tolist(),
        member.time_constant_s.tolist(),
        member.coefficients.tolist(),
        member.errors.tolist(),
        strict=True,
    ):
        if column == LINE:
            leak, leak_error = value, error
        elif column in terms.logs:
            vapour += value * float(terms.columns[-1, column])
        elif column in terms.fast:
            back = math.exp(min(terms.from_s / tau, 1.0))
            vapour += value * back
            vapour_error2 += (error * back) ** 2
            earlier += value * (back - 1.0)
        elif column in terms.slow:
            slow_rate += value * -math.expm1(-span / tau) / span
            slow_s = tau
    earlier += (leak + slow_rate) * terms.from_s
    fast = float(member.coefficients[0]) - earlier - start_pa
    if fast > rules.even_out_share * start_pa:
        vapour += fast
    return Parts(leak, leak_error, vapour, math.sqrt(vapour_error2), slow_rate, slow_s)


def weigh(members: list[Member], parts: list[Parts], rules: HoldRules) -> Odds:
    """Add up the explanations' weights by what each would mean."""
    odds = dict.fromkeys(("held", "leak", "vapour", "both", "slow"), 0.0)
    for member, part in zip(members, parts, strict=True):
        levelled = "vapour" if part.vapour_pa > rules.vapour_floor_pa else "held"
        if member.family in _WITH_LINE:
            over = (part.leak_pa_s - rules.leak_floor_pa_s) / max(part.leak_error_pa_s, 1e-12)
            matters = 0.5 * math.erfc(-over / math.sqrt(2.0))
            told = "both" if part.vapour_pa > rules.both_floor_beside(part.leak_pa_s) else "leak"
            odds[told] += member.weight * matters
            odds[levelled] += member.weight * (1.0 - matters)
        elif member.family in _SLOW and part.slow_pa_s > rules.leak_floor_pa_s:
            odds["slow"] += member.weight
        else:
            odds[levelled] += member.weight
    return Odds(**odds)


def finding_of(odds: Odds, rules: HoldRules) -> Finding:
    """Name what is likely enough; a leak needs the most."""
    if odds.leak + odds.both >= rules.sure_leak:
        return "both" if odds.both > odds.leak else "leak"
    if odds.vapour + odds.held >= rules.sure_other:
        if odds.vapour > odds.held:
            return "vapour"
        return "held"
    return "unclear"


def leak_interval(members: list[Member], parts: list[Parts], drift_pa_s: float) -> Interval | None:
    """80 % interval of the straight part over all explanations that have one.

    ``drift_pa_s`` is what an unknown change of temperature may add, one standard deviation.
    """
    rows = [
        (m.weight, p.leak_pa_s, max(math.hypot(p.leak_error_pa_s, drift_pa_s), 1e-15))
        for m, p in zip(members, parts, strict=True)
        if m.family in _WITH_LINE
    ]
    return mixture_interval(rows)


def vapour_interval(members: list[Member], parts: list[Parts]) -> Interval | None:
    """80 % interval of the levelling part over all explanations that have one."""
    rows = [
        (m.weight, p.vapour_pa, max(p.vapour_error_pa, 1e-12))
        for m, p in zip(members, parts, strict=True)
        if m.family in _LEVELLING
    ]
    return mixture_interval(rows)


def mixture_interval(rows: list[tuple[float, float, float]]) -> Interval | None:
    """10, 50 and 90 % points of a weighted mixture of normals (weight, mean, error)."""
    total = sum(weight for weight, _, _ in rows)
    if not rows or total <= 0.0:
        return None
    told = [(w / total, m, e) for w, m, e in rows if w > _LEAST_WEIGHT * total]

    def point(share: float) -> float:
        low, high = min(m - 6 * e for _, m, e in told), max(m + 6 * e for _, m, e in told)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            below = sum(w * 0.5 * math.erfc((m - middle) / (e * _ROOT2)) for w, m, e in told)
            low, high = (middle, high) if below < share else (low, middle)
        return 0.5 * (low + high)

    return Interval(max(point(0.1), 0.0), max(point(0.5), 0.0), max(point(0.9), 0.0))
