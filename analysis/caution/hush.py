"""A boil-off whose bursts ended at once while the level stays or climbs: a gauge on its own hose.

Shut off in mid-run, a gauge goes on showing what its own hose holds: no burst comes any more, and
the level stands, or climbs straight by what the hose gives off and lets in. A circuit under the
pump may fall silent, but what holds its level up then fades.
"""

import math

from analysis.caution.boil import BOILING_COUNT, Boil
from analysis.caution.climb import CLIMB_STEPS, climbed
from analysis.caution.silence import TOGETHER, chance_of_silence
from analysis.middle import median
from analysis.pace import KEPT, Pace
from analysis.reason import Reason

SETTLES_S = 60.0  # from an onset on the level rises by itself, but never so long
LEAST = 3  # levels in each of the six parts of a climb
# A rise that is seen: over three standard deviations and over a rounding step, which is at most
# sqrt(12) of the noise. Gauges drift by parts of a percent [chosen].
NOISES, DRIFTS, EVEN = math.sqrt(12.0), 0.01, 0.5
# Alone a silence must be as rare as this: it is looked for after each of some hundred bursts, and
# so comes by chance in one run of a hundred.
CUT_OFF = 1e-4
SUDDEN = 1e-3  # not yet told, but the forecast is not taken at its word: it knows of decline only
# Climbs through so long a lull, s, are told by themselves, or keep flat from being called, where
# they gain that share. No pumped circuit goes on climbing so without a burst.
TOLD, CREEPS = (1200.0, 0.05), (600.0, 0.025)
FALLS = 5.0  # noises; what a gauge on its own hose shows goes up only
BACK_BURSTS = 2  # one may be a mistake of the detector


class Hush:
    """Remembers whether the bursts ended at once.

    Attributes
    ----------
    reason
        What is told, if anything.
    is_sudden
        Whether the silence is one that a decline hardly ever brings, told or not.
    """

    def __init__(self) -> None:
        self._seen_s: float | None = None
        self._after_s = -math.inf  # what was before tells nothing of what comes
        self._last_s = 0.0  # the last onset when it was told
        self._floor_pa = math.inf
        self._crept: tuple[float, float, float] | None = None  # in which lull, from and to where
        self.reason: Reason | None = None
        self.is_sudden = False

    @property
    def is_creeping(self) -> bool:
        """Whether the level climbed in this lull, be it ever so slowly, and is not back by half."""
        return self._crept is not None

    def forget(self, time_s: float) -> None:
        """Leave what was before: a valve was turned, or the pull begun anew."""
        self._after_s = max(self._after_s, time_s)
        self.reason, self._crept, self.is_sudden = None, None, False

    def look(
        self,
        pace: Pace,
        boil: Boil,
        noise_pa: float | None,
        *,
        pull_s: float,
        quiet_s: float,
        is_low: bool,
        is_warmed: bool,
    ) -> None:
        """Look at the ten-second levels; does nothing until a new one is there.

        Parameters
        ----------
        pace, boil, noise_pa
            What is seen of the trace.
        pull_s
            Start of the pull, s.
        quiet_s
            Time watched since the last burst, s.
        is_low
            Whether it is low enough for flat: higher up a silence may be ice's.
        is_warmed
            Whether the circuit is being warmed: what climbs then is meant to.
        """
        newest_s = pace.newest_s
        if newest_s is None or newest_s == self._seen_s:
            return
        self._seen_s = newest_s
        after_s = max(self._after_s, pull_s)
        onsets_s = [onset_s for onset_s in boil.onsets_s if onset_s > after_s]
        if noise_pa is None or len(onsets_s) < BOILING_COUNT or not boil.has_boiled:
            self._crept, self.is_sudden = None, False
            return
        lull = [step for step in pace.last(KEPT) if step[0] > onsets_s[-1] + SETTLES_S]
        if self.reason is not None:
            self._keep(lull, boil, noise_pa)
            return
        if self._crept is not None and not self._goes_on(lull, onsets_s[-1]):
            self._crept = None
        if len(lull) < CLIMB_STEPS * LEAST:
            self.is_sudden = False
            return
        self.reason = self._judge(
            lull, onsets_s, noise_pa, quiet_s, is_low=is_low, is_warmed=is_warmed
        )
        if self.reason is not None:
            self._last_s, self._floor_pa = onsets_s[-1], min(pa for _, pa in lull)

    def _judge(
        self,
        lull: list[tuple[float, float]],
        onsets_s: list[float],
        noise_pa: float,
        quiet_s: float,
        *,
        is_low: bool,
        is_warmed: bool,
    ) -> Reason | None:
        chance, values = chance_of_silence(onsets_s, quiet_s), {"silent_s": quiet_s}
        self.is_sudden = chance < SUDDEN
        if not is_warmed and self._climbs(lull, noise_pa, chance, onsets_s[-1]):
            return Reason("gauge-climbs-silent", values)
        if is_low and chance < CUT_OFF and not _has_fallen(lull, noise_pa):
            return Reason("gauge-silent", values)
        return None

    def _climbs(
        self, lull: list[tuple[float, float]], noise_pa: float, chance: float, last_s: float
    ) -> bool:
        """Whether the level climbs through the lull as only what is cut off from the pump does."""
        foot = climbed(lull, len(lull) // CLIMB_STEPS, DRIFTS, EVEN, noise_pa, NOISES)
        if foot is None:
            return False
        silent_s, gained_pa = lull[-1][0] - last_s, lull[-1][1] - foot[1]
        if silent_s >= CREEPS[0] and gained_pa >= CREEPS[1] * foot[1]:
            self._crept = last_s, foot[1], lull[-1][1]
        return chance < TOGETHER or (silent_s >= TOLD[0] and gained_pa >= TOLD[1] * foot[1])

    def _goes_on(self, lull: list[tuple[float, float]], last_s: float) -> bool:
        """Whether what crept up does so in this lull, and is not back by half."""
        assert self._crept is not None
        began_s, foot_pa, top_pa = self._crept
        return last_s == began_s and bool(lull) and lull[-1][1] > 0.5 * (foot_pa + top_pa)

    def _keep(self, lull: list[tuple[float, float]], boil: Boil, noise_pa: float) -> None:
        """End what bursts, or a level under all that it was, show to be over."""
        lately = [pa for _, pa in lull[-CLIMB_STEPS:]]
        has_fallen = bool(lately) and median(lately) < self._floor_pa - FALLS * noise_pa
        if has_fallen or boil.count(self._last_s) > BACK_BURSTS:
            self.forget(self._last_s)


def _has_fallen(lull: list[tuple[float, float]], noise_pa: float) -> bool:
    """Whether the level came down clearly since the last burst."""
    third = len(lull) // 3
    first_pa, last_pa = median(pa for _, pa in lull[:third]), median(pa for _, pa in lull[-third:])
    return last_pa < first_pa - FALLS * noise_pa
