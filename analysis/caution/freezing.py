"""Whether a stand of the trace is ice's: ways in which no leak, pump or hose behaves.

A leak's, a weak pump's or a thin hose's level is neared as exp(-t / fall time), at most as slowly
at its end as a viscous hose allows, and then stands or fades ever more slowly as gas leaves the
walls. Water freezes at one pressure, its triple point's. Ice gives off no gas until the pressure
is under its own, then as much as it takes to hold that; it does not burst; it cools as it
sublimes, until the warmth that reaches it keeps it where it is.
"""

import math
from collections import deque

from analysis.caution.boil import Boil
from analysis.caution.fall import Fall
from analysis.caution.plateau import Plateau
from analysis.caution.silence import TOGETHER, chance_of_silence
from analysis.caution.stops import RESOLVED_S, SOME_BURSTS, has_frozen, has_stopped
from analysis.water import TRIPLE_POINT_PA

# Purely viscous flow (speed as pressure) to a level L takes, in the same unit, 0.13 from 8 L to
# 4 L, 0.29 from 4 L to 2 L and 0.55 from 4/3 L to 1.1 L (dP/dt = -(P^2 - L^2)); at constant speed
# 0.85, 1.10 and 1.20. So the last part takes 1.4 to 4.2 times the first and 1.1 to 1.9 times the
# second. Cooling water and ice take longer: twice the most is asked for ...
SLOW_TO_FIRST, SLOW_TO_SECOND = 8.4, 3.8
# ... or, at any shape, more than any usable rig does: a fall time of two and a half minutes, and
# four times what bursts show it to be, and what the hose can make of it: at the slowest its speed
# goes with the pressure, from what it was where no water boils.
SLOW_S, SLOW_FALLS = 180.0, 4.0 * 1.2
DRY_PA = (1.0e4, 4.5e3)  # water of 31 C boils at 4.5 kPa (IAPWS R7-97)
SLOW_TO_DRY_PA = 0.55 / (1.0 / DRY_PA[1] - 1.0 / DRY_PA[0])
# Ice that ended at half the triple point's pressure or lower cooled its way there: from 2 L to
# 4/3 L it took nearly as long as from there to 1.1 L (ln(7/3) to ln 3), nothing the pump does.
COOLED_SHARE, COOLED_LAST = 0.5, 4.0
# ... and a level that stops falling at the pump's pace less: half the least.
SHARP_TO_SECOND = 0.55
# Gas leaving walls as 1/t from 1.1 L at time u to L at t now falls with the power 0.1 / (t/u - 1).
# That can be told once t is well past u.
FADE_SHARE, PAST = 0.4, 2.5
# Under a fade the level falls by at most as much in a doubling of time as in the one before;
# at a steady pace by twice as much.
STEADY, STEADY_LEAST = 1.6, 0.05
DOUBLINGS, PER_DOUBLING = 2, 4
JUDGED_S = 30.0
# A silence that comes in one case of so many while bursts fade. It is looked for after each burst,
# and so comes by chance in one run of fifty. Under some twenty bursts no silence is as rare.
CUT_OFF = 1e-3


class Freezing:
    """Remembers the levels at times a quarter of a doubling apart, and looks for ice's ways."""

    def __init__(self) -> None:
        self._levels: deque[tuple[float, float]] = deque(maxlen=DOUBLINGS * PER_DOUBLING + 1)
        self._pull_s = 0.0
        self._next_s = 0.0
        self._was = (False, False)
        self._judge_s = 0.0
        self._verdict = False

    def look(self, time_s: float, pull_s: float, level_pa: float | None) -> None:
        """Take the level now, in the pull that began at ``pull_s``."""
        if pull_s != self._pull_s:
            self._levels.clear()
            self._pull_s = self._next_s = self._judge_s = pull_s
        if level_pa is None or level_pa <= 0.0 or time_s < self._next_s:
            return
        self._levels.append((time_s, level_pa))
        self._next_s = pull_s + (time_s - pull_s) * 2.0 ** (1.0 / PER_DOUBLING)

    def is_ice(
        self,
        fall: Fall,
        plateau: Plateau,
        boil: Boil,
        time_s: float,
        fall_s: float | None,
        *,
        quiet_s: float,
        is_quiet: bool,
        is_still: bool,
    ) -> bool:
        """Whether the stand of the trace is ice's; judged anew twice a minute.

        What creeps down (not ``is_still``) may be gas that fades, but for the ways that only ice
        has; ``is_quiet`` says that no burst came for a flat interval.
        """
        level_pa = plateau.level_pa
        if level_pa is None:
            return False
        if (is_quiet, is_still) != self._was or time_s >= self._judge_s:
            self._was, self._judge_s = (is_quiet, is_still), time_s + JUDGED_S
            self._verdict = (
                _is_sharp(fall, level_pa)
                or has_stopped(fall, boil, level_pa, time_s)
                or has_frozen(fall, level_pa)
                or (is_quiet and is_cut_off(boil, quiet_s, self._rare_enough()))
                or (is_still and self._is_quiet_and_slow(fall, plateau, boil, time_s, fall_s))
            )
        return self._verdict

    def _rare_enough(self) -> float:
        """How rare a silence must be: fading gas is steady early on, but its bursts fade too."""
        return TOGETHER if self.is_steady() else CUT_OFF

    def _is_quiet_and_slow(
        self, fall: Fall, plateau: Plateau, boil: Boil, time_s: float, fall_s: float | None
    ) -> bool:
        """Whether it cools still, or came down as what cools. Bursts slow the fall as well."""
        assert plateau.level_pa is not None
        if self.is_steady() and boil.count(self._levels[0][0]) < SOME_BURSTS:
            return True
        near_s = fall.under_s(1.1 * plateau.level_pa)
        coming_s = fall.under_s(4.0 / 3.0 * plateau.level_pa)
        if near_s is None or coming_s is None or boil.count(coming_s) >= SOME_BURSTS:
            return False
        elapsed_s, took_s = time_s - self._pull_s, max(near_s - self._pull_s, 1.0)
        if not _is_slow(fall, plateau.level_pa, fall_s) or elapsed_s < PAST * took_s:
            return False
        power = (abs(plateau.fall_per_s) + plateau.unsure_per_s) * elapsed_s
        return power * (elapsed_s / took_s - 1.0) < 0.1 * FADE_SHARE

    def is_steady(self) -> bool:
        """Whether the level creeps down at a pace that does not slacken, as cooling ice does."""
        if len(self._levels) < DOUBLINGS * PER_DOUBLING + 1:
            return False
        first_pa, half_pa, now_pa = (self._levels[i][1] for i in (0, PER_DOUBLING, -1))
        before, lately = math.log(first_pa / half_pa), math.log(half_pa / now_pa)
        return lately > STEADY_LEAST and lately > STEADY * before > 0.0


def is_cut_off(boil: Boil, quiet_s: float, chance: float = CUT_OFF) -> bool:
    """Whether bursts ended at once and not little by little, as they do where water freezes."""
    return len(boil.onsets_s) > 1 and chance_of_silence(boil.onsets_s, quiet_s) < chance


def _is_sharp(fall: Fall, level_pa: float) -> bool:
    """Whether the trace fell at the pump's pace until it was at the level, and then stood."""
    second_s = fall.between_s(4.0 * level_pa, 2.0 * level_pa, at="least")
    last_s = fall.between_s(4.0 / 3.0 * level_pa, 1.1 * level_pa, at="most")
    if second_s is None or last_s is None or second_s < RESOLVED_S:
        return False
    return last_s < SHARP_TO_SECOND * second_s


def _is_slow(fall: Fall, level_pa: float, fall_s: float | None) -> bool:
    """Whether the end of the approach was slower than any hose makes it."""
    last_s = fall.between_s(4.0 / 3.0 * level_pa, 1.1 * level_pa, at="least")
    if last_s is None:
        return False
    if level_pa < COOLED_SHARE * TRIPLE_POINT_PA:
        cooled_s = fall.between_s(2.0 * level_pa, 4.0 / 3.0 * level_pa, at="most")
        if cooled_s is not None and last_s > COOLED_LAST * max(cooled_s, RESOLVED_S):
            return False
    dry_s = fall.between_s(*DRY_PA, at="most")
    is_known = dry_s is not None and math.isfinite(dry_s)  # not where the trace began lower
    by_hose_s = SLOW_TO_DRY_PA / level_pa * dry_s if is_known and dry_s else 0.0
    if last_s > max(SLOW_S, SLOW_FALLS * (fall_s or 0.0), by_hose_s):
        return True
    first_s = fall.between_s(8.0 * level_pa, 4.0 * level_pa, at="most")
    second_s = fall.between_s(4.0 * level_pa, 2.0 * level_pa, at="most")
    return (first_s is not None and last_s > SLOW_TO_FIRST * max(first_s, RESOLVED_S)) or (
        second_s is not None and last_s > SLOW_TO_SECOND * max(second_s, RESOLVED_S)
    )
