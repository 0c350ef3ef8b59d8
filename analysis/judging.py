"""Judging the stage from the bursts, the quiet between them and the pace."""

import math
from typing import Literal

from analysis.caution.boil import Boil
from analysis.pace import Pace
from analysis.reason import Reason
from analysis.rules import EvacuationRules
from analysis.snapshot import Burst, CautionKind, FlatEstimate, Isolation
from analysis.stage import Evidence, StageMachine, quiet_proven_s, shows_quiet

Silence = Literal["sound", "sudden", "none"]  # since the last burst, what it is worth
PACE_WINDOW_S = 300.0
UNDISTURBING: frozenset[CautionKind] = frozenset({"no-bursts-seen"})
# What may be frozen, or is too cold to boil, does not burst: its quiet is none.
_NO_QUIET: frozenset[CautionKind] = frozenset({"not-pulling-down", "cold"})


class Judging:
    """Keeps what the stage is judged by, and the stage.

    Parameters
    ----------
    rules
        The settings.

    Attributes
    ----------
    stages
        The stage, its reason, and since when.
    boil
        The bursts of late.
    burst_count, last_onset_s
        Of the confirmed bursts.
    is_proven
        Whether an isolation of this pull rose no faster than a hold may.
    quiet_s
        Time watched since the last burst, or since bursts could first have been seen.
    flat_reached_s
        When the stage first was flat with no caution standing but ``no-bursts-seen``.
    """

    def __init__(self, rules: EvacuationRules) -> None:
        self._rules = rules
        self._pull_s = -math.inf  # when this pull began
        self._quiet_proven_s: float | None = None
        self._proof: tuple[Isolation | None, float] = (None, 0.0)
        self.stages = StageMachine(rules)
        self.boil = Boil(rules.flat_interval_s)
        self.burst_count = self._bursts_before = 0
        self.last_onset_s: float | None = None
        self.quiet_s = self._void_s = 0.0  # the quiet so far, and how much of it is none
        self._is_voided = False  # whether any of this silence was none
        self.is_proven = False
        self.flat_reached_s: float | None = None

    def judge_by(self, rules: EvacuationRules) -> None:
        """Judge by other limits, the last isolation too."""
        self._rules, self._proof = rules, (None, 0.0)
        self.stages.judge_by(rules)

    def add_burst(self, burst: Burst) -> None:
        """Take a confirmed burst; a look back may find one of an earlier pull."""
        self.burst_count += 1
        self._bursts_before += burst.onset_s < self._pull_s
        self.boil.add(burst.onset_s)
        if self.last_onset_s is None or burst.onset_s > self.last_onset_s:
            self.last_onset_s, self._is_voided = burst.onset_s, False
        self.quiet_s = min(self.quiet_s, max(burst.seen_s - burst.onset_s, 0.0))

    def watch(self, watched_s: float) -> None:
        """Take a time in which a visible burst would have been seen: only that is quiet."""
        self.quiet_s += watched_s

    def begin_pull(self, time_s: float, reason: Reason) -> None:
        """Begin a pull (again): what was seen before tells nothing of how far it is down."""
        self.stages.force("pulling-down", time_s, reason)
        self._pull_s, self._is_voided = time_s, False
        self.quiet_s = self._void_s = 0.0
        self._bursts_before = self.burst_count

    def prove(self, isolation: Isolation | None, pull_s: float) -> None:
        """Take the last isolation, if any, and the start of this pull, which it must lie in."""
        if isolation is self._proof[0] and pull_s == self._proof[1]:
            return
        self._proof = isolation, pull_s
        self.is_proven = shows_quiet(isolation, pull_s, self._rules)
        self._quiet_proven_s = quiet_proven_s(isolation, self._rules)

    def judge(
        self,
        time_s: float,
        pace: Pace,
        flat: FlatEstimate,
        *,
        has_trend: bool,
        is_rate_below: bool,
        cautions: frozenset[CautionKind],
        silence: Silence = "sound",
        is_climbing: bool = False,
        stepped_pa: float | None = None,
        spacing_s: float | None = None,
    ) -> None:
        """Judge the stage.

        Parameters
        ----------
        time_s
            Now.
        pace
            How the level moves.
        flat
            The forecast.
        has_trend
            Whether the lulls are seen to lengthen; a forecast may be had without.
        is_rate_below
            The forecast's word that flat is past.
        cautions
            Those that stand.
        silence
            Whether the silence since the last burst is sound, came sudden, so that the forecast is
            not taken at its word, or is none: what boiled before may be ice, told or not.
        is_climbing, stepped_pa
            Whether the level climbs, and how much higher it stands since a step nobody explained.
        spacing_s
            How far apart the readings usually are, where that is known.
        """
        if "ice" in cautions:
            self.quiet_s = 0.0
        self._is_voided = self._is_voided or silence == "none"
        if silence == "none" or not cautions.isdisjoint(_NO_QUIET):
            self._void_s = self.quiet_s
        self._void_s = min(self._void_s, self.quiet_s)
        fall_per_s = pace.change_per_s(PACE_WINDOW_S)
        probability = flat.flat_probability
        is_disturbed = not cautions <= UNDISTURBING
        self.stages.update(
            Evidence(
                time_s=time_s,
                level_pa=pace.level_pa,
                fall_per_s=None if fall_per_s is None else -fall_per_s,
                burst_count=self.burst_count,
                bursts_lately=self.boil.count(time_s - self._rules.flat_interval_s),
                has_boiled=self.boil.has_boiled,
                quiet_s=self.quiet_s,
                void_s=self._void_s,
                is_odd=self._is_voided or silence == "sudden",
                is_proven=self.is_proven,
                has_trend=has_trend,
                is_rate_below=is_rate_below,
                is_rate_above=probability is not None and probability < 0.5,
                is_disturbed=is_disturbed,
                quiet_proven_s=self._quiet_proven_s,
                bursts_before=self._bursts_before,
                spacing_s=spacing_s,
                is_climbing=is_climbing,
                stepped_pa=stepped_pa,
            )
        )
        if self.flat_reached_s is None and self.stages.stage == "flat" and not is_disturbed:
            self.flat_reached_s = time_s
