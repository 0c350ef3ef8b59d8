"""The cautions that stand, each raised and lowered with hysteresis."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from analysis.caution import shut_off, signs
from analysis.caution.climb import Climb
from analysis.caution.drop import Drop
from analysis.caution.fall import Fall
from analysis.caution.freezing import Freezing
from analysis.caution.hush import Hush
from analysis.caution.intended import VALVES, Intended
from analysis.caution.plateau import Plateau
from analysis.caution.rise import SuddenRise
from analysis.caution.sight import Sight
from analysis.reason import Reason
from analysis.rules import EvacuationRules
from analysis.sample import Mark
from analysis.snapshot import Caution, CautionKind


@dataclass(frozen=True, slots=True)
class Sign:
    """When a caution is raised (its sign seen for ``raise_s``) and lowered (gone for ``clear_s``).

    ``keep`` is a laxer sign that holds up a caution which already stands. What ``is_quick`` is
    weighed once a second, what ``is_slow`` with each new ten-second level, the rest at each
    judgement.
    """

    kind: CautionKind
    see: Callable[[Sight, EvacuationRules], Reason | None]
    keep: Callable[[Sight, EvacuationRules], Reason | None]
    raise_s: float
    clear_s: float
    is_quick: bool = False
    is_slow: bool = False


# The times are how long a technician would look before believing it [practice].
SIGNS = (
    Sign("no-signal", signs.no_signal, signs.no_signal, 0.0, 0.0, is_quick=True),
    Sign("sudden-rise", signs.sudden_rise, signs.sudden_rise, 0.0, 10.0, is_quick=True),
    Sign("gauge-shut-off", shut_off.gauge_shut_off, shut_off.still_shut_off, 10.0, 30.0),
    Sign("rising", signs.rising, signs.rising, 0.0, 0.0),
    Sign("ice", signs.ice, signs.still_ice, 60.0, 60.0, is_slow=True),
    Sign(
        "not-pulling-down", signs.not_pulling_down, signs.still_not_down, 120.0, 60.0, is_slow=True
    ),
    Sign("cold", signs.cold, signs.still_cold, 0.0, 0.0),
    Sign("no-bursts-seen", signs.no_bursts_seen, signs.no_bursts_seen, 0.0, 0.0),
)

# What comes back so soon after it was over is told to be over that much later each time, but for
# what is a plain fact.
AGAIN_S, LATER_S = 600.0, 30.0
PLAIN: frozenset[CautionKind] = frozenset({"no-signal", "cold", "no-bursts-seen"})

# After these the trace begins anew: what it was before tells nothing of a stand.
DISTURBING: frozenset[CautionKind] = frozenset({"sudden-rise", "rising", "ice"})

# Under these the technician is told to warm the circuit: what climbs slowly then is meant to.
WARMED: frozenset[CautionKind] = frozenset({"ice", "not-pulling-down"})


@dataclass(slots=True)
class _Watch:
    sign: Sign
    standing: Caution | None = None
    changing_since_s: float | None = None
    ended_s: float = -math.inf
    returns: int = 0  # how often it came back soon
    other: tuple[str, float] | None = None  # what a standing one might be called, and since when

    def tick(self, sight: Sight, rules: EvacuationRules) -> Caution | None:
        """Weigh the sign now; give the caution when it is raised or lowered."""
        is_standing = self.standing is not None
        reason = (self.sign.keep if is_standing else self.sign.see)(sight, rules)
        if (reason is not None) == is_standing:
            self.changing_since_s = None
            self._renew(reason, sight.time_s)
            return None
        if self.changing_since_s is None:
            self.changing_since_s = sight.time_s
        waited_s = sight.time_s - self.changing_since_s
        clear_s = self.sign.clear_s + LATER_S * self.returns
        if waited_s < (clear_s if is_standing else self.sign.raise_s):
            return None
        self.changing_since_s = self.other = None
        if self.standing is not None:
            ended = self.standing
            self.standing, self.ended_s = None, sight.time_s
            return Caution(ended.kind, ended.from_s, sight.time_s, ended.reason)
        assert reason is not None
        is_soon = sight.time_s - self.ended_s < AGAIN_S and self.sign.kind not in PLAIN
        self.returns = self.returns + 1 if is_soon else 0
        self.standing = Caution(self.sign.kind, sight.time_s, None, reason)
        return self.standing

    def _renew(self, reason: Reason | None, time_s: float) -> None:
        """Give a standing caution its new reason, as when a cold circuit gets colder still.

        It must have been that for as long as it takes to raise one.
        """
        if self.standing is None or reason is None or not reason.values:
            return
        if reason.code == self.standing.reason.code:
            self.other = None
        elif self.other is None or self.other[0] != reason.code:
            self.other = reason.code, time_s
        if self.other is not None and time_s - self.other[1] >= self.sign.raise_s:
            self.standing, self.other = replace(self.standing, reason=reason), None


class CautionBoard:
    """Raises and lowers the cautions from what is seen at each tick.

    Parameters
    ----------
    rules
        The settings.

    Attributes
    ----------
    standing, kinds
        The cautions that stand.
    climb
        Whether the level climbs, or stands higher than it did.
    """

    def __init__(self, rules: EvacuationRules) -> None:
        self._rules = rules
        self._watches = [_Watch(sign) for sign in SIGNS]
        self._quick = [watch for watch in self._watches if watch.sign.is_quick]
        self._quick_kinds = frozenset(watch.sign.kind for watch in self._quick)
        self._fall, self._drop = Fall(), Drop()
        self._sudden = SuddenRise()
        self.climb = Climb()
        self._hush = Hush()
        self._plateau = Plateau()
        self._freezing = Freezing()
        self._intended = Intended()
        self._judged_s: float | None = None
        self.standing: tuple[Caution, ...] = ()
        self.kinds: frozenset[CautionKind] = frozenset()  # of those

    def judge_by(self, rules: EvacuationRules) -> None:
        """Weigh what is seen from now on by other limits."""
        self._rules = rules

    def mark(self, mark: Mark) -> None:
        """Take what the technician did: a rise that was meant is no warning."""
        self._intended.mark(mark.time_s, mark.kind)
        if mark.kind in VALVES:
            self._drop.forget()
            self._hush.forget(mark.time_s)
        elif mark.kind == "heat":
            self.climb.warm(mark.time_s)

    def sample(self, time_s: float, pressure_pa: float) -> None:
        """Take each reading: some signs are over within a second."""
        self._fall.update(time_s, pressure_pa)
        self._drop.update(time_s, pressure_pa)
        if self._intended.is_on and self._intended.is_so(time_s, pressure_pa):
            self._sudden.forget()
            self._drop.forget()
        else:
            self._sudden.update(time_s, pressure_pa)

    def tick(self, sight: Sight, *, is_due: bool = True) -> tuple[Caution, ...]:
        """Give the cautions raised or lowered now; all are weighed only when it ``is_due``."""
        is_meant = sight.is_isolated or self._intended.is_on
        if sight.is_broken and not self._intended.is_gas:  # it was at the last look
            self._plateau.forget(sight.time_s)
        sight.is_broken = self._intended.is_gas
        if is_meant:
            self.climb.forget()
            self._hush.forget(sight.time_s)
            self._sudden.forget()
        watches = self._quick
        if not is_due and self._is_calm(sight):
            return ()  # by far the most seconds
        if is_due:
            self._look(sight, is_meant=is_meant)
            level_s = sight.pace.newest_s
            has_level, self._judged_s = level_s != self._judged_s, level_s
            watches = [w for w in self._watches if has_level or not w.sign.is_slow]
        changes: list[Caution] = []
        for watch in watches:
            before = watch.standing
            change = watch.tick(sight, self._rules)
            if change is not None:
                changes.append(change)
                if change.kind in DISTURBING and change.until_s is not None:
                    self._plateau.forget(sight.time_s)
                if change.kind == "gauge-shut-off":
                    self.climb.forget()  # what it sees from now on is another level
            if watch.standing is not before:
                self._list(sight)
        return tuple(changes)

    @property
    def is_creeping(self) -> bool:
        """Whether the level climbs, be it ever so slowly: for ten minutes, or through a silence."""
        return self.climb.is_creeping or self._hush.is_creeping

    def _is_calm(self, sight: Sight) -> bool:
        """Whether none of the quick cautions stands, nor is anything seen of them."""
        return (
            not sight.is_silent
            and self._sudden.reason is None
            and self._quick_kinds.isdisjoint(self.kinds)
        )

    def _look(self, sight: Sight, *, is_meant: bool) -> None:
        """Look at how the level moves."""
        if not self.kinds.isdisjoint(WARMED):
            self.climb.warm(sight.time_s)
        if not is_meant:
            self.climb.look(sight.pace, sight.noise_pa, is_told=self._sudden.is_high)
            self._drop.rose_from(self.climb.foot_pa)
            if self.climb.reason is None:  # else what it is told of is told
                self._listen(sight)
        self._plateau.look(sight.pace, sight.time_s - sight.pull_s, sight.noise_pa)
        self._freezing.look(sight.time_s, sight.pull_s, self._plateau.level_pa)
        sight.fall, sight.drop, sight.sudden = self._fall, self._drop, self._sudden
        sight.climb, sight.hush, sight.plateau = self.climb, self._hush, self._plateau
        sight.freezing = self._freezing
        sight.standing = self.kinds

    def _listen(self, sight: Sight) -> None:
        """Look whether the bursts ended at once."""
        level_pa = sight.pace.level_pa
        self._hush.look(
            sight.pace,
            sight.boil,
            sight.noise_pa,
            pull_s=sight.pull_s,
            quiet_s=sight.quiet_s,
            is_low=level_pa is not None and level_pa <= self._rules.flat_below_pa,
            is_warmed=self.climb.is_warmed,
        )

    def _list(self, sight: Sight) -> None:
        self.standing = tuple(w.standing for w in self._watches if w.standing is not None)
        sight.standing = self.kinds = frozenset(caution.kind for caution in self.standing)
