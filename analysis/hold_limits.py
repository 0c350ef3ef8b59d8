"""The limits of a hold: passed or not, apart from the finding."""

import numpy as np

from analysis.hold_rules import HoldRules
from analysis.hold_trace import ThinnedHold
from analysis.snapshot import LimitCheck


def opening_pa(hold: ThinnedHold) -> float:
    """Pressure as the valve was closed, Pa: the median of the first 3 s."""
    return float(np.median(hold.pressure_pa[hold.time_s <= max(3.0, hold.time_s[0])]))


def check_limits(
    hold: ThinnedHold, evened_pa: float, from_s: float, rules: HoldRules
) -> tuple[LimitCheck, ...]:
    """Check the start, the rise, the highest pressure, and whether charging is out of question.

    Parameters
    ----------
    hold
        The thinned hold.
    evened_pa
        The evened-out start's pressure, Pa.
    from_s
        When it was reached.
    rules
        The limits.
    """
    start = opening_pa(hold)
    window = hold.time_s <= from_s + rules.rise_window_s
    late = hold.pressure_pa[window][-3:]
    rise = float(np.median(late)) - evened_pa
    highest = float(np.max(np.convolve(hold.pressure_pa, np.ones(3) / 3, mode="valid"), initial=0))
    highest = max(highest, float(np.median(hold.pressure_pa)))
    last = float(np.median(hold.pressure_pa[-3:]))
    if hold.stuck_for_s > 0.0 or hold.opened_by == "air":
        # It may be what the circuit stands at: no limit is passed by it.
        highest, last = max(highest, hold.last_pa), max(last, hold.last_pa)
    return (
        LimitCheck("start", rules.start_pa, start, start <= rules.start_pa, rules.start_source),
        LimitCheck("rise", rules.rise_pa, rise, rise <= rules.rise_pa, rules.rise_source),
        LimitCheck(
            "highest", rules.highest_pa, highest, highest < rules.highest_pa, rules.highest_source
        ),
        LimitCheck("charge", rules.charge_pa, last, last <= rules.charge_pa, rules.charge_source),
    )
