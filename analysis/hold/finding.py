"""The standing test: what a hold of the isolated circuit shows.

After the first even-out the rise is explained, side by side, as steady or fading degassing, as a
leak (straight), as vapour (levelling off, with one or two time constants), as both, or as vapour
so slow that it may yet level off. The finding is what enough of the weighed explanations agree
upon, with floors under which a rise does not matter (``HoldRules``).
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold.even_out import even_out_end_s
from analysis.hold.fit import DOUBLING_K, HoldFit, fit_hold
from analysis.hold.late import parted, rises_since_s
from analysis.hold.limits import check_limits, opening_pa
from analysis.hold.opened import until_opened
from analysis.hold.reasons import (
    gather_reasons,
    left_out,
    longer_s,
    never_moved,
    over_limits,
    too_few,
    too_short,
)
from analysis.hold.rules import HoldRules
from analysis.hold.stuck import SAME
from analysis.hold.terms import LINE
from analysis.hold.trace import ThinnedHold, thin
from analysis.hold.verdict import (
    Odds,
    Parts,
    finding_of,
    leak_interval,
    parts_of,
    vapour_interval,
    weigh,
)
from analysis.reason import Interval, Reason
from analysis.snapshot import Finding, HoldCurve, HoldResult

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

__all__ = ["HoldRules", "analyse_hold", "analyse_thinned"]

_LEAST_POINTS: Final = 15
_LATE_SHARE: Final = 0.3  # of the hold: the first even-out lasts no longer
_LEAST_LATE: Final = 8  # points, for up to five terms and the noise
_ROOM_K: Final = 293.15
_MISSED: Final = 0.25  # of a change of temperature: the thermometer is not the whole circuit
_CURVE_POINTS: Final = 64
_SEEN: Final = 2.93  # 1.645 + 1.282: told in 9 of 10 holds, wrongly in 1 of 20
_CURVES: Final = {
    "steady": frozenset({"steady", "log"}),
    "leak": frozenset({"leak"}),
    "vapour": frozenset({"vapour", "vapour-two", "slow", "vapour-slow"}),
    "both": frozenset({"both", "both-two"}),
}


def analyse_hold(
    time_s: Floats,
    pressure_pa: Floats,
    *,
    temperature_c: Floats | None = None,
    is_beyond: Bools | None = None,
    rules: HoldRules | None = None,
    noise_pa: float | None = None,
) -> HoldResult:
    """Judge a whole hold.

    Parameters
    ----------
    time_s : (n,) float64, s
        Never goes back; ``time_s[0]`` is the moment the isolating valve was closed.
    pressure_pa : (n,) float64, Pa
        Absolute pressure in the isolated circuit.
    temperature_c : (n,) float64, Celsius, or None
        Temperature of the circuit, NaN where unknown.
    is_beyond : (n,) bool, or None
        Where the pressure lies beyond the gauge's range, whose upper end is given.
    rules
        Limits and floors; the defaults are common practice.
    noise_pa
        Noise of one reading where it is known better than this hold can tell, Pa.

    Raises
    ------
    ValueError
        If the arrays are empty, differ in length, or the times go back, or a value is not finite,
        or no reading lies within the gauge's range.
    """
    t = np.ascontiguousarray(time_s, dtype=np.float64)
    p = np.ascontiguousarray(pressure_pa, dtype=np.float64)
    if t.ndim != 1 or t.shape != p.shape or len(t) == 0:
        raise ValueError("times and pressures must be two arrays of the same length, not empty")
    if not (np.isfinite(t).all() and np.isfinite(p).all()):
        raise ValueError("times and pressures must be finite")
    if len(t) > 1 and float(np.diff(t).min()) < 0.0:
        raise ValueError("times must not go back")
    celsius = None
    if temperature_c is not None:
        celsius = np.ascontiguousarray(temperature_c, dtype=np.float64)
        if celsius.shape != t.shape:
            raise ValueError("temperatures must be as many as the times")
    if is_beyond is not None and (is_beyond.shape != t.shape or is_beyond.all()):
        raise ValueError("as many must be within or beyond the range as times, and one within")
    return analyse_thinned(thin(t, p, celsius, is_beyond), rules=rules, noise_pa=noise_pa)


def analyse_thinned(
    hold: ThinnedHold, *, rules: HoldRules | None = None, noise_pa: float | None = None
) -> HoldResult:
    """Judge a hold that is already thinned; as :func:`analyse_hold`."""
    rules, hold = rules or HoldRules(), until_opened(hold)
    untold = _untold(hold, rules)
    if untold is not None:
        return untold
    since_s = rises_since_s(hold, rules)
    if since_s is not None:
        return _risen_late(hold, since_s, rules, noise_pa)
    told = _explained(hold, rules, noise_pa)
    fit, finding, fell_pa = told.fit, told.finding, told.fit.fell_pa
    leak, vapour = (None, None) if fell_pa is not None else _supported(told, hold, rules)
    seen_pa_s = _smallest_seen_pa_s(told, leak)
    if finding in ("held", "vapour") and seen_pa_s > rules.allowed_pa_s:
        finding = "unclear"  # a leak that is not allowed could be there
    limits = check_limits(hold, fit.evened_pa, fit.from_s, rules)
    end_pa = sum(m.weight * float(m.curve_pa[-1]) for m in fit.members if m.weight > 0)
    longer = longer_s(hold, finding, told.odds, fit.members, told.parts, rules)
    return HoldResult(
        finding=finding,
        duration_s=hold.duration_s,
        rise_pa=end_pa - fit.evened_pa if fell_pa is None else -fell_pa,
        hold_longer_s=longer if fell_pa is None else None,
        leak_pa_s=leak if finding in ("leak", "both", "held") else None,
        vapour_pa=vapour,
        smallest_leak_seen_pa_s=seen_pa_s,
        limits=limits,
        reasons=gather_reasons(
            hold, fit, finding, told.odds, leak, vapour, seen_pa_s, limits, rules
        ),
        curves=_curves(fit),
    )


def _risen_late(
    hold: ThinnedHold, since_s: float, rules: HoldRules, noise_pa: float | None
) -> HoldResult:
    """Judge a hold that stood until a moment by what came then, and its limits by all of it."""
    before, after = parted(hold, since_s)
    late = analyse_thinned(after, rules=rules, noise_pa=noise_pa)
    from_s = even_out_end_s(before, rules)
    evened_pa = float(np.median(before.pressure_pa[before.time_s >= from_s]))
    limits = check_limits(hold, evened_pa, from_s, rules, since_s=since_s)
    rise_pa = float(np.median(hold.pressure_pa[-3:])) - evened_pa
    why = late.reasons[:1] if late.curves else ()  # else it was too short to be told
    is_slow = late.finding == "held"  # what opened is no proof that it is tight
    return replace(
        late,
        finding="unclear" if is_slow else late.finding,
        duration_s=hold.duration_s,
        rise_pa=rise_pa,
        leak_pa_s=None if is_slow else late.leak_pa_s,
        limits=limits,
        reasons=(
            Reason("rises-since", {"since_s": since_s, "rise_pa": rise_pa}),
            *why,
            *left_out(hold),
            *over_limits(limits),
        ),
        curves=tuple(
            replace(curve, time_s=tuple(t + since_s for t in curve.time_s)) for curve in late.curves
        ),
    )


def _untold(hold: ThinnedHold, rules: HoldRules) -> HoldResult | None:
    """Give the result of a hold that there is nothing to fit in, or ``None``."""
    if hold.duration_s < rules.shortest_s or len(hold.time_s) < _LEAST_POINTS:
        return too_short(hold, rules)
    if _is_still(hold, rules):
        return never_moved(hold, rules)
    if np.count_nonzero(hold.time_s >= _LATE_SHARE * hold.duration_s) < _LEAST_LATE:
        return too_few(hold, rules)
    return None


def _is_still(hold: ThinnedHold, rules: HoldRules) -> bool:
    """Whether no reading differs, but for a jump at the end that tells nothing of the rounding."""
    pressure_pa = hold.pressure_pa[:-1]
    is_one = bool(np.ptp(pressure_pa) <= SAME * pressure_pa[0])
    return hold.step_pa == 0.0 or (is_one and hold.step_pa > rules.rise_pa)


@dataclass(frozen=True)
class _Told:
    """A hold with its explanations in parts, their odds, and what they come to."""

    fit: HoldFit
    parts: list[Parts]
    odds: Odds
    finding: Finding


def _explained(hold: ThinnedHold, rules: HoldRules, noise_pa: float | None) -> _Told:
    """Explain a hold; a leak is told only where it is needed beside what is left to even out."""
    told = _judged(fit_hold(hold, rules, noise_pa), hold, rules)
    if told.finding in ("leak", "both"):
        freer = _judged(fit_hold(hold, rules, noise_pa, may_even_out=True), hold, rules)
        if freer.odds.leak + freer.odds.both < rules.sure_leak:
            return replace(freer, finding=finding_of(freer.odds, rules))
    return told


def _judged(fit: HoldFit, hold: ThinnedHold, rules: HoldRules) -> _Told:
    """Split the explanations into their parts, weigh what they mean, and name it."""
    start_pa = opening_pa(hold)
    parts = [parts_of(m, fit.terms, hold.duration_s, start_pa, rules) for m in fit.members]
    odds, fell_pa = weigh(fit.members, parts, rules), fit.fell_pa
    finding = finding_of(odds, rules) if fell_pa is None else _finding_of_fall(fell_pa, fit, rules)
    return _Told(fit, parts, odds, finding)


def _finding_of_fall(fell_pa: float, fit: HoldFit, rules: HoldRules) -> Finding:
    """Judge a fall: a closed circuit may cool a little; after more it was not closed."""
    start_pa = float(np.median(fit.points.pressure_pa[:3]))
    return "unclear" if fell_pa > rules.cooling_share * start_pa else "held"


def _drift_pa_s(hold: ThinnedHold, warmth_k: float, rules: HoldRules) -> float:
    """Rate that temperature may have added beyond what was taken out, give or take.

    By the gas law, for the change nobody measured or the part of it that the thermometer missed;
    and by ordinary degassing, which a warmer circuit gives more of.
    """
    missed_k = rules.unknown_drift_k if hold.temperature_c is None else _MISSED * abs(warmth_k)
    law = missed_k * float(hold.pressure_pa.mean()) / _ROOM_K / hold.duration_s
    usual = 2.0 * (rules.degassing_pa + rules.degassing_spread_pa) / rules.usual_s
    return float(np.hypot(law, (np.exp2(abs(warmth_k) / DOUBLING_K) - 1.0) * usual))


def _end_rate_pa_s(fit: HoldFit) -> float:
    """Rate of the rise over the last tenth, over all explanations.

    Where it is unclear what rises, a leak as large as that may be in it, but no larger: all else
    that is fitted rises ever slower.
    """
    some = max(2, len(fit.points.time_s) // 10)
    span_s = float(fit.points.time_s[-1] - fit.points.time_s[-some])
    rises = (m.weight * float(m.curve_pa[-1] - m.curve_pa[-some]) for m in fit.members)
    return sum(rises) / max(span_s, 1e-9)


def _supported(
    told: _Told, hold: ThinnedHold, rules: HoldRules
) -> tuple[Interval | None, Interval | None]:
    """Give leak and vapour, where the finding and the data support them."""
    fit, finding = told.fit, told.finding
    leak = leak_interval(fit.members, told.parts, _drift_pa_s(hold, fit.warmth_k, rules))
    with_line = sum(m.weight for m in fit.members if LINE in m.columns)
    if finding not in ("leak", "both") and with_line < 0.5:
        leak = None
    has_vapour = finding in ("vapour", "both")
    return leak, vapour_interval(fit.members, told.parts) if has_vapour else None


def _smallest_seen_pa_s(told: _Told, leak: Interval | None) -> float:
    """Rate of the smallest leak that would have been told, or that may still be in it."""
    seen_pa_s = _SEEN * told.fit.line_error_pa_s
    if told.finding in ("held", "vapour") and leak is not None:
        return max(seen_pa_s, leak.high)
    return max(seen_pa_s, _end_rate_pa_s(told.fit)) if told.finding == "unclear" else seen_pa_s


def _curves(fit: HoldFit) -> tuple[HoldCurve, ...]:
    """Draw the best explanation of each name at up to 64 of the fitted points."""
    count = len(fit.points.time_s)
    at = np.unique(np.linspace(0, count - 1, min(count, _CURVE_POINTS)).astype(np.intp))
    curves = []
    for name, names in _CURVES.items():
        best = next((m for m in fit.members if m.family in names), None)
        if best is not None:
            pressure = best.curve_pa[at]
            curves.append(
                HoldCurve(name, tuple(fit.points.time_s[at].tolist()), tuple(pressure.tolist()))  # type: ignore[arg-type]
            )
    return tuple(curves)
