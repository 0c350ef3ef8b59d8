"""The standing test: what a hold of the isolated circuit shows.

After the first even-out the rise is explained, side by side, as steady or fading degassing, as a
leak (straight), as vapour (levelling off, with one or two time constants), as both, or as vapour
so slow that it may yet level off. The finding is what enough of the weighed explanations agree
upon, with floors under which a rise does not matter (``HoldRules``).
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold_fit import DOUBLING_K, HoldFit, fit_hold
from analysis.hold_limits import check_limits, opening_pa
from analysis.hold_opened import until_opened
from analysis.hold_reasons import gather_reasons, longer_s, never_moved, too_few, too_short
from analysis.hold_rules import HoldRules
from analysis.hold_stuck import SAME
from analysis.hold_terms import LINE
from analysis.hold_trace import HoldThinner, ThinnedHold, thin
from analysis.hold_verdict import (
    Odds,
    Parts,
    finding_of,
    leak_interval,
    parts_of,
    vapour_interval,
    weigh,
)
from analysis.inrush import Rush
from analysis.reason import Interval
from analysis.snapshot import Finding, HoldCurve, HoldResult

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

__all__ = ["HoldRules", "HoldWatch", "analyse_hold", "analyse_thinned"]

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
    if hold.duration_s < rules.shortest_s or len(hold.time_s) < _LEAST_POINTS:
        return too_short(hold, rules)
    if _is_still(hold, rules):
        return never_moved(hold, rules)
    if np.count_nonzero(hold.time_s >= _LATE_SHARE * hold.duration_s) < _LEAST_LATE:
        return too_few(hold, rules)
    start_pa = opening_pa(hold)
    fit = fit_hold(hold, rules, noise_pa)
    parts, odds = _judged(fit, hold, rules, start_pa)
    fell = fit.fell_pa
    finding = finding_of(odds, rules) if fell is None else _finding_of_fall(fell, fit, rules)
    if finding in ("leak", "both"):
        freer = fit_hold(hold, rules, noise_pa, may_even_out=True)
        freer_parts, freer_odds = _judged(freer, hold, rules, start_pa)
        if freer_odds.leak + freer_odds.both < rules.sure_leak:  # not needed after all
            fit, parts, odds = freer, freer_parts, freer_odds
            finding = finding_of(odds, rules)
    leak = leak_interval(fit.members, parts, _drift_pa_s(hold, fit.warmth_k, rules))
    leak, vapour = _supported(fit, finding, leak, vapour_interval(fit.members, parts))
    if fell is not None:
        leak = vapour = None
    seen = _SEEN * fit.line_error_pa_s
    if finding in ("held", "vapour") and leak is not None:
        seen = max(seen, leak.high)
    elif finding == "unclear":
        seen = max(seen, _end_rate_pa_s(fit))
    if finding in ("held", "vapour") and seen > rules.allowed_pa_s:
        finding = "unclear"  # a leak that is not allowed could be there
    evened = fit.evened_pa
    limits = check_limits(hold, evened, fit.from_s, rules)
    end = sum(m.weight * float(m.curve_pa[-1]) for m in fit.members if m.weight > 0)
    longer = longer_s(hold, finding, odds, fit.members, parts, rules)
    return HoldResult(
        finding=finding,
        duration_s=hold.duration_s,
        rise_pa=end - evened if fell is None else -fell,
        hold_longer_s=longer if fell is None else None,
        leak_pa_s=leak if finding in ("leak", "both", "held") else None,
        vapour_pa=vapour,
        smallest_leak_seen_pa_s=seen,
        limits=limits,
        reasons=gather_reasons(hold, fit, finding, odds, leak, vapour, seen, limits, rules),
        curves=_curves(fit),
    )


def _is_still(hold: ThinnedHold, rules: HoldRules) -> bool:
    """Whether no reading differs, but for a jump at the end that tells nothing of the rounding."""
    pressure_pa = hold.pressure_pa[:-1]
    is_one = bool(np.ptp(pressure_pa) <= SAME * pressure_pa[0])
    return hold.step_pa == 0.0 or (is_one and hold.step_pa > rules.rise_pa)


def _judged(
    fit: HoldFit, hold: ThinnedHold, rules: HoldRules, start_pa: float
) -> tuple[list[Parts], Odds]:
    """Split the explanations into their parts, and weigh what they mean."""
    parts = [parts_of(m, fit.terms, hold.duration_s, start_pa, rules) for m in fit.members]
    return parts, weigh(fit.members, parts, rules)


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
    fit: HoldFit, finding: Finding, leak: Interval | None, vapour: Interval | None
) -> tuple[Interval | None, Interval | None]:
    """Keep the terms that the finding and the data support."""
    with_line = sum(m.weight for m in fit.members if LINE in m.columns)
    if finding not in ("leak", "both") and with_line < 0.5:
        leak = None
    if finding not in ("vapour", "both"):
        vapour = None
    return leak, vapour


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


_REFIT_SHARE = 1.0 / 30.0


class HoldWatch:
    """A hold as it goes on: the same judgement, in bounded memory.

    Parameters
    ----------
    rules
        Limits and floors.
    refit_s
        The judgement is renewed at most this often, > 0.
    noise_pa
        Noise of one reading where known, Pa.

    Examples
    --------
    >>> watch = HoldWatch()
    >>> for second in range(60):
    ...     watch.update(float(second), 20.0, None)
    >>> watch.result(60.0).finding
    'unclear'
    """

    def __init__(
        self,
        *,
        rules: HoldRules | None = None,
        refit_s: float = 5.0,
        noise_pa: float | None = None,
    ) -> None:
        if refit_s <= 0:
            raise ValueError("refit_s must be positive")
        self._rules = rules or HoldRules()
        self._refit_s = refit_s
        self._noise_pa = noise_pa
        self._thinner = HoldThinner()
        self._result: HoldResult | None = None
        self._fitted_s = -np.inf
        self._fitted_pa = 0.0
        self._rush: Rush | None = None
        self.update = self._thinner.add
        self.update_beyond = self._thinner.add_beyond

    def judge_by(self, rules: HoldRules) -> None:
        """Judge by other limits, all readings so far too."""
        self._rules, self._result = rules, None

    def trace(self) -> ThinnedHold | None:
        """Return the readings so far, thinned; ``None`` before any."""
        return self._thinner.thinned()

    def result(self, time_s: float, *, is_final: bool = False) -> HoldResult | None:
        """Judgement so far; ``None`` before any reading.

        Renewed when ``refit_s`` and a thirtieth of the hold have passed (in that time it hardly
        changes, and the cost stays small at any speed of replay), after ``refit_s`` where the
        reading has moved by all that it may, at once when gas rushes in, and for the last time.
        """
        if is_final or self._is_due(time_s):
            hold = self._thinner.thinned()
            if hold is None:
                return None
            self._result = analyse_thinned(hold, rules=self._rules, noise_pa=self._noise_pa)
            self._fitted_s, self._fitted_pa = time_s, hold.last_pa
            self._rush = hold.rush
        return self._result

    def _is_due(self, time_s: float) -> bool:
        if self._result is None or self._thinner.rush != self._rush:
            return True
        waited_s = time_s - self._fitted_s
        is_moved = abs(self._thinner.last_pa - self._fitted_pa) > self._rules.rise_pa
        usual_s = _REFIT_SHARE * self._result.duration_s
        return waited_s >= (self._refit_s if is_moved else max(self._refit_s, usual_s))
