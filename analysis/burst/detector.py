"""The online burst detector: marks each boil-off event on a falling, noisy, rounded trace."""

from analysis.burst.early_marks import EarlyMarks, taken_back, told
from analysis.burst.explanation import Event, Kind
from analysis.burst.fall_meter import FallMeter
from analysis.burst.fit import BurstFit
from analysis.burst.onsets import Onsets
from analysis.burst.pumpdown_filter import Drift, shown_variance
from analysis.burst.ripening import waits_s
from analysis.burst.rush import RushWatch
from analysis.burst.second_look import SecondLook
from analysis.burst.usual_fall import ANY_FALL, usual_fall
from analysis.burst.would_show import would_show
from analysis.gauge.gaps import BLIND_S
from analysis.gauge.gauge_noise import GaugeNoise
from analysis.gauge.learned import Learned
from analysis.gauge.refresh import Refresh
from analysis.gauge.thinning import Bin, Thinner
from analysis.snapshot import Burst

# A burst is visible from 5 times the noise of a reading (the project's definition).
VISIBLE = 5.0
# Slow wander: the slope of the base line may change by a tenth of a noise a second in 100 s.
_WANDER = 1e-4
# Water boils below its saturation pressure: 19946 Pa at 60 C (IAPWS), hotter than a circuit gets.
_BOILS_BELOW_PA = 19946.0
# Its measured rise is itself uncertain by about half the noise: bursts at the limit count.
_MEASURED_VISIBLE = 0.8 * VISIBLE
# Where quiet samples lie off by that many variances, what was learned is in doubt.
_DOUBTED = 5.0
# How sure a mark must be: shown early at 9 in 10, final at 98 in 100.
_SHOW, _SURE = 0.9, 0.98
# Nearer bursts are told as one: half of those 2 to 3 s apart are, and of those 3 readings apart
# where readings are seconds apart.
_APART_S, _APART_READINGS = 3.0, 3.0
# A base line that stepped or bent this recently may be misread as bursts on a sunken one.
_UNSETTLED_S = 20.0


class BurstDetector:
    """Find bursts causally, in one pass and bounded memory.

    A few rival explanations of the trace run side by side, each a Kalman filter over a pumped
    circuit (base line, slope, vapour over it) with its own list of events: bursts, glitches,
    steps, bends. Where a sample does not fit, new ones branch off; each sample weighs them. A
    burst is final once it is all but certain and part of its fall was seen, or once waiting
    longer would tell no more; nothing is changed after that. Wrong where bursts follow each
    other in less than about three seconds (they count as one), and blind within gaps.

    Parameters
    ----------
    bin_s
        Readings are gathered into bins of this width, seconds: gauges of this kind lag by some
        tenths of a second, so faster readings say nothing new.
    gap_s
        A silence of this length, in seconds, may hide a burst.
    learned
        What is known of circuit and gauge beforehand; nothing more is learned of them then.

    Raises
    ------
    ValueError
        If a setting is not positive.
    """

    def __init__(
        self, *, bin_s: float = 0.5, gap_s: float = BLIND_S, learned: Learned | None = None
    ) -> None:
        if not gap_s > 0.0:
            raise ValueError(f"gap_s must be positive, got {gap_s}")
        self._gap_s = gap_s
        self._noise = GaugeNoise(learned)
        self._thinner, self._refresh = Thinner(width_s=bin_s), Refresh()
        self._onsets, self._look = Onsets(), SecondLook(bin_s)
        self._falls, self._rush = FallMeter(), RushWatch()
        self._is_rushing = self._was_stuck = self._was_gap = False
        self._last_s: float | None = None  # when the last sample was
        self._spacing_s = bin_s
        self._unsettled_s = self._last_onset_s = float("-inf")
        self._marks = EarlyMarks()
        self._is_learning = learned is None
        if learned is not None:
            self._onsets.know(learned.fall_s, learned.rise_counts)
            self._look.usual_rise_s = learned.usual_rise_s
            self._look.usual_fall = usual_fall(learned.fall_s)

    @property
    def noise_pa(self) -> float | None:
        """Standard deviation of one reading, rounding included, Pa."""
        return self._noise.noise_pa

    @property
    def smallest_burst_pa(self) -> float | None:
        """Rise of the smallest burst that is visible now, Pa."""
        noise = self._noise.noise_pa
        return None if noise is None else VISIBLE * noise

    @property
    def baseline_pa(self) -> float | None:
        """Base line under the bursts, Pa."""
        return self._onsets.best.state[0] if self._onsets.explanations else None

    @property
    def slope_pa_per_s(self) -> float | None:
        """Slope of the base line under the bursts, Pa/s."""
        return self._onsets.best.state[1] if self._onsets.explanations else None

    @property
    def fall_s(self) -> float | None:
        """Typical fall constant measured so far, s."""
        return self._falls.fall_s

    @property
    def apart_s(self) -> float:
        """Bursts nearer than this count as one, s."""
        return max(_APART_S, _APART_READINGS * self._spacing_s)

    @property
    def is_observing(self) -> bool:
        """Whether a visible burst that began now would be seen, and not be over in a gap."""
        noise = self.noise_pa
        is_blind = self._is_rushing or self._was_stuck or self._was_gap
        if not noise or not self._onsets.explanations or is_blind:
            return False
        best, usual_s = self._onsets.best, self._falls.fall_s or 30.0
        boils = best.state[0] <= _BOILS_BELOW_PA
        return boils and would_show(best.state, best.fall_s, usual_s, VISIBLE * noise)

    @property
    def learned(self) -> Learned | None:
        """What was learned of the circuit and the gauge, once the circuit's fall is sure."""
        if not self._onsets.is_sure_of_fall:  # by far the most readings
            return None
        fall_s, noise_pa, level_pa = self._falls.fall_s, self.noise_pa, self.baseline_pa
        if fall_s is None or not noise_pa or not level_pa:
            return None
        noise_pa *= max(self._noise.excess, 1.0) ** 0.5
        usual_rise_s = self._look.usual_rise_s
        return Learned(fall_s, self._onsets.rise_counts, usual_rise_s, noise_pa, level_pa)

    def next_number(self) -> int:
        """Give a number that no burst has yet."""
        return self._marks.next_number()

    def update(self, time_s: float, pressure_pa: float) -> tuple[Burst, ...]:
        """Take one reading; return the bursts that are new or revised, usually none."""
        if self._refresh.is_repeat(time_s, pressure_pa):
            return ()
        self._noise.update(time_s, pressure_pa)
        if self._noise.is_stuck:
            self._was_stuck = True
            return ()
        sample = self._thinner.update(time_s, pressure_pa)
        if sample is None:
            return ()
        return tuple(self._take(sample, time_s))

    def interrupt(self, time_s: float) -> tuple[Burst, ...]:
        """Heed a known disturbance: retract what is not final and learn the base line anew."""
        self._thinner.close()
        self._noise.break_off()
        self._onsets.restart()
        self._look.clear()
        self._falls.close()
        self._last_s = None
        return tuple([taken_back(*mark, time_s) for mark in self._marks.drop_all_but(())])

    def _take(self, sample: Bin, now_s: float) -> list[Burst]:
        gauge, onsets, look = self._noise, self._onsets, self._look
        if (noise := gauge.noise_pa) is None:
            return []
        time_s, pressure_pa, _ = sample
        self._is_rushing = self._rush.update(time_s, pressure_pa)
        if self._is_rushing:
            return list(self.interrupt(now_s)) if self._last_s is not None else []
        dt = 0.0 if self._last_s is None else time_s - self._last_s
        self._last_s = time_s
        look.ring.append(time_s, pressure_pa)
        is_gap = self._was_stuck or dt > max(self._gap_s, 6.0 * self._spacing_s)
        if dt > 0.0 and not is_gap:
            self._spacing_s += 0.05 * (min(dt, 4.0 * self._spacing_s) - self._spacing_s)
        self._was_stuck, self._was_gap = False, is_gap
        if is_gap:
            onsets.loosen((20.0 * noise) ** 2)
        look.spacing_s = spacing_s = self._spacing_s
        look.variance = variance = gauge.variance(sample, look.ring, spacing_s, onsets.pending_s)
        noise = gauge.noise_pa or noise
        square = noise * noise
        drift = Drift(dt, variance, gauge.stray * square, _WANDER * square)
        onsets.update(sample, noise, drift, not is_gap)
        best = onsets.explanations[0]
        if not best.events and not is_gap:
            gauge.heed(best.off, shown_variance(best.state))
        changes: list[Burst] = []
        if best.events or self._marks.any:
            self._judge(time_s, now_s, noise, changes)
        if self._falls.is_overdue(time_s):
            events = onsets.best.events  # the next burst may be there, but not told yet
            self._learn(None, events[0].time_s if events else time_s)
        return changes

    def _judge(self, time_s: float, now_s: float, noise: float, changes: list[Burst]) -> None:
        """Make final what is ripe, oldest first; then bring the early marks up to date."""
        tolerance = max(2.0 * self._spacing_s, 2.0)
        while (best := self._onsets.best).events:
            event = best.events[0]
            age = time_s - event.time_s
            if event.kind == "glitch":
                if age < 3.0 * self._spacing_s:
                    break
                self._onsets.settle(event, 0.0)
                self._look.settled(event)
                continue
            ripe_s, overdue_s = waits_s(event, self._onsets.slowest_s, self._spacing_s)
            if age < ripe_s:
                break
            # A valve is turned seldom, but what has not fallen yet may be that as well.
            rival: Kind | None = "step" if event.kind == "burst" else None
            if age < overdue_s and self._onsets.support(event, tolerance, rival) < _SURE:
                break
            if event.kind == "burst":
                first_s, until_s = event.time_s + ripe_s, self._until(now_s)
                fit, is_outdone = self._look.decide(event, best, first_s, until_s, now_s)
                if is_outdone and age < overdue_s:
                    break
                if not is_outdone:
                    fit = self._look.whole(event, fit, best, now_s)
                    self._confirm(event, fit, now_s, noise, changes)
            else:
                if (fallen := self._look.after_all(event, best, self._until(now_s))) is not None:
                    self._confirm(event, fallen, now_s, noise, changes)
                self._unsettled_s = event.time_s
            self._onsets.settle(event, tolerance)
            self._noise.heed_event(event.time_s)
            self._look.settled(event)
        self._mark(now_s, noise, tolerance, changes)

    def _until(self, now_s: float, kinds: tuple[Kind, ...] = ("burst", "step", "bend")) -> float:
        """When the next such event came: until then the samples are of the oldest one alone."""
        later = self._onsets.best.events[1:]
        return next((other.time_s for other in later if other.kind in kinds), now_s)

    def _confirm(
        self, event: Event, fit: BurstFit, now_s: float, noise: float, changes: list[Burst]
    ) -> None:
        if fit.rise_pa < _MEASURED_VISIBLE * noise:
            return
        best, until_s = self._onsets.best, self._until(now_s)
        if event.before[0] > _BOILS_BELOW_PA or fit.rise_pa < -fit.bend_s * event.before[1]:
            return
        other_s = self._until(now_s, ("burst",))  # a step or bend soon after may be its own rise
        if self._was_unsettled(event) and not self._look.has_risen(fit, other_s):
            return
        if fit.onset_s < self._last_onset_s + max(2.5, 1.5 * self._spacing_s):
            return  # the rest of the one before: bursts nearer than this count as one
        if self._look.is_rest(fit, best, until_s):
            return
        self._last_onset_s = fit.onset_s
        self._look.told(event, fit, is_alone=len(best.events) == 1)
        changes.append(told(self._marks.take(event), fit, now_s, "confirmed"))
        settle_s = max(3.0 * event.rise_s, 1.4 * (fit.peak_s - event.time_s))
        self._learn((event.time_s, settle_s), event.time_s)
        if self._is_learning and event.kind == "burst":
            self._onsets.learn_rise(event.rise_s)

    def _was_unsettled(self, event: Event) -> bool:
        """Whether the base line is held to have stepped or bent about then."""
        is_soon = event.time_s < self._unsettled_s + _UNSETTLED_S
        return is_soon or self._onsets.best.moves_otherwise(event, event.time_s + _UNSETTLED_S)

    def _mark(self, now_s: float, noise: float, tolerance: float, changes: list[Burst]) -> None:
        """Show bursts that are likely, take back those that no longer are."""
        best = self._onsets.best
        changes += [taken_back(*mark, now_s) for mark in self._marks.drop_all_but(best.events)]
        for event in best.events:
            if (
                event.kind == "burst"
                and best.state[2] >= VISIBLE * noise
                and event.before[0] < _BOILS_BELOW_PA
                and not self._marks.has(event)
                and self._onsets.support(event, tolerance) >= _SHOW
            ):
                # So little of it was seen that the filter's excess tells as much as a fit.
                onset_s, rise_pa = event.time_s + 0.5 * self._spacing_s, best.state[2]
                seen = BurstFit(onset_s, now_s, rise_pa, best.fall_s, rise_pa * best.fall_s)
                changes.append(told(self._marks.add(event), seen, now_s, "provisional"))

    def _learn(self, burst: tuple[float, float] | None, time_s: float) -> None:
        """Measure the fall of the burst before, now that the next one bounds it."""
        if not self._is_learning:
            return
        falls = self._falls
        falls.bound(self._look.ring, burst, time_s, self._spacing_s, self._look.variance)
        if falls.fall_s is None or self._noise.excess > _DOUBTED:
            self._look.usual_fall = ANY_FALL
            self._onsets.doubt_fall()
        else:
            self._look.usual_fall = falls.usual
            self._onsets.learn_fall(falls.fall_s, falls.spread, falls.count)
