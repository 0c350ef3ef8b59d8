"""Where a hold was over before its mark: the valve was opened, or air came in.

Nobody presses a button at the very second a valve is turned. What comes after that is no rise of
the closed circuit, and a leak bent by it passed for held. A closed circuit never falls by a tenth
within some readings, nor does gas rush in at the end of a quiet hold unless something was opened.
"""

from dataclasses import replace
from typing import Final, Literal

import numpy as np

from analysis.hold.inrush import QUIET_S, Rush
from analysis.hold.trace import ThinnedHold

_QUIET_SHARE: Final = 0.3  # of the hold: the even-out may fall as sharply as that
_BEFORE: Final = 5  # bins that tell the level before
_FALLS: Final = 0.1  # of that: cooling by 30 K makes as much, though not at once
_SURE: Final = 6.0  # standard deviations of a bin, and two rounding steps: no noise
_FEWEST: Final = 3  # readings: fewer may be wild ones


def until_opened(hold: ThinnedHold) -> ThinnedHold:
    """Leave out what came after the circuit was opened, where it was."""
    t = hold.time_s
    if len(t) < 2 * _BEFORE:
        return hold
    by: Literal["pump", "air"] = "pump"
    cut, gone = _fell_at(hold, max(QUIET_S, _QUIET_SHARE * float(t[-1]))), hold.gone
    if cut is None:
        cut, by = _rushed_at(hold, hold.rush), "air"
    elif gone is not None and gone.told_s < t[cut] and t[cut - 1] <= gone.gone_s:
        cut, by = _rushed_at(hold, gone), "air"  # it stood until the pump took it away
        hold = replace(hold, last_pa=float(hold.pressure_pa[cut:].max(initial=hold.last_pa)))
    if cut is None or cut < 2:
        return hold
    kept = replace(hold.only(np.arange(len(t)) < cut), duration_s=float(t[cut - 1]))
    # One bin may be two wild readings: nothing is lost by leaving it out, but nothing told either.
    is_told = by == "air" or cut < len(t) - 1
    return replace(kept, opened_by=by) if is_told else kept


def _fell_at(hold: ThinnedHold, quiet_s: float) -> int | None:
    """Give the first of the bins from which on it lies far lower, to the end."""
    t, p = hold.time_s, hold.pressure_pa
    if p[-1] > (1.0 - _FALLS) * p.max():
        return None
    least_pa = _SURE * hold.scatter_pa + 2.0 * hold.step_pa
    for first in range(max(int(np.searchsorted(t, quiet_s)), _BEFORE), len(p)):
        before_pa = float(np.median(p[first - _BEFORE : first]))
        lower_pa = before_pa - max(_FALLS * before_pa, least_pa)
        if float(p[first:].max()) < lower_pa and hold.count[first:].sum() >= _FEWEST:
            return first - 1 if p[first - 1] < before_pa - least_pa else first
    return None


def _rushed_at(hold: ThinnedHold, rush: Rush | None) -> int | None:
    """Give the first of the bins in which gas rushes in."""
    t = hold.time_s
    if rush is None:
        return None
    still_pa = rush.foot_pa + _SURE * hold.scatter_pa + 2.0 * hold.step_pa
    still = np.flatnonzero((t <= rush.told_s) & (hold.pressure_pa <= still_pa))
    return int(still[-1]) + 1 if len(still) else 0
