"""The stages of an evacuation: a state machine with hysteresis, each change with its reason."""

import math
from dataclasses import dataclass

from analysis.closing.isolation import quiet_needed_s
from analysis.gauge.gaps import BLIND_S
from analysis.reason import Reason
from analysis.rules import EvacuationRules
from analysis.snapshot import Isolation, Stage

# The trace falls quickly while at its present pace it would halve within one flat interval.
HALVING = math.log(2.0)
# Stages change back only after the evidence has been gone for a minute: no flicker.
PATIENCE_S = 60.0
ISOLATION_S = 120.0  # a shorter isolation is over before it has evened out [practice]


@dataclass(slots=True)
class Evidence:
    """What the stage is judged by at one moment.

    ``fall_per_s`` is the relative fall of the level (-d ln P / dt, 1/s), positive while falling.
    ``bursts_before`` are those of earlier pulls, ``bursts_lately`` those within the last flat
    interval; ``has_boiled`` tells a boil-off from a mark or two in hours; ``quiet_s`` is the time
    watched since the last burst, or since bursts could first have been seen; ``is_proven`` says
    that an isolation showed next to no rise.
    ``is_rate_below`` is the forecast's word that flat is past, ``is_rate_above`` that it is more
    likely still to come; both are false where the forecast has no answer.
    """

    time_s: float
    level_pa: float | None
    fall_per_s: float | None
    burst_count: int
    bursts_lately: int
    has_boiled: bool
    quiet_s: float | None
    is_proven: bool
    has_trend: bool
    is_rate_below: bool
    is_rate_above: bool
    is_disturbed: bool
    quiet_proven_s: float | None = None  # quiet that is enough after such an isolation
    bursts_before: int = 0
    spacing_s: float | None = None  # of the readings, usually
    void_s: float = 0.0  # of the quiet, that was none: too cold, or held up by who knows what
    is_odd: bool = False  # the silence came sudden, or some of it was none
    is_climbing: bool = False  # through the last ten minutes, be it ever so slowly
    stepped_pa: float | None = None  # how much higher it stands since a step nobody explained

    @property
    def has_burst(self) -> bool:
        """Whether a burst came in this pull: what came before tells nothing of where it is."""
        return self.burst_count > self.bursts_before


def shows_quiet(isolation: Isolation | None, pull_s: float, rules: EvacuationRules) -> bool:
    """Whether an isolation of this pull rose no faster than a hold may."""
    if isolation is None or isolation.until_s is None or isolation.from_s < pull_s:
        return False
    if isolation.until_s - isolation.from_s < ISOLATION_S:
        return False
    if isolation.rate is None:
        return False  # how fast it rose is not known
    return isolation.rate.high * rules.hold.rise_window_s <= rules.hold.rise_pa


def quiet_proven_s(isolation: Isolation | None, rules: EvacuationRules) -> float | None:
    """How long a quiet spell is enough after an isolation (``analysis.closing.isolation``)."""
    if isolation is None or isolation.rate is None:
        return None
    allowed_pa_s = rules.hold.rise_pa / rules.hold.rise_window_s
    longest_s = max(rules.quiet_start_s, rules.flat_interval_s)
    return quiet_needed_s(isolation.rate, allowed_pa_s, rules.flat_interval_s, longest_s)


class StageMachine:
    """Tells the stage from the evidence.

    Parameters
    ----------
    rules
        The settings.
    """

    def __init__(self, rules: EvacuationRules) -> None:
        self._rules = rules
        self.stage: Stage = "pulling-down"
        self.since_s = 0.0
        self.reason = Reason("no-readings")
        self._wanted: Stage = "pulling-down"
        self._wanted_since_s = 0.0

    def judge_by(self, rules: EvacuationRules) -> None:
        """Judge by other limits."""
        self._rules = rules

    def start(self, time_s: float) -> None:
        """Begin a pull (again)."""
        self._set("pulling-down", time_s, Reason("pump-down"))

    def force(self, stage: Stage, time_s: float, reason: Reason) -> None:
        """Take a stage that the technician's own marks bring about."""
        self._set(stage, time_s, reason)

    def update(self, evidence: Evidence) -> None:
        """Weigh the evidence; the stage changes at once forward, after a while backward."""
        if self.stage in ("holding", "done"):
            return
        wanted, reason = self._judge(evidence)
        if wanted == self.stage:
            self._wanted, self.reason = wanted, reason
            return
        if wanted != self._wanted:
            self._wanted, self._wanted_since_s = wanted, evidence.time_s
        is_forward = _ORDER[wanted] > _ORDER[self.stage]
        if is_forward or evidence.time_s - self._wanted_since_s >= PATIENCE_S:
            self._set(wanted, evidence.time_s, reason)

    def _judge(self, e: Evidence) -> tuple[Stage, Reason]:
        rules = self._rules
        is_falling = e.fall_per_s is None or e.fall_per_s > HALVING / rules.flat_interval_s
        quiet_s, spacing_s = e.quiet_s or 0.0, e.spacing_s or 0.0
        if not e.has_burst and spacing_s > BLIND_S and self.stage != "flat":
            return "pulling-down", Reason("reads-too-rarely", {"spacing_s": spacing_s})
        if not e.has_burst and is_falling:
            return "pulling-down", Reason("pump-down")
        # A rate is told of a boil-off; a mark or two in hours leave it to quiet alone.
        # Nor is it of a silence that no decline explains, or in which what is left may be frozen.
        is_told = e.is_rate_below and e.has_boiled and not e.is_odd
        is_long = quiet_s - e.void_s >= self._quiet_needed_s(e)
        is_quiet = is_told or (not e.is_rate_above and is_long)
        # A lone burst now and then belongs to flat: two within one interval end it.
        if not is_falling and (is_quiet or (self.stage == "flat" and e.bursts_lately < 2)):
            return self._flat(e, quiet_s)
        if not e.has_burst:
            return "pulling-down", Reason("no-burst-yet", {"quiet_s": quiet_s})
        if self.stage == "flat":
            return "easing", Reason("bursts-again")
        if e.has_trend:
            return "easing", Reason("lulls-lengthen")
        return "boiling-off", Reason("bursts-seen")

    def _quiet_needed_s(self, e: Evidence) -> float:
        """Give how long no burst must have come for flat without the forecast's word.

        The chance of a lull of q at one burst per flat interval T is e^(-q/T); among the n lulls
        of a long run some are that long by chance. With q = T ln n fewer than one is expected at
        the flat rate, and at twice the rate one in n runs.
        """
        rules = self._rules
        if not e.has_boiled:
            if not e.is_proven:
                return rules.quiet_start_s
            return rules.flat_interval_s if e.quiet_proven_s is None else e.quiet_proven_s
        return max(rules.quiet_start_s, rules.flat_interval_s * math.log(e.burst_count))

    def _flat(self, e: Evidence, quiet_s: float) -> tuple[Stage, Reason]:
        before: Stage = "easing" if e.has_burst else "pulling-down"
        if e.is_disturbed:
            return before, Reason("caution-stands")
        if e.level_pa is None or e.level_pa > self._rules.flat_below_pa:
            values = {"pressure_pa": e.level_pa or 0.0, "flat_below_pa": self._rules.flat_below_pa}
            return before, Reason("stands-too-high", values)
        if e.is_climbing:
            return before, Reason("level-climbs")
        if e.stepped_pa is not None:
            return "flat", Reason("flat-but-higher", {"rise_pa": e.stepped_pa})
        if e.is_rate_below and e.has_boiled:
            values = {"flat_interval_s": self._rules.flat_interval_s}
            return "flat", Reason("rate-below-one", values)
        if not e.has_boiled and e.is_proven and quiet_s < self._rules.quiet_start_s:
            values = {"needed_s": self._quiet_needed_s(e), "quiet_s": quiet_s}
            return "flat", Reason("isolation-proves", values)
        return "flat", Reason("quiet-start", {"quiet_s": quiet_s})

    def _set(self, stage: Stage, time_s: float, reason: Reason) -> None:
        if stage != self.stage:
            self.since_s = time_s
        self.stage, self.reason = stage, reason
        self._wanted, self._wanted_since_s = stage, time_s


_ORDER: dict[Stage, int] = {
    "pulling-down": 0,
    "boiling-off": 1,
    "easing": 2,
    "flat": 3,
    "holding": 4,
    "done": 5,
}
