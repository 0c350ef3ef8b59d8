"""What comes out of the analysis after each update: frozen, O(1), codes and SI numbers only."""

from dataclasses import dataclass
from typing import Literal, NamedTuple

from analysis.closing.cut_off import CutOff
from analysis.closing.reopening import Reopening
from analysis.pump.pulls import Pull
from analysis.pump.pumping import NOTHING_KNOWN, Pumping
from analysis.reason import Interval, Reason
from analysis.sample import Status

Stage = Literal["pulling-down", "boiling-off", "easing", "flat", "holding", "done"]
CautionKind = Literal[
    "ice",
    "not-pulling-down",
    "gauge-shut-off",
    "no-signal",
    "sudden-rise",
    "rising",
    "no-bursts-seen",
    "cold",
]
Finding = Literal["held", "leak", "vapour", "both", "unclear"]
BurstState = Literal["provisional", "confirmed", "retracted"]


@dataclass(frozen=True, slots=True)
class Burst:
    """One boil-off event. ``number`` stays the same while it is revised.

    ``rise_pa`` and ``area_pa_s`` are measured over the falling base line; ``fall_s`` is the time
    constant of the slow fall. ``seen_s`` is when the values became final (``confirmed``), or when
    this revision was made.
    """

    number: int
    onset_s: float
    peak_s: float
    rise_pa: float
    fall_s: float
    area_pa_s: float
    seen_s: float
    state: BurstState


@dataclass(frozen=True, slots=True)
class Caution:
    """What makes the stage untrustworthy, while ``until_s`` is ``None`` still standing."""

    kind: CautionKind
    from_s: float
    until_s: float | None
    reason: Reason


@dataclass(frozen=True, slots=True)
class LullPoint:
    """The fitted lull at one time, with its 80 % band, for drawing."""

    time_s: float
    low_s: float
    best_s: float
    high_s: float


@dataclass(frozen=True, slots=True)
class FlatEstimate:
    """When the rate of visible bursts falls below one per flat interval, or why none can be told.

    The three times are all numbers and ``why`` is ``None``, or all ``None`` and ``why`` says so.
    ``lull_s`` is the modelled lull now (1 / intensity of visible bursts), ``curve`` at most 33
    points of it from the first burst to a little past the crossing. ``flat_probability`` is the
    posterior probability that the rate has already fallen below one per flat interval.
    """

    flat_at_s: float | None
    flat_low_s: float | None
    flat_high_s: float | None
    why: Reason | None
    lull_s: float | None = None
    flat_probability: float | None = None
    curve: tuple[LullPoint, ...] = ()


@dataclass(frozen=True, slots=True)
class LimitCheck:
    """One limit of a hold: a setting with its source, apart from the finding."""

    name: str
    limit: float
    value: float
    passed: bool
    source: str


@dataclass(frozen=True, slots=True)
class HoldCurve:
    """One explanation drawn over the hold: pressure at up to 64 times."""

    name: Literal["steady", "leak", "vapour", "both"]
    time_s: tuple[float, ...]
    pressure_pa: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class HoldResult:
    """Outcome of a hold so far. Times in seconds, rates in Pa/s of the isolated circuit.

    ``vapour_pa`` is the levelling-off rise above the evened-out start. A term that the data do
    not support is ``None``. ``hold_longer_s`` is set when a longer hold would tell more.
    Throughputs (Pa m3/s) are these rates times the circuit's volume; see ``analysis.hold.leak``.
    """

    finding: Finding
    duration_s: float
    rise_pa: float
    hold_longer_s: float | None
    leak_pa_s: Interval | None
    vapour_pa: Interval | None
    smallest_leak_seen_pa_s: float | None
    limits: tuple[LimitCheck, ...]
    reasons: tuple[Reason, ...]
    curves: tuple[HoldCurve, ...] = ()


@dataclass(frozen=True, slots=True)
class Isolation:
    """A short cut-off from the pump during the evacuation, and its rise.

    ``rate`` is that after the even-out, with its interval, or ``None`` where it was too short;
    ``rate_pa_s`` its best value, or else the mean over the whole. ``comparison`` sets it beside
    the one before, over the same length of time. ``reopening`` comes a while after the valve was
    opened again.
    """

    from_s: float
    until_s: float | None
    rise_pa: float
    rate_pa_s: float
    is_marked: bool
    rate: Interval | None = None
    comparison: Reason | None = None
    reopening: Reopening | None = None


@dataclass(frozen=True, slots=True)
class BlankOff:
    """Pump, hoses and gauge alone, cut off from pump and circuit.

    ``load_pa_m3_s`` is the rig's gas load, its rate of rise times its volume; ``None`` without
    the volume or when still too short. ``until_s`` is ``None`` while it runs.
    """

    from_s: float
    until_s: float | None
    ultimate_pa: float
    end_pa: float
    rise_pa: float
    rate_pa_s: Interval | None
    load_pa_m3_s: Interval | None
    is_long_enough: bool
    limits: tuple[LimitCheck, ...]
    reasons: tuple[Reason, ...]


# What each reading may change: the first fields of a Snapshot.
Changed = tuple[
    float,  # time_s
    float | None,  # pressure_pa
    float | None,  # temperature_c
    Status,
    tuple[Burst, ...],
    tuple[Caution, ...],
    tuple[float, float] | None,  # gap
    float | None,  # noise_pa
    float | None,  # smallest_burst_pa
    float | None,  # slope_pa_per_s
]


class Snapshot(NamedTuple):
    """All that is known after one update.

    A named tuple, not a frozen dataclass: one is made for each reading, at a third of the cost.
    """

    # As ``Changed`` has them; the rest changes at a tick, a mark or a burst only.
    time_s: float
    pressure_pa: float | None
    temperature_c: float | None
    status: Status
    bursts: tuple[Burst, ...]  # new or revised by this update
    caution_changes: tuple[Caution, ...]  # opened or closed by this update
    gap: tuple[float, float] | None  # a gap in the readings found by this update
    noise_pa: float | None
    smallest_burst_pa: float | None
    slope_pa_per_s: float | None  # of the base line under the bursts

    stage: Stage
    stage_since_s: float
    stage_reason: Reason
    cautions: tuple[Caution, ...]  # standing now
    burst_count: int  # confirmed so far
    last_onset_s: float | None
    flat: FlatEstimate
    flat_reached_s: float | None
    boiling_pa: float | None  # the water's boiling pressure at the circuit's temperature
    hold: HoldResult | None
    hold_from_s: float | None
    isolation: Isolation | None  # standing, or the last one ended
    pumping: Pumping = NOTHING_KNOWN
    isolations: tuple[Isolation, ...] = ()  # the last 64 that ended, oldest first
    offered: CutOff | None = None  # a closing that the trace shows and nobody marked
    pull: int = 1  # number of the pull: one more after each break of the vacuum
    pulls: tuple[Pull, ...] = ()  # the last eight, this one last
    blank_off: BlankOff | None = None  # running, or the last one

    def later(self, changed: Changed) -> "Snapshot":
        """Give the snapshot after another reading; cheaper than ``_replace`` by half."""
        rest: tuple[object, ...] = self[len(changed) :]
        return tuple.__new__(Snapshot, changed + rest)  # what _make does, without its checks
