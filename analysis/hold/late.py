"""A rise that began late in a hold: something opened then, or began to give off gas.

All that a hold is explained by rises ever slower, or straight on. A bend upwards is none of it: a
line drawn through both sides tells a rate that there never was, and a start that nobody read.
"""

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold.even_out import even_out_end_s
from analysis.hold.fit import SMOOTH_SHARES, smooth_columns, without_warmth
from analysis.hold.rules import HoldRules
from analysis.hold.trace import ThinnedHold

Floats = NDArray[np.float64]

_PLACES: Final = 40  # tried for the bend
_BEFORE: Final = 0.3  # of the points: the smooth curve is known by then
_AFTER: Final = 3  # points: two wild readings spoil two
_EXPLAINS: Final = 4.0  # times less must be left over than by the smooth curve alone [chosen]


def rises_since_s(hold: ThinnedHold, rules: HoldRules) -> float | None:
    """Give the time from which on it rises as it did not before, s; ``None`` if it does not.

    By more than the whole allowed rise, for less is told by no limit either. What a thermometer
    explains is no rise.
    """
    cool, _, _ = without_warmth(hold)
    points = cool.only(cool.time_s >= even_out_end_s(cool, rules))
    t, p = points.time_s, points.pressure_pa
    first = max(int(_BEFORE * len(t)), len(SMOOTH_SHARES) + _AFTER)
    if len(t) - _AFTER <= first:
        return None
    x = (t - t[0]) / max(float(t[-1] - t[0]), 1e-9)
    smooth = smooth_columns(x)
    plain, _ = _left_over(smooth, p)
    places = np.unique(np.linspace(first, len(t) - 1 - _AFTER, _PLACES).astype(np.intp)).tolist()
    tried = [
        (*_left_over(np.column_stack([smooth, np.maximum(x - x[k], 0)]), p), k) for k in places
    ]
    rest, slope_pa, place = min(tried)
    bent_pa = slope_pa * (1.0 - x[place])
    risen_pa = float(np.median(p[-_AFTER:]) - np.median(p[place - _AFTER : place]))
    is_bent = rest < plain / _EXPLAINS and min(bent_pa, risen_pa) > rules.rise_pa
    return float(t[place]) if is_bent else None


def parted(hold: ThinnedHold, since_s: float) -> tuple[ThinnedHold, ThinnedHold]:
    """Give the hold before a moment, and after it as one that began then."""
    before, after = hold.only(hold.time_s < since_s), hold.only(hold.time_s >= since_s)
    return before, replace(
        after,
        time_s=after.time_s - since_s,
        duration_s=hold.duration_s - since_s,
        stuck_for_s=0.0,
        rush=None,
        gone=None,
        opened_by="",
    )


def _left_over(columns: Floats, pressure_pa: Floats) -> tuple[float, float]:
    """Sum of squares a least-squares fit leaves over, and the last column's coefficient."""
    fit, _, _, _ = np.linalg.lstsq(columns, pressure_pa, rcond=1e-9)
    rest = pressure_pa - columns @ fit
    return float(rest @ rest) + 1e-12 * float(pressure_pa @ pressure_pa), float(fit[-1])
