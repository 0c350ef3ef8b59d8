"""The limits of a hold: passed or not, apart from the finding."""

import numpy as np

from analysis.hold.rules import HoldRules
from analysis.hold.trace import ThinnedHold
from analysis.snapshot import LimitCheck


def opening_pa(hold: ThinnedHold) -> float:
    """Pressure as the valve was closed, Pa: the median of the first 3 s."""
    return float(np.median(hold.pressure_pa[hold.time_s <= max(3.0, hold.time_s[0])]))


def check_limits(
    hold: ThinnedHold,
    evened_pa: float,
    from_s: float,
    rules: HoldRules,
    *,
    since_s: float | None = None,
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
    since_s
        Where it rises since then as it did not before: the rise from there counts as well.
    """
    start = opening_pa(hold)
    rise = _level_pa(hold, from_s + rules.rise_window_s) - evened_pa
    if since_s is not None:
        late = _level_pa(hold, since_s + rules.rise_window_s) - _level_pa(hold, since_s)
        rise = max(rise, late)
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


def _level_pa(hold: ThinnedHold, until_s: float) -> float:
    """Pressure at a moment, Pa: the median of the last three points until then."""
    return float(np.median(hold.pressure_pa[hold.time_s <= until_s][-3:]))
