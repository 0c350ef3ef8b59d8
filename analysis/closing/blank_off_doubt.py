"""Whether a blank-off test proves anything: was it closed, is the gauge alive, was it long enough.

Every closed rig rises by a little, for hoses and seals give off gas, and none goes on falling. So
a reading that never moves, or only falls, is no good rig but a stuck gauge or an open valve.
"""

from typing import Final

import numpy as np

from analysis.burst.rush import first_rush_s
from analysis.hold.rules import MICRON_PA
from analysis.hold.stuck import SAME
from analysis.hold.trace import Floats, ThinnedHold
from analysis.reason import Interval, Reason

UNCLEAR: Final = (
    *("blank-off-not-pulled", "blank-off-never-moved", "blank-off-stuck"),
    *("blank-off-stands", "blank-off-air", "blank-off-falls", "blank-off-few-readings"),
)
"""Why a test proves nothing, whatever its figures."""

FEWEST: Final = 3  # readings, for a level that one wild one does not make
NO_VACUUM_PA: Final = (
    10_000 * MICRON_PA
)  # any pump has its own hoses lower within seconds [practice]
_QUIET_S: Final = 30.0  # a rush that comes later is no leak that was there from the closing on
_GAP: Final = 0.1  # of the test without a reading at its end: then those after it count
_STILL_S: Final = 60.0
_PAUSES: Final = 5.0  # of the mean: a logarithm's next step comes within two or three [chosen]
_UNDER: Final = 0.99  # a whole rounding step up is a rise
_SURE: Final = 3.0  # standard deviations of one bin: a rise that is seen
_FALLS: Final = 0.05  # of its level: what is closed falls by so much when it cools by 15 K


def why_short(
    trace: ThinnedHold, shut_s: float | None, duration_s: float, needed_s: float
) -> Reason:
    """Say why the test has not lasted long enough."""
    if shut_s is not None:
        return Reason("blank-off-air", {"after_s": shut_s})
    if trace.stuck_for_s > 0.0:
        return Reason("blank-off-stuck", {"stuck_for_s": trace.stuck_for_s})
    return Reason("blank-off-goes-on", {"duration_s": duration_s, "needed_s": needed_s})


def why_in_doubt(within: ThinnedHold, rate: Interval | None) -> Reason | None:
    """Say why the figures tell nothing of the rig, or only if the pump's valve was closed."""
    t, p = within.time_s, within.pressure_pa
    if within.step_pa == 0.0:
        values = {"duration_s": within.duration_s, "pressure_pa": within.last_pa}
        return Reason("blank-off-never-moved", values)
    still_s = _still_s(within)
    if still_s > 0.0:
        return Reason("blank-off-stands", {"still_for_s": still_s})
    if rate is None:
        return Reason("blank-off-few-readings")
    if rate.low > 0.0:
        return None
    seen_pa = max(within.step_pa, _SURE * within.scatter_pa)
    end_pa = float(np.median(p[-FEWEST:]))
    fell_pa = -rate.high * 0.5 * float(t[-1])
    if fell_pa > max(_FALLS * end_pa, seen_pa):
        return Reason("blank-off-falls", {"end_pa": end_pa})
    rise_pa = end_pa - float(np.median(p[:FEWEST]))
    return Reason("blank-off-no-rise") if rise_pa < _UNDER * seen_pa else None


def _still_s(within: ThinnedHold) -> float:
    """Tell for how long the reading has not moved, where it rose by many steps before; else 0.

    A rise that slackens like degassing, with the logarithm of time, takes its next step soon
    after the last few, so that far longer than their mean pause is no slackening.
    """
    t, p = within.time_s, within.pressure_pa
    moves = np.flatnonzero(np.abs(np.diff(p)) > SAME * p[:-1])
    if len(moves) == 0:
        return 0.0
    last_s = float(t[moves[-1] + 1])
    still_s = float(t[-1]) - last_s
    steps = max((float(p[-1]) - float(p[0])) / within.step_pa, 1.0)  # noise moves it to and fro
    return still_s if still_s > max(_STILL_S, _PAUSES * last_s / steps) else 0.0


def end_s(time_s: Floats, lasts_s: float) -> float:
    """Give the time of the last bin that counts: in a gap at the end, some bins after it."""
    last = max(int(np.searchsorted(time_s, lasts_s, side="right")) - 1, 0)
    if last + 1 < len(time_s) and lasts_s - time_s[last] > _GAP * lasts_s:
        last = min(last + FEWEST, len(time_s) - 1)
    return float(time_s[last])


def air_came_s(within: ThinnedHold) -> float | None:
    """Tell until when nothing rushed in, where something did after a while of quiet."""
    since_s = first_rush_s(within.time_s.tolist(), within.pressure_pa.tolist())
    if since_s is None:
        return None
    until_s = max(since_s, float(within.time_s[0]))
    return until_s if until_s >= _QUIET_S else None
