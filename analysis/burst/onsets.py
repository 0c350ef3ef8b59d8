"""Rival explanations of the newest samples: each sample weighs them and may start new ones."""

from math import exp, inf, log
from operator import attrgetter

from analysis.burst.explanation import LOG_PRIOR, Event, Explanation, Kind
from analysis.burst.pumpdown_filter import Drift, State, advance, shows_rate, start
from analysis.burst.pushed import gain_of, pushed, set_free
from analysis.gauge.thinning import Bin

# An explanation this much less likely than the best is dropped: e^-14 is about one in a million.
# A step has no shape as it comes in, and is unlikely beforehand: it is given twice as much.
_HOPELESS = 14.0
# How many are kept; a step or a bend is told from bursts only by not falling, so it must live to
# be tried: so many more of each.
_KEEP, _KEEP_LASTING = 12, 2
# New explanations are sought where a sample lies this far from the likeliest forecasts, in
# standard deviations: a burst may begin slowly, the others do not.
_BURST_FROM, _OTHER_FROM, _LIKELY = 1.3, 3.0, 6.0
# A step of the level, or of its slope, comes in through the gauge's lag, some tenths of a second
# to a second: until then that entry of the state, whose place this is, is not settled.
_STEP_LAG_S = 1.0
_LASTING: dict[Kind, int] = {"step": 4, "bend": 8}
# While a burst may still be boiling, the gas yet to come may turn out to be more, or less, by
# this share in one rise time; rises take several seconds at most.
_MORE, _BOILING_S = 0.5, 8.0
# A leak or a closed valve bends the base line for long; a bend that ends at once is a burst.
_BEND_LASTS_S = 10.0
# Two bursts nearer than this are one to the eye, and to the definition (3 s or 3 readings).
_APART_S, _APART_SAMPLES = 2.0, 2.5
# Rises looked for: quick, and slow (several seconds of boiling through a lagging gauge).
_RISES_S = (0.7, 1.6, 3.5)
# So many falls make sure of the circuit's own.
_FEW_FALLS = 4
# Below so many noises a second the rate at which the slope dies no longer shows.
_STEEP_PER_S = 0.1
_LOG_WEIGHT = attrgetter("log_weight")
# Falls looked for until the circuit's own is known.
_FALLS_S = (4.0, 12.0, 35.0, 110.0)


class Onsets:
    """Keep the best few explanations of the trace, likeliest first.

    Attributes
    ----------
    is_sure_of_fall
        Whether no fall but the circuit's own is looked for.
    rise_counts
        How often each rise constant was seen, and once more.
    """

    def __init__(self) -> None:
        self.explanations: list[Explanation] = []
        self._time_s = 0.0
        self._falls_s: tuple[float, ...] = _FALLS_S
        self.is_sure_of_fall = False
        self.rise_counts = dict.fromkeys(_RISES_S, 1.0)
        self._rise_log_share = dict.fromkeys(_RISES_S, -log(len(_RISES_S)))

    @property
    def best(self) -> Explanation:
        """The likeliest explanation."""
        return self.explanations[0]

    @property
    def slowest_s(self) -> tuple[float, float]:
        """Longest rise and fall constants that are looked for."""
        return _RISES_S[-1], max(self._falls_s)

    def pending_s(self) -> list[float]:
        """When the likeliest explanation's events began, but for glitches, s."""
        found = self.best.events if self.explanations else ()
        return [event.time_s for event in found if event.kind != "glitch"]

    def restart(self) -> None:
        """Forget the trace; what was learned of the circuit stays."""
        self.explanations = []

    def learn_fall(self, fall_s: float, spread: float, falls: int) -> None:
        """Use this fall constant for bursts to come; ``spread`` is of its logarithm.

        Few ``falls`` may all be misread ones, after which nothing else would be looked for.
        """
        self.is_sure_of_fall = spread < 0.3 and falls >= _FEW_FALLS
        if self.is_sure_of_fall:
            self._falls_s = (fall_s,)
        elif falls >= _FEW_FALLS:
            self._falls_s = (fall_s, fall_s / 1.6, fall_s * 1.6)
        else:
            others = [other for other in _FALLS_S if not 0.6 < other / fall_s < 1.7]
            self._falls_s = (fall_s, *others)

    def doubt_fall(self) -> None:
        """Look for any fall again: with the one learned nothing fits."""
        self.is_sure_of_fall, self._falls_s = False, _FALLS_S

    def know(self, fall_s: float, rise_counts: dict[float, float]) -> None:
        """Take the fall and the rises for known from the start."""
        self.is_sure_of_fall, self._falls_s = True, (fall_s,)
        self._count_rises(rise_counts)

    def learn_rise(self, rise_s: float) -> None:
        """Count a certain burst's rise: a gauge's lag stays, and so mostly do its rises."""
        self._count_rises({**self.rise_counts, rise_s: self.rise_counts[rise_s] + 1.0})

    def _count_rises(self, counts: dict[float, float]) -> None:
        self.rise_counts, total = counts, sum(counts.values())
        self._rise_log_share = {
            rise: log(count / total) for rise, count in self.rise_counts.items()
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
                found[0].log_weight = 0.0
                self.explanations = found
        self._time_s = sample.time_s

    def _carried_on(
        self, sample: Bin, noise_pa: float, drift: Drift, may_branch: bool
    ) -> list[Explanation]:
        """Give the explanations after the sample, with those that branch off where it lies off."""
        found: list[Explanation] = []
        time_s, pressure_pa = self._time_s, sample.pressure_pa  # of the sample before, of this
        likely = self.best.log_weight - _LIKELY if may_branch else inf
        for old in self.explanations:
            unrest = old.unrest
            if unrest > 0.0:
                unrest *= exp(-2.0 * drift.dt_s / _STEP_LAG_S)
                old.state = pushed(old.state, old.restless, unrest)
                if unrest < 1e-4 * drift.variance:
                    unrest = 0.0
            more = _MORE if time_s < old.last_onset_s + _BOILING_S else 0.0
            state, without, off, like, total = advance(
                old.state, pressure_pa, drift, old.fall_s, old.rise_s, more
            )
            if (off > _BURST_FROM or off < -_OTHER_FROM) and old.log_weight > likely:
                self._branch(old, without, off, total, sample, noise_pa, drift, found)
            if state[14] is not None and not shows_rate(state, _STEEP_PER_S * noise_pa):
                state = (*state[:14], None)
            old.state, old.off, old.unrest = state, off, unrest
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
        if off > _BURST_FROM and self._time_s > old.last_onset_s + apart_s:
            for rise in _RISES_S:
                freed = set_free(old.state, miss, noise_pa, drift.dt_s, rise)
                for fall in self._falls_s:
                    if rise < 0.7 * fall:
                        self._add(old, "burst", freed, fall, rise, pressure, drift, found)
        if abs(off) < _OTHER_FROM:
            return
        size = max(10.0 * noise_pa, miss)
        if not old.were_wild(self._time_s, 1.5 * drift.dt_s):
            found.append(_glitch(old, without, sample.time_s, size))
        self._add(old, "step", pushed(old.state, 4, size * size), 0.0, 0.0, pressure, drift, found)
        if not old.has_bent_since(self._time_s - _BEND_LASTS_S):
            slope = size / max(drift.dt_s, 0.5)
            self._add(
                old, "bend", pushed(old.state, 8, slope * slope), 0.0, 0.0, pressure, drift, found
            )

    def _add(
        self,
        old: Explanation,
        kind: Kind,
        begun: State,
        fall_s: float,
        rise_s: float,
        pressure: float,
        drift: Drift,
        found: list[Explanation],
    ) -> None:
        """Add an explanation by which an event just after the last sample brought this one."""
        fall, rise = fall_s or old.fall_s, rise_s or old.rise_s
        state, _, off, like, _ = advance(begun, pressure, drift, fall, rise, _MORE)
        weight = old.log_weight + LOG_PRIOR[kind] + like
        if kind == "burst":
            weight += self._rise_log_share[rise]
        place = _LASTING.get(kind)
        found.append(
            Explanation(
                state,
                fall,
                rise,
                weight,
                (*old.events, old.event(kind, self._time_s, fall, rise)),
                off,
                self._time_s if kind == "burst" else old.last_onset_s,
                old.unrest if place is None else 0.25 * gain_of(begun, old.state, place),
                old.restless if place is None else place,
            )
        )

    def _prune(self, found: list[Explanation], noise_pa: float) -> None:
        """Keep the likeliest, few of each sort, none that has come to see the present alike."""
        found.sort(key=_LOG_WEIGHT, reverse=True)
        top = found[0].log_weight
        # A bend that has not lasted yet may be a slow burst's straight rise: it rules out none.
        young_s = self._time_s - _BEND_LASTS_S
        sure = next((one for one in found if not one.has_bent_since(young_s)), found[0]).log_weight
        hopeless, hopeless_step = sure - _HOPELESS, sure - 2.0 * _HOPELESS
        kept: list[Explanation] = []
        lasting = dict.fromkeys(_LASTING, _KEEP_LASTING)
        alike: dict[tuple[float, tuple[Kind, ...]], int] = {}
        most, within_pa = 1 if self.is_sure_of_fall else 2, 0.1 * noise_pa
        for one in found:
            weight = one.log_weight
            if weight < hopeless and (weight < hopeless_step or one.newest != "step"):
                continue
            if len(kept) >= _KEEP:
                kind = one.newest
                if not lasting.get(kind):
                    continue
                lasting[kind] -= 1
            sort = one.sort
            count = alike.get(sort, 0)
            if count >= most:
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
                one.log_weight -= top
                kept.append(one)
        self.explanations = kept

    def support(self, event: Event, tolerance_s: float, rival: Kind | None = None) -> float:
        """Posterior probability of such an event about then, its ``rival`` as likely beforehand."""
        yes = total = 0.0
        for one in self.explanations:
            weight = exp(one.log_weight)
            if one.has(event, tolerance_s):
                yes += weight
            elif rival is not None and one.has(event._replace(kind=rival), tolerance_s):
                weight *= exp(LOG_PRIOR[event.kind] - LOG_PRIOR[rival])
            total += weight
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
        old.unrest,
        old.restless,
    )
