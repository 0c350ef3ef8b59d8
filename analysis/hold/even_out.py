"""Where the first even-out of a hold ends.

When the valve closes, the pressure at the gauge and that at the far side of the circuit run
together within seconds to minutes, up or down. That says nothing of leak or vapour, so the
models look only at what comes after it.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold.rules import HoldRules
from analysis.hold.trace import ThinnedHold

Floats = NDArray[np.float64]

_TIMES_S: Final = (3.0, 5.0, 8.0, 12.0, 18.0, 27.0, 40.0, 60.0)  # slower than 60 s is vapour
_SLOW_SHARES: Final = (0.12, 0.35, 1.0)  # of the hold: whatever else happens meanwhile
_CLEAR: Final = 15.0  # gain in n log(RSS) for two more terms
_LEAST_S: Final = 45.0
_LEAST_SHARE: Final = 0.08
_MOST_SHARE: Final = 0.3


def even_out_end_s(hold: ThinnedHold, rules: HoldRules) -> float:
    """Time after the valve's closing from which the models may be believed, s.

    A fast exponential of either sign is sought beside a slow smooth curve; the even-out ends
    when what is left of it is below the noise. At least 45 s or 8 % of the hold (the shorter),
    at most 5 min (a rule) or 30 % of it.
    """
    t, p = hold.time_s, hold.pressure_pa
    least = min(_LEAST_S, _LEAST_SHARE * hold.duration_s)
    most = min(rules.evening_out_s, _MOST_SHARE * hold.duration_s)
    slow = [np.ones_like(t), t / hold.duration_s]
    slow += [np.exp(-t / (share * hold.duration_s)) for share in _SLOW_SHARES]
    plain, _ = _left_over(np.column_stack(slow), p)
    best = (plain, 0.0, _TIMES_S[0])
    for time_s in _TIMES_S:
        if time_s > most:
            break
        rest, size = _left_over(np.column_stack([*slow, np.exp(-t / time_s)]), p)
        if rest < best[0]:
            best = (rest, abs(size), time_s)
    rest, size, time_s = best
    if size == 0.0 or len(t) * np.log(plain / rest) < _CLEAR:
        return least
    scatter = np.sqrt(rest / len(t))
    unseen = max(0.2 * scatter, 1e-3 * float(np.ptp(p)))
    return float(min(max(time_s * np.log(max(size / unseen, 1.0)), least), most))


def _left_over(columns: Floats, pressure_pa: Floats) -> tuple[float, float]:
    """Sum of squares a least-squares fit leaves over, and the last column's coefficient."""
    fit, _, _, _ = np.linalg.lstsq(columns, pressure_pa, rcond=None)
    rest = pressure_pa - columns @ fit
    return float(rest @ rest) + 1e-24 * float(pressure_pa @ pressure_pa) + 1e-300, float(fit[-1])
