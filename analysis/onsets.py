"""Rival explanations of the newest samples: each sample weighs them and may start new ones."""

from collections import deque
from math import exp, inf, log
from operator import attrgetter

from analysis.explanation import Event, Explanation, Kind
from analysis.pumpdown_filter import Drift, State, advance, is_steep, start
from analysis.pushes import arrived, coming, moved, pushed, set_free
from analysis.rivals import LOG_PRIOR, MORE, Recent, rivals
from analysis.thinning import Bin

# An explanation this much less likely than the best is dropped: e^-14 is about one in a million.
_HOPELESS = 14.0
# How many are kept; a step or a bend is told from bursts only by not falling, so it must live to
# be tried: so many more of each.
_KEEP, _KEEP_LASTING = 12, 2
# New explanations are sought where a sample lies this far from the likeliest forecasts, in
# standard deviations: a burst may begin slowly, the others do not.
_BURST_FROM, _OTHER_FROM, _LIKELY = 1.3, 3.0, 6.0
# A rise is weighed against a turned valve after so many samples, kept in memory meanwhile.
_RECALLED = 64
# For how long a burst may boil: rises take several seconds at most.
_BOILING_S = 8.0
# A leak or a closed valve bends the base line for long; a bend that ends at once is a burst.
_BEND_LASTS_S = 10.0
# Two bursts nearer than this are one to the eye, and to the definition (3 s or 3 readings).
_APART_S, _APART_SAMPLES = 2.0, 2.5
# Rises looked for: quick, and slow (several seconds of boiling through a lagging gauge).
_RISES_S = (0.7, 1.6, 3.5)
SLOWEST_RISE_S = _RISES_S[-1]
# So many falls make sure of the circuit's own.
_FEW_FALLS = 4
# After so many time constants a turn is over.
_ARRIVED = 6.0
# Below so many noises a second the rate at which the slope dies no longer shows.
_STEEP_PER_S = 0.1
_LOG_WEIGHT = attrgetter("log_weight")
# Falls looked for until the circuit's own is known.
_FALLS_S = (4.0, 12.0, 35.0, 110.0)


class Onsets:
    """Keep the best few explanations of the trace, likeliest first."""

    def __init__(self) -> None:
        self.explanations: list[Explanation] = []
        self._time_s = 0.0
        self._falls_s: tuple[float, ...] = _FALLS_S
        self._is_sure_of_fall = False
        self._rise_counts = dict.fromkeys(_RISES_S, 1.0)
        self._rise_log_share = dict.fromkeys(_RISES_S, -log(len(_RISES_S)))
        self._since = 0.0  # the likeliest one's log weight, counted from the beginning
        self._recent: deque[Recent] = deque(maxlen=_RECALLED)

    @property
    def best(self) -> Explanation:
        """The likeliest explanation."""
        return self.explanations[0]

    @property
    def slowest_fall_s(self) -> float:
        """Slowest fall that is looked for."""
        return max(self._falls_s)

    def restart(self) -> None:
        """Forget the trace; what was learned of the circuit stays."""
        self.explanations = []
        self._recent.clear()

    def learn_fall(self, fall_s: float, spread: float, falls: int) -> None:
        """Use this fall constant for bursts to come; ``spread`` is of its logarithm.

        Few ``falls`` may all be misread ones, after which nothing else would be looked for.
        """
        self._is_sure_of_fall = spread < 0.3 and falls >= _FEW_FALLS
        if self._is_sure_of_fall:
            self._falls_s = (fall_s,)
        elif falls >= _FEW_FALLS:
            self._falls_s = (fall_s, fall_s / 1.6, fall_s * 1.6)
        else:
            others = [other for other in _FALLS_S if not 0.6 < other / fall_s < 1.7]
            self._falls_s = (fall_s, *others)

    def doubt_fall(self) -> None:
        """Look for any fall again: with the one learned nothing fits."""
        self._is_sure_of_fall, self._falls_s = False, _FALLS_S

    def learn_rise(self, rise_s: float) -> None:
        """Count a certain burst's rise: a gauge's lag stays, and so mostly do its rises."""
        self._rise_counts[min(rise_s, SLOWEST_RISE_S)] += 1.0
        total = sum(self._rise_counts.values())
        self._rise_log_share = {
            rise: log(count / total) for rise, count in self._rise_counts.items()
        }

    def loosen(self, variance: float) -> None:
        """Put the level in doubt: something may have happened unseen."""
        for one in self.explanations:
            one.state = pushed(one.state, 4, variance)

    def update(self, sample: Bin, noise_pa: float, drift: Drift, may_branch: bool = True) -> None:
        """Take one sample; without ``may_branch`` no new explanation is sought for it."""
        if not self.explanations:
            state = start(sample.pressure_pa, drift.variance)
            # Without vapour over the base line yet, the fall constant does not matter.
            self.explanations = [Explanation(state, self._falls_s[0], _RISES_S[0])]
        else:
            found = self._carried_on(sample, noise_pa, drift, may_branch)
            if len(found) > 1:
                self._prune(found, noise_pa)
            else:
                self._since += found[0].log_weight
                found[0].log_weight = 0.0
                self.explanations = found
        self._time_s = sample.time_s
        self._recent.append((sample, noise_pa, drift))

    def _carried_on(
        self, sample: Bin, noise_pa: float, drift: Drift, may_branch: bool
    ) -> list[Explanation]:
        """Give the explanations after the sample, with those that branch off where it lies off."""
        found: list[Explanation] = []
        time_s, pressure_pa = self._time_s, sample.pressure_pa  # of the sample before, of this
        likely = self.best.log_weight - _LIKELY if may_branch else inf
        for old in self.explanations:
            more = MORE if time_s < old.last_onset_s + _BOILING_S else 0.0
            state, without, off, like, total = advance(
                old.state, pressure_pa, drift, old.fall_s, old.rise_s, more, old.turns
            )
            if (off > _BURST_FROM or off < -_OTHER_FROM) and old.log_weight > likely:
                self._branch(old, without, off, total, sample, noise_pa, drift, found)
            if state[14] is not None and not is_steep(state, _STEEP_PER_S * noise_pa):
                state = (*state[:14], None)
            old.state, old.off = state, off
            if old.turns and time_s > old.last_onset_s + _ARRIVED * old.rise_s:
                old.arrive(arrived(state, old.rise_s), _RISES_S[0])
            old.log_weight += like
            found.append(old)
        return found

    def _branch(
        self,
        old: Explanation,
        without: State,
        off: float,
        total: float,
        sample: Bin,
        noise_pa: float,
        drift: Drift,
        found: list[Explanation],
    ) -> None:
        """Look for events that explain a sample which lies off its forecast."""
        pressure = sample.pressure_pa
        miss = 1.5 * abs(off) * total**0.5
        apart_s = max(_APART_S, _APART_SAMPLES * drift.dt_s)
        before = arrived(old.state, old.rise_s) if old.turns else old.state
        if off > _BURST_FROM and self._time_s > old.last_onset_s + apart_s:
            for rise in _RISES_S:
                after = set_free(before, miss, coming(miss, noise_pa, drift.dt_s, rise))
                for fall in self._falls_s:
                    if rise < 0.7 * fall:
                        self._add(old, "burst", after, fall, rise, pressure, drift, found)
        if abs(off) < _OTHER_FROM:
            return
        size = max(10.0 * noise_pa, miss)
        last = old.events[-1] if old.events else None
        if last is None or last.kind != "glitch" or last.time_s < self._time_s:
            found.append(_glitch(old, without, sample.time_s, size))
        for rise in _RISES_S:
            after = moved(before, miss, coming(miss, noise_pa, drift.dt_s, rise))
            self._add(old, "step", after, 0.0, rise, pressure, drift, found)
        if not old.has_bent_since(self._time_s - _BEND_LASTS_S):
            slope = size / max(drift.dt_s, 0.5)
            self._add(
                old, "bend", pushed(before, 8, slope * slope), 0.0, 0.0, pressure, drift, found
            )

    def _add(
        self,
        old: Explanation,
        kind: Kind,
        after: State,
        fall_s: float,
        rise_s: float,
        pressure: float,
        drift: Drift,
        found: list[Explanation],
    ) -> None:
        """Add an explanation by which an event just after the last sample brought this one."""
        fall, rise = fall_s or old.fall_s, rise_s or (_RISES_S[0] if old.turns else old.rise_s)
        turns = kind == "step"
        state, _, off, like, _ = advance(after, pressure, drift, fall, rise, MORE, turns)
        weight = old.log_weight + LOG_PRIOR[kind] + like
        if kind != "bend":
            weight += self._rise_log_share[rise]
        found.append(
            Explanation(
                state,
                fall,
                rise,
                weight,
                (*old.events, old.event(kind, self._time_s, fall, rise, self._since)),
                off,
                old.last_onset_s if kind == "bend" else self._time_s,
                turns,
            )
        )

    def _prune(self, found: list[Explanation], noise_pa: float) -> None:
        """Keep the likeliest, few of each sort, none that has come to see the present alike."""
        found.sort(key=_LOG_WEIGHT, reverse=True)
        top = found[0].log_weight
        kept: list[Explanation] = []
        lasting: dict[Kind, int] = {"step": _KEEP_LASTING, "bend": _KEEP_LASTING}
        alike: dict[tuple[float, tuple[Kind, ...]], int] = {}
        falls: set[tuple[float, tuple[Kind, ...]]] = set()
        most, within_pa = 1 if self._is_sure_of_fall else 2, 0.1 * noise_pa
        for one in found:
            if one.log_weight < top - _HOPELESS:
                break
            events = one.events
            if len(kept) >= _KEEP:
                places = lasting.get(events[-1].kind, 0) if events else 0
                if places == 0:
                    continue
                lasting[events[-1].kind] = places - 1
            sort = one.sort
            count = alike.get(sort, 0)
            # How a burst falls shows long after how it rose, so each fall lives to be tried.
            if count >= most and (most == 1 or (one.fall_s, sort[1]) in falls):
                continue
            level_pa = one.state[0]
            for other in kept:
                # Most differ in the level already: a look at it saves the call.
                if -within_pa < level_pa - other.state[0] < within_pa and one.is_twin(
                    other, within_pa
                ):
                    break
            else:
                alike[sort] = count + 1
                falls.add((one.fall_s, sort[1]))
                one.log_weight -= top
                kept.append(one)
        self._since += top
        self.explanations = kept

    def rival(self, event: Event, past: tuple[Event, ...]) -> None:
        """Weigh a burst against what begins alike, too slowly to be sought for at each sample."""
        since = [one for one in self._recent if one[0].time_s > event.time_s]
        if not since or len(since) == len(self._recent):
            return  # too long ago
        slow_log_share = self._rise_log_share[SLOWEST_RISE_S]
        for other in rivals(event, past, since, self._falls_s[0], slow_log_share):
            other.log_weight -= self._since
            if other.log_weight > self.best.log_weight - _HOPELESS:
                self.explanations.append(other)

    def support(self, event: Event, tolerance_s: float) -> float:
        """Posterior probability that an event of this kind happened about then."""
        yes = total = 0.0
        for one in self.explanations:
            weight = exp(one.log_weight)
            total += weight
            if one.has(event, tolerance_s):
                yes += weight
        return yes / total

    def settle(self, event: Event, tolerance_s: float) -> None:
        """Hold the event for certain: drop what contradicts it, and stop carrying it along."""
        self.explanations = [one for one in self.explanations if one.has(event, tolerance_s)]
        for one in self.explanations:
            later = [
                other
                for other in one.events
                if other.time_s >= event.time_s and not event.is_like(other, tolerance_s)
            ]
            one.hold(tuple(later))


def _glitch(old: Explanation, without: State, time_s: float, size_pa: float) -> Explanation:
    """Explanation by which this sample says nothing: it may lie anywhere within ``size_pa``."""
    return Explanation(
        without,
        old.fall_s,
        old.rise_s,
        old.log_weight + LOG_PRIOR["glitch"] - log(2.0 * size_pa),
        (*old.events, old.event("glitch", time_s, old.fall_s, old.rise_s)),
        0.0,
        old.last_onset_s,
        old.turns,
    )
