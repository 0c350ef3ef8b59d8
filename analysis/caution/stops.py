"""Stops on the way down that only ice makes: sharp ones, and one at the pressure of freezing."""

from analysis.caution.boil import Boil
from analysis.caution.fall import Fall
from analysis.water import TRIPLE_POINT_PA

RESOLVED_S = 3.0
GAUGE_FACTOR = 1.65  # water freezes at 612 Pa; an air-calibrated gauge shows up to this much more
COLDEST_SHARE = 0.08  # of the triple point's pressure: ice at -27 C (IAPWS R14-08)
# Nearing a level L, falls of a twentieth in ln P from 1.42 L to 1.22 L and on to 1.10 L take as 1
# to 1.16 at constant speed, as 1 to 1.24 through a viscous hose, and more if L lies higher in its
# step. Where nothing holds the pressure before it stands, two steps take 0.67 to 0.86 of the three
# before, whatever the fall.
SHARP, SHARP_STEPS = 1.0, (7, 4, 2)
SOME_BURSTS = 2  # one may be a mistake of the detector
# Nearing any level, each step lasts longer than the one before. Where one lasts clearly longer than
# the next, a burst, seen or not, held up the fall, and what follows is quick by comparison only.
HELD_UP = 1.2
STAND, STAND_LEAST_S = 8.0, 60.0  # the step after next lasts so much longer: it stands in it
# Freezing: two steps that last so many times those before and after them.
FREEZES, FREEZES_LEAST_S = 3.0, 20.0


def has_stopped(fall: Fall, boil: Boil, level_pa: float, time_s: float) -> bool:
    """Whether the fall broke off at once, at this level or at a higher one from which it crept."""
    low = fall.edge(level_pa)
    high = fall.edge(GAUGE_FACTOR * TRIPLE_POINT_PA)
    return any(_stops_at(fall, boil, edge, time_s) for edge in range(low, high + 1))


def _stops_at(fall: Fall, boil: Boil, edge: int, time_s: float) -> bool:
    first, second, third = (edge + step for step in SHARP_STEPS)
    before_s = fall.steps_s(first, second, at="least")
    last_s = fall.steps_s(second, third, at="most")
    if before_s is None or last_s is None or before_s < RESOLVED_S or last_s >= SHARP * before_s:
        return False
    from_s, until_s = fall.at_s(first) or 0.0, fall.at_s(third) or 0.0
    if from_s < boil.known_from_s or boil.count(from_s) - boil.count(until_s) >= SOME_BURSTS:
        return False  # a level that bursts had raised comes down when they end
    if _is_held_up(fall, first, third):
        return False
    stood_s = fall.steps_s(edge + 1, edge, at="least")
    if stood_s is None:  # it has not come under it yet
        near_s = fall.at_s(edge + 1)
        stood_s = 0.0 if near_s is None else time_s - near_s
    return stood_s > max(STAND * last_s, STAND_LEAST_S)


def _is_held_up(fall: Fall, first: int, last: int) -> bool:
    """Whether a step on the way lasted longer than the next, as none does by itself."""
    for edge in range(first, last + 1, -1):
        step_s = fall.steps_s(edge, edge - 1, at="least")
        next_s = fall.steps_s(edge - 1, edge - 2, at="most")
        if step_s is not None and next_s is not None and step_s > HELD_UP * next_s:
            return True
    return False


def has_frozen(fall: Fall, level_pa: float) -> bool:
    """Whether it stood a while at the triple point's pressure, and then came to ice's."""
    if level_pa < COLDEST_SHARE * TRIPLE_POINT_PA:
        return False
    low, high = fall.edge(0.95 * TRIPLE_POINT_PA), fall.edge(GAUGE_FACTOR * TRIPLE_POINT_PA)
    now = fall.edge(level_pa)
    for edge in range(max(low, now + 5), high + 1):
        stood_s = fall.steps_s(edge + 1, edge - 1, at="least")
        if stood_s is None or stood_s < FREEZES_LEAST_S:
            continue
        before_s = fall.steps_s(edge + 4, edge + 2, at="most")
        after_s = fall.steps_s(edge - 2, edge - 4, at="most")
        if before_s is None or after_s is None:
            continue
        if stood_s > FREEZES * max(before_s, after_s):
            return True
    return False
