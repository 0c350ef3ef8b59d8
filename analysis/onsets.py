"""Rival explanations of the newest samples, each a Kalman filter with its own list of events."""

from dataclasses import dataclass
from math import exp, log
from typing import Literal, NamedTuple

from analysis.pumpdown_filter import Drift, State, advance, start
from analysis.thinning import Bin

Kind = Literal["burst", "glitch", "step", "bend"]

# Log prior of each event at one sample. Bursts come every 10 to 600 s; a valve is moved a few
# times a job; a gauge glitches on less than one reading in a hundred. Orders of magnitude only:
# the evidence of an event is tens of such units.
_LOG_PRIOR: dict[Kind, float] = {"burst": -6.0, "glitch": -6.0, "step": -13.0, "bend": -13.0}
# An explanation this much less likely than the best is dropped: e^-14 is about one in a million.
_HOPELESS = 14.0
_KEEP, _KEEP_STEPS = 12, 2
# A step comes in through the gauge's lag, some tenths of a second to a second.
_STEP_LAG_S = 1.0
# While a burst may still be boiling, the gas yet to come may turn out to be more, or less, by
# this share in one rise time; rises take several seconds at most.
_MORE, _BOILING_S = 0.5, 1e9
# Rises looked for: quick, and slow (several seconds of boiling through a lagging gauge).
RISES_S = (0.7, 3.0)
FALLS_S = (4.0, 12.0, 35.0, 110.0)


class Event(NamedTuple):
    """Something an explanation holds to have happened, with the forecast from just before it."""

    kind: Kind
    time_s: float
    before: State
    before_fall_s: float
    before_rise_s: float
    fall_s: float
    rise_s: float


@dataclass(slots=True)
class Explanation:
    """One account of the trace so far."""

    state: State
    fall_s: float
    rise_s: float
    log_weight: float
    events: tuple[Event, ...]
    off: float = 0.0
    last_onset_s: float = float("-inf")
    unrest: float = 0.0  # variance that the level still gains while a step comes in, Pa^2


class Onsets:
    """Keep the best few explanations of the trace; each sample may start new ones."""

    def __init__(self) -> None:
        self.explanations: list[Explanation] = []
        self._time_s = 0.0
        self.fall_s: float | None = None
        self.fall_spread = 1.0
        self._rise_counts = dict.fromkeys(RISES_S, 1.0)
        self._rise_log_share = dict.fromkeys(RISES_S, -log(len(RISES_S)))

    def restart(self) -> None:
        """Forget everything but the fall constant."""
        self.explanations = []

    def learn_rise(self, rise_s: float) -> None:
        """Count a certain burst's rise: a gauge's lag stays, and so mostly do its rises."""
        self._rise_counts[rise_s] += 1.0
        total = sum(self._rise_counts.values())
        self._rise_log_share = {
            rise: log(count / total) for rise, count in self._rise_counts.items()
        }

    @property
    def best(self) -> Explanation:
        """The likeliest explanation."""
        return self.explanations[0]

    def loosen(self, variance: float) -> None:
        """Put the level in doubt: something may have happened unseen."""
        for one in self.explanations:
            one.state = (*one.state[:4], one.state[4] + variance, *one.state[5:])

    def update(self, sample: Bin, noise_pa: float, drift: Drift, may_branch: bool = True) -> None:
        """Take one sample; without ``may_branch`` no new explanation is sought for it."""
        if not self.explanations:
            falls = FALLS_S if self.fall_s is None else (self.fall_s,)
            state = start(sample.pressure_pa, drift.variance)
            self.explanations = [Explanation(state, fall, RISES_S[0], 0.0, ()) for fall in falls]
            self._time_s = sample.time_s
            return
        found: list[Explanation] = []
        top = self.explanations[0].log_weight
        for old in self.explanations:
            self._grow(
                old, sample, noise_pa, drift, found, may_branch and old.log_weight > top - 6.0
            )
        self._time_s = sample.time_s
        self._prune(found, noise_pa)

    def _grow(
        self,
        old: Explanation,
        sample: Bin,
        noise_pa: float,
        drift: Drift,
        found: list[Explanation],
        is_likely: bool,
    ) -> None:
        """Carry one explanation on, and branch where the sample does not fit it."""
        pressure = sample.pressure_pa
        more = _MORE if self._time_s < old.last_onset_s + _BOILING_S else 0.0
        unrest = old.unrest
        if unrest > 0.0:
            unrest *= exp(-2.0 * drift.dt_s / _STEP_LAG_S)
            old.state = (*old.state[:4], old.state[4] + unrest, *old.state[5:])
            if unrest < 1e-4 * drift.variance:
                unrest = 0.0
        state, without, off, like, total = advance(
            old.state, pressure, drift, old.fall_s, old.rise_s, more
        )
        found.append(
            Explanation(
                state,
                old.fall_s,
                old.rise_s,
                old.log_weight + like,
                old.events,
                off,
                old.last_onset_s,
                unrest,
            )
        )
        if not is_likely:
            return
        miss = 1.5 * abs(off) * total**0.5
        last = old.events[-1] if old.events else None
        apart = max(2.0, 2.5 * drift.dt_s)
        if off > 1.3 and self._time_s > old.last_onset_s + apart:
            self._branch_burst(old, pressure, drift, noise_pa, miss, found)
        if abs(off) < 3.0:
            return
        size = max(10.0 * noise_pa, miss)
        if last is None or last.kind != "glitch" or last.time_s < self._time_s:
            weight = old.log_weight + _LOG_PRIOR["glitch"] - log(2.0 * size)
            event = Event(
                "glitch", sample.time_s, old.state, old.fall_s, old.rise_s, old.fall_s, old.rise_s
            )
            found.append(
                Explanation(
                    without,
                    old.fall_s,
                    old.rise_s,
                    weight,
                    (*old.events, event),
                    0.0,
                    old.last_onset_s,
                    unrest,
                )
            )
        b, v, s, q, bb, bv, bs, bq, vv, *rest = old.state
        dt = max(drift.dt_s, 0.5)
        pushes: tuple[tuple[Kind, float, float], ...] = (
            ("step", size * size, 0.0),
            ("bend", 0.0, (size / dt) ** 2),
        )
        for kind, level, slope in pushes:
            if kind == "bend" and _bent_since(old, self._time_s - 10.0):
                continue
            pushed = (b, v, s, q, bb + level, bv, bs, bq, vv + slope, *rest)
            self._branch(old, kind, pushed, old.fall_s, old.rise_s, pressure, drift, found)  # type: ignore[arg-type]

    def _branch_burst(
        self,
        old: Explanation,
        pressure: float,
        drift: Drift,
        noise_pa: float,
        miss: float,
        found: list[Explanation],
    ) -> None:
        if self.fall_s is None:
            falls: tuple[float, ...] = FALLS_S
        elif self.fall_spread > 0.3:
            falls = (self.fall_s, self.fall_s / 1.6, self.fall_s * 1.6)
        else:
            falls = (self.fall_s,)
        for rise in RISES_S:
            # The sample shows only the part of the gas that has come by now.
            size = max(10.0 * noise_pa, miss / (1.0 - exp(-max(drift.dt_s, 0.1) / rise)))
            # Where between two samples the onset lies is not known, so the share already seen is
            # free; what is still to come is told by the samples after it.
            *rest, ss, sq, qq = old.state
            pushed: State = (*rest, ss + miss * miss, sq, qq + size * size)  # type: ignore[assignment]
            for fall in falls:
                if rise < 0.7 * fall:
                    self._branch(old, "burst", pushed, fall, rise, pressure, drift, found)

    def _branch(
        self,
        old: Explanation,
        kind: Kind,
        pushed: State,
        fall_s: float,
        rise_s: float,
        pressure: float,
        drift: Drift,
        found: list[Explanation],
    ) -> None:
        state, _, off, like, _ = advance(pushed, pressure, drift, fall_s, rise_s, _MORE)
        event = Event(kind, self._time_s, old.state, old.fall_s, old.rise_s, fall_s, rise_s)
        weight = old.log_weight + _LOG_PRIOR[kind] + like
        if kind == "burst":
            weight += self._rise_log_share[rise_s]
        found.append(
            Explanation(
                state,
                fall_s,
                rise_s,
                weight,
                (*old.events, event),
                off,
                self._time_s if kind == "burst" else old.last_onset_s,
                0.25 * (pushed[4] - old.state[4]) if kind == "step" else old.unrest,
            )
        )

    def _prune(self, found: list[Explanation], noise_pa: float) -> None:
        found.sort(key=_weight, reverse=True)
        top = found[0].log_weight
        kept: list[Explanation] = []
        steps = 0
        alike: dict[tuple[float, tuple[Kind, ...]], int] = {}
        most = 1 if self.fall_spread < 0.3 else 2
        for one in found:
            if one.log_weight < top - _HOPELESS:
                break
            if len(kept) >= _KEEP:
                # A step is told from a burst only by not falling: it must live to be tried.
                if steps == _KEEP_STEPS or not one.events or one.events[-1].kind != "step":
                    continue
                steps += 1
            if one.events:
                kinds = (one.rise_s, tuple([event.kind for event in one.events]))
            else:
                kinds = (one.fall_s, ())
            count = alike.get(kinds, 0)
            if count < most and not _is_twin(one, kept, 0.1 * noise_pa):
                alike[kinds] = count + 1
                one.log_weight -= top
                kept.append(one)
        self.explanations = kept

    def support(self, event: Event, tolerance_s: float) -> float:
        """Posterior probability that an event of this kind happened about then."""
        yes = total = 0.0
        for one in self.explanations:
            weight = exp(one.log_weight)
            total += weight
            if _has(one, event, tolerance_s):
                yes += weight
        return yes / total

    def settle(self, event: Event, tolerance_s: float) -> None:
        """Hold the event for certain: drop what contradicts it, and stop carrying it along."""
        kept = [one for one in self.explanations if _has(one, event, tolerance_s)]
        for one in kept:
            one.events = tuple(
                [
                    other
                    for other in one.events
                    if not (_is_same(event, other, tolerance_s) or other.time_s < event.time_s)
                ]
            )
        self.explanations = kept


def _bent_since(one: Explanation, time_s: float) -> bool:
    return any(event.kind == "bend" and event.time_s > time_s for event in one.events)


def _is_twin(one: Explanation, kept: list[Explanation], within_pa: float) -> bool:
    """Whether a likelier explanation has come to see the present in the same way."""
    state = one.state
    for other in kept:
        same = other.state
        if (
            abs(other.fall_s - one.fall_s) < 0.2 * one.fall_s
            and abs(same[0] - state[0]) < within_pa
            and abs(same[1] - state[1]) < within_pa  # over a second
            and abs(same[2] - state[2]) < within_pa
            and abs(same[3] - state[3]) < within_pa
        ):
            return True
    return False


def _weight(one: Explanation) -> float:
    return one.log_weight


def _is_same(event: Event, other: Event, tolerance_s: float) -> bool:
    return other.kind == event.kind and abs(other.time_s - event.time_s) <= tolerance_s


def _has(one: Explanation, event: Event, tolerance_s: float) -> bool:
    return any(_is_same(event, other, tolerance_s) for other in one.events)
