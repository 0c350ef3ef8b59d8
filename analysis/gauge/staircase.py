"""A closing while the circuit still boils: the level goes up in steps and never comes down.

Behind a closed valve what a burst has set free stays. With the pump at work the excess over the
foot falls as e^(-t / fall); over the treads between the bursts it would have lost the sum of
excess x time / fall. Where next to nothing of that loss is seen, no pump pulls.
"""

import math
from itertools import accumulate, pairwise
from typing import Final

Levels = list[tuple[float, float]]  # time_s, level_pa; evenly spaced but for gaps

_NOISES: Final = 10.0
_SHARE: Final = 0.3  # of the foot: twice what an even rise needs, since steps may be valves
_TREAD: Final = 0.03  # of the rise, or two noises: what moves up by more in one bin is a burst
_NOT_LOST: Final = 0.2  # of the loss that a pump would have brought: more means that it pulls
_LOSS: Final = 0.6  # of the rise must have been due to be lost, or nothing can be told
_STEPS: Final = 2  # one that stays is a valve, air let in, or a leak that opened
_STEP: Final = 0.1  # of the rise, for a step to count
_TURNS_S: Final = 60.0  # within this time before the first tread that does not fall
_APART_S: Final = 8.0  # steps nearer than this are one
_GAP_S: Final = 6.0  # nothing is known of a longer silence
_FALL_S: Final = 100.0  # where no burst has told it: 3 to 200 s are usual


def foot_of_stairs(levels: Levels, noise_pa: float, fall_s: float | None) -> float | None:
    """Tell a staircase from what a pumped circuit does.

    Parameters
    ----------
    levels
        The window, oldest first.
    noise_pa
        Of a reading.
    fall_s
        Time constant of the falls after bursts, as seen so far.

    Returns
    -------
    float or None
        When the rise began; ``None`` where it is no staircase.
    """
    foot_pa = min(level for _, level in levels[: max(len(levels) // 3, 1)])
    rise_pa = min(level for _, level in levels[-2:]) - foot_pa  # the last may be a glitch
    if rise_pa < max(_NOISES * noise_pa, _SHARE * foot_pa):
        return None
    tread_pa = max(2.0 * noise_pa, _TREAD * rise_pa)
    treads: list[tuple[float, float, float]] = []  # time_s, move, and that due with a pump
    steps, step_pa, step_s = 0, 0.0, -math.inf
    for (before_s, before_pa), (time_s, level_pa) in pairwise(levels):
        move_pa = level_pa - before_pa
        if move_pa <= tread_pa:
            watched_s = min(time_s - before_s, _GAP_S)
            due_pa = -max(before_pa - foot_pa, 0.0) * watched_s / (fall_s or _FALL_S)
            treads.append((time_s, move_pa, due_pa))
            continue
        is_new = before_s - step_s >= _APART_S
        step_pa, step_s = (0.0 if is_new else step_pa) + move_pa, time_s
        if step_pa - move_pa < _STEP * rise_pa <= step_pa:
            steps += 1
    loss_pa = -sum(due for _, _, due in treads)
    if steps < _STEPS or loss_pa < _LOSS * rise_pa:
        return None
    if sum(move for _, move, _ in treads) < -_NOT_LOST * loss_pa:
        return None
    return _began_s(levels, treads, noise_pa)


def _began_s(levels: Levels, treads: list[tuple[float, float, float]], noise_pa: float) -> float:
    """Give when the treads stopped falling as they would with a pump, and the level turned."""
    # Cost of what comes before each tread as pumped and the rest as closed, off by a constant.
    costs = list(accumulate(((move - due) ** 2 - move**2 for _, move, due in treads), initial=0.0))
    best = max(i for i, cost in enumerate(costs) if cost <= min(costs) + noise_pa**2)
    turned_s = treads[max(best - 1, 0)][0]
    before = [(t, p) for t, p in levels if turned_s - _TURNS_S <= t <= turned_s] or levels[:1]
    lowest_pa = min(level for _, level in before) + 2.0 * noise_pa
    return next(time_s for time_s, level_pa in reversed(before) if level_pa <= lowest_pa)
