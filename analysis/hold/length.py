"""How long a hold lasts at least, and whether it may end now, with the reason."""

import math
from dataclasses import dataclass
from typing import Final, Literal

from analysis.reason import Reason
from analysis.snapshot import HoldResult

CircuitKind = Literal["clean", "normal", "long", "disputed"]
PRACTICE: Final = "common practice, no published source"
_STILL: Final = frozenset({"never-moved", "gauge-stuck"})
_OPENED: Final = frozenset({"opened-to-pump", "opened-to-air"})
_SURE_S: Final = 300.0  # a leak that is told after the even-out and well over the limit stays one


@dataclass(frozen=True, slots=True)
class LeastHold:
    """Least length of a hold and where the figure comes from.

    Raises
    ------
    ValueError
        If the length is not positive.
    """

    length_s: float
    source: str = PRACTICE

    def __post_init__(self) -> None:
        if not 0.0 < self.length_s < math.inf:
            raise ValueError(f"length_s must be above zero, not {self.length_s}")


#: New and clean; ordinary; rear unit, heat pump or long open; disputed [practice].
LEAST_HOLDS: Final[dict[CircuitKind, LeastHold]] = {
    "clean": LeastHold(600.0),
    "normal": LeastHold(1200.0),
    "long": LeastHold(1800.0),
    "disputed": LeastHold(3600.0),
}


@dataclass(frozen=True, slots=True)
class HoldEnd:
    """Whether the hold may end, in how many seconds it may at the earliest, and why."""

    may_end: bool
    left_s: float | None
    reason: Reason


def hold_end(result: HoldResult, least: LeastHold) -> HoldEnd:
    """Tell whether a hold may end now.

    It may when it is long enough and its finding is not unclear; earlier when a leak is sure and
    the rise is over its limit already, for no waiting mends that, when the circuit was opened, and
    when the reading does not move, for no waiting helps that.

    Parameters
    ----------
    result
        The hold so far.
    least
        How long this kind of circuit is held at least.
    """
    lasted_s = result.duration_s
    left_s = least.length_s - lasted_s
    is_over = any(check.name in ("rise", "charge") and not check.passed for check in result.limits)
    if result.finding in ("leak", "both") and lasted_s >= min(_SURE_S, least.length_s) and is_over:
        return HoldEnd(True, 0.0, Reason("hold-leak-is-sure", {"duration_s": lasted_s}))
    if opened(result) is not None:
        return HoldEnd(True, 0.0, over_by_opening(result))
    if _is_gauge_still(result) and (left_s > 0.0 or result.finding == "unclear"):
        return HoldEnd(True, 0.0, Reason("hold-gauge-still"))
    if left_s > 0.0:
        values = {"left_s": _rounded_up(left_s), "least_s": least.length_s}
        return HoldEnd(False, left_s, Reason("hold-too-short-yet", values))
    if result.finding == "unclear":
        values = {} if result.hold_longer_s is None else {"longer_s": result.hold_longer_s}
        code = "hold-unclear-yet" if values else "hold-will-not-clear"
        return HoldEnd(not values, result.hold_longer_s or 0.0, Reason(code, values))
    values = {"duration_s": lasted_s, "least_s": least.length_s}
    return HoldEnd(True, 0.0, Reason("hold-long-enough", values))


def opened(result: HoldResult) -> Reason | None:
    """Give why the hold was over before its end: the circuit was opened, to the pump or to air."""
    return next((reason for reason in result.reasons if reason.code in _OPENED), None)


def rushed_in(result: HoldResult | None) -> Reason | None:
    """Give why where gas rushed in; ``None`` where nothing is known of that."""
    reason = None if result is None else opened(result)
    return reason if reason is not None and reason.code == "opened-to-air" else None


def over_by_opening(result: HoldResult) -> Reason:
    """Say that a hold is over because the circuit was opened, or because gas rushed in."""
    return Reason("hold-opened" if rushed_in(result) is None else "hold-rushed-in")


def is_untold(result: HoldResult) -> bool:
    """Tell whether nothing was found because the reading does not move."""
    return result.finding == "unclear" and _is_gauge_still(result)


def _is_gauge_still(result: HoldResult) -> bool:
    return any(reason.code in _STILL for reason in result.reasons)


def _rounded_up(left_s: float) -> float:
    """Round up to whole minutes, in the last two to ten seconds: as one would say it."""
    step_s = 60.0 if left_s > 120.0 else 10.0
    return math.ceil(left_s / step_s) * step_s
