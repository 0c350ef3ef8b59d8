"""The one door to the analysis: samples, marks and silence go in, a snapshot comes out."""

from collections.abc import Callable
from dataclasses import replace

from analysis.burst.from_zero import DetectorFromZero
from analysis.caution.board import CautionBoard
from analysis.caution.lookout import Lookout
from analysis.closing.closings import Closings
from analysis.flat.drying_clock import DryingForecast
from analysis.flat.history import History
from analysis.gauge.gaps import GapFinder
from analysis.gauge.gauge_state import GaugeState
from analysis.hold.rules import HoldRules
from analysis.judging import Judging
from analysis.pace import Pace
from analysis.pump.pulls import PullBook
from analysis.pump.pumping import PumpingMeter
from analysis.reason import Reason
from analysis.rules import EvacuationRules
from analysis.sample import Mark, Sample, Silence
from analysis.snapshot import Burst, Caution, FlatEstimate, Snapshot
from analysis.telling import tell
from analysis.ticks import TICK_S, Judgements, Ticks

NO_FLAT = FlatEstimate(None, None, None, Reason("no-readings"))


class Evacuation:
    """Follows one evacuation from pull-down to finding.

    Everything the program knows of the trace comes through :meth:`update`: live, in replay, in a
    file's analysis and in the tests. It holds no clock, so the same items give the same snapshots.

    Parameters
    ----------
    rules
        The settings.
    history
        The circuit's past, a weak assumption of the forecast.

    Raises
    ------
    ValueError
        From ``update`` if time goes back, but for a ``valve-closed`` mark that was forgotten.
    """

    def __init__(
        self, *, rules: EvacuationRules | None = None, history: History | None = None
    ) -> None:
        self._rules = rules or EvacuationRules()
        self._detector = DetectorFromZero()
        self._forecast = DryingForecast(self._rules.flat_interval_s, history)
        self._ticks, self._judgements = Ticks(), Judgements()
        self._gaps, self._pace = GapFinder(), Pace()
        self._judging, self._cautions = Judging(self._rules), CautionBoard(self._rules)
        self._closings = Closings(self._rules)
        self._pulls, self._gauge = PullBook(), GaugeState()
        self._pumping = PumpingMeter(
            volume_m3=self._rules.volume_m3,
            water_gauge_factor=self._rules.water_gauge_factor,
            temperature_c=self._rules.circuit_c,
            rig=self._rules.rig,
        )
        self._lookout = Lookout(
            self._rules,
            gauge=self._gauge,
            gaps=self._gaps,
            detector=self._detector.state,
            pace=self._pace,
            judging=self._judging,
            closings=self._closings,
        )
        self._time_s: float | None = None
        self._pull_s = 0.0  # start of the pull
        self._flat = NO_FLAT
        self._known: Snapshot | None = None  # what stays until the next judgement, mark or burst

    def set_history(self, history: History) -> None:
        """Take another past of the circuit, as when the technician hears of it during the run."""
        self._forecast.set_history(history)

    def set_limits(self, hold: HoldRules, flat_below_pa: float) -> None:
        """Take other limits, as of the maker; what is cut off now keeps those it began with."""
        self._rules = replace(self._rules, hold=hold, flat_below_pa=flat_below_pa)
        for part in (self._judging, self._cautions, self._closings, self._lookout):
            part.judge_by(self._rules)
        self._stir()

    def update(self, item: Sample | Mark | Silence) -> Snapshot:
        """Take one item and give all that is known after it."""
        time_s = item.time_s
        if self._time_s is None:
            self._pull_s = time_s
            for part in (self._ticks, self._judging.stages, self._pulls):
                part.start(time_s)
        elif time_s < self._time_s:
            if not isinstance(item, Mark) or item.kind != "valve-closed":
                raise ValueError(f"time goes back from {self._time_s} s to {time_s} s")
            return self._snapshot(self._time_s, self._close(time_s), (), None)
        self._time_s = time_s
        changes: tuple[Caution, ...] = ()
        if time_s >= self._ticks.next_s:
            for now_s in self._ticks.due(time_s, self._gauge.time_s):
                changes += self._tick(now_s)
        bursts: tuple[Burst, ...] = ()
        gap = None
        if isinstance(item, Mark):
            bursts = self._mark(item)
        elif not isinstance(item, Silence):
            gap = self._gaps.update(time_s)
            bursts = self._sample(item)
        return self._snapshot(time_s, bursts, changes, gap)

    def _sample(self, sample: Sample) -> tuple[Burst, ...]:
        time_s, pressure_pa = sample.time_s, sample.pressure_pa
        self._gauge.take(sample)
        if sample.status == "over-range":
            self._cautions.sample(time_s, pressure_pa)  # at least that: enough for air rushing in
        if sample.status != "ok":
            self._closings.sample_beyond(sample)
            # The end of the gauge's range is no pressure of the circuit.
            is_broken = sample.status == "over-range" and self._pulls.over_range(time_s)
            if is_broken and not self._closings.is_cut_off:
                return self._break(time_s, is_marked=False)
            return ()
        closings = self._closings
        self._pace.update(time_s, pressure_pa)
        is_cut_off = closings.is_cut_off
        is_broken = not closings.rig.is_running and self._pulls.sample(time_s, pressure_pa)
        if not self._pulls.awaits_top:
            self._cautions.sample(time_s, pressure_pa)
        if is_cut_off:
            closings.sample_closed(time_s, pressure_pa, sample.temperature_c)
            return ()
        if is_broken:
            return self._break(time_s, is_marked=False)
        reopening = closings.sample_open(time_s, pressure_pa, sample.temperature_c)
        if reopening is not None:
            self._stir()
            self._pumping.calibrate(reopening)
        bursts = self._detector.update(time_s, pressure_pa)
        for burst in bursts:
            self._take(burst)
        return bursts

    def _take(self, burst: Burst) -> None:
        if burst.state != "confirmed":
            return
        self._stir()
        last_s = self._judging.last_onset_s
        self._judging.add_burst(burst)
        seen, is_new = self._detector.state, last_s is None or burst.onset_s > last_s
        if is_new:  # else found on looking back
            self._forecast.add_burst(burst.onset_s, burst.rise_pa, seen.smallest_burst_pa or 0.0)
        level_pa = (seen.baseline_pa or self._gauge.pressure_pa) if is_new else None
        self._pumping.add_burst(burst.rise_pa, burst.fall_s, level_pa, burst.area_pa_s)
        self._pulls.add_burst(burst.onset_s, burst.rise_pa)

    def _mark(self, mark: Mark) -> tuple[Burst, ...]:
        self._cautions.mark(mark)
        self._stir()
        act: Callable[[float], tuple[Burst, ...]] | None = {
            "valve-closed": self._close,
            "valve-opened": self._open,
            "hold-over": self._end_hold,
            "blank-off": self._blank_off,
            "nitrogen-in": self._break,
            "valve-moved": self._disturb,
        }.get(mark.kind)
        return act(mark.time_s) if act is not None else ()

    def _close(self, mark_s: float) -> tuple[Burst, ...]:
        assert self._time_s is not None
        self._stir()
        zero_s = self._closings.close(mark_s, self._time_s)
        if zero_s is None:
            return ()
        self._judging.stages.force("holding", zero_s, Reason("valve-closed"))
        return self._detector.interrupt(self._time_s)

    def _open(self, time_s: float) -> tuple[Burst, ...]:
        ended = self._closings.open(time_s)
        if ended == "rig":
            return self._join_rig(time_s)
        if ended is None:
            return ()
        self._judging.stages.force("boiling-off", time_s, Reason("valve-opened"))
        self._pace.forget()
        return self._detector.interrupt(time_s)

    def _end_hold(self, time_s: float) -> tuple[Burst, ...]:
        ended = self._closings.finish(time_s)
        if ended == "rig":
            return self._join_rig(time_s)
        if ended is not None:
            self._judging.stages.force("done", time_s, Reason("hold-over"))
        return ()

    def _blank_off(self, time_s: float) -> tuple[Burst, ...]:
        """Begin a blank-off test; what the rig does is no evidence of the circuit."""
        if self._closings.is_cut_off:
            return ()
        self._closings.rig.start(time_s)
        return self._begin_pull(time_s, Reason("blank-off"))

    def _join_rig(self, time_s: float) -> tuple[Burst, ...]:
        self._pulls.restart(time_s)
        self._cautions = CautionBoard(self._rules)  # the rig's quick fall was no circuit's
        return self._begin_pull(time_s, Reason("blank-off-over"))

    def _break(self, time_s: float, *, is_marked: bool = True) -> tuple[Burst, ...]:
        """Begin a new pull; the forecast goes on, for the water is the same."""
        self._closings.break_vacuum(time_s, is_marked=is_marked)
        self._pulls.broken(time_s)
        return self._begin_pull(time_s, Reason("vacuum-broken"))

    def _begin_pull(self, time_s: float, reason: Reason) -> tuple[Burst, ...]:
        self._judging.begin_pull(time_s, reason)
        self._pull_s = time_s
        self._stir()
        return self._disturb(time_s)

    def _disturb(self, time_s: float) -> tuple[Burst, ...]:
        self._pace.forget()
        self._closings.disturb()
        return self._detector.interrupt(time_s)

    def _stir(self) -> None:
        """Heed that something happened: what was known is stale, and is judged anew."""
        self._known = None
        self._judgements.stir()

    def _tick(self, time_s: float) -> tuple[Caution, ...]:
        detector, closings, judging = self._detector.state, self._closings, self._judging
        is_due = self._judgements.due()
        if is_due:
            judging.prove(closings.standing.last, self._pull_s)
        sight = self._lookout.look(time_s, self._pull_s, closely=is_due)
        changes = self._cautions.tick(sight, is_due=is_due)
        is_watched = not sight.is_silent and not sight.is_isolated and self._gauge.status == "ok"
        is_observing = is_watched and self._lookout.is_clear(self._cautions.kinds)
        self._forecast.watch(time_s, detector, is_observing, is_drawing=is_watched)
        self._pulls.tick(time_s, TICK_S, is_watched)
        if is_observing:
            judging.watch(TICK_S)
        flat = self._forecast.estimate(time_s)
        if is_due or changes or flat is not self._flat:
            self._flat = flat
            self._judge(time_s)
            if not sight.is_silent:  # else there is nothing new to look for
                closings.look(detector.noise_pa, detector.fall_s)
        if sight.is_isolated and not sight.is_silent:  # fits cost the most
            self._known = None
            closings.tick(time_s)
        return changes

    def _judge(self, time_s: float) -> None:
        """Judge what rests on minutes of data."""
        judging, self._known = self._judging, None
        if self._closings.rig.is_running:
            return
        stage = judging.stages.stage
        judging.judge(
            time_s,
            self._pace,
            self._flat,
            has_trend=self._forecast.has_trend,
            is_rate_below=self._forecast.is_flat(time_s),
            cautions=self._cautions.kinds,
            silence=self._lookout.silence,
            is_climbing=self._cautions.is_creeping,
            stepped_pa=self._cautions.climb.stepped_pa,
            spacing_s=self._gaps.steady_s,
        )
        if judging.stages.stage != stage:
            self._judgements.stir()  # a caution may hang on it

    def _snapshot(
        self,
        time_s: float,
        bursts: tuple[Burst, ...],
        changes: tuple[Caution, ...],
        gap: tuple[float, float] | None,
    ) -> Snapshot:
        if self._known is None:
            self._known = tell(
                time_s,
                judging=self._judging,
                cautions=self._cautions.standing,
                closings=self._closings,
                pulls=self._pulls,
                flat=self._flat,
                boiling_pa=self._lookout.boiling_pa,
                pumping=self._pumping.state,
            )
        detector, gauge = self._detector.state, self._gauge
        level = (gauge.pressure_pa, gauge.temperature_c, gauge.status)
        seen = (detector.noise_pa, detector.smallest_burst_pa, detector.slope_pa_per_s)
        return self._known.later((time_s, *level, bursts, changes, gap, *seen))
