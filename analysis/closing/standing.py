"""The circuit cut off from the pump: a hold, or a short isolation."""

from collections import deque
from dataclasses import replace

import numpy as np

from analysis.closing.isolation import compare_equally, fit_isolation
from analysis.closing.reopening import WATCHED_S, Reopening, fit_reopening
from analysis.hold.opened import until_opened
from analysis.hold.trace import ThinnedHold
from analysis.hold.watch import HoldWatch
from analysis.pump.pulls import BROKEN_PA
from analysis.reason import Reason
from analysis.rules import EvacuationRules
from analysis.snapshot import HoldResult, Isolation

KEPT = 64  # isolations: one every ten minutes for a day's work
_REFIT_S = 5.0
_MOST_FALL = 4000  # readings of the fall after a reopening
# Seconds after it at which the fall is fitted: a quick one is over long before a slow one, and the
# next closing or a disturbance may end it at any time.
_FITS_S = (60.0, 120.0, WATCHED_S)


class Standing:
    """Keeps the hold that runs, or the last one, and the isolations.

    A closing that the technician ends by opening the valve again is an isolation; one that ends
    with its finding is a hold. Both are watched in the same way.

    Parameters
    ----------
    rules
        The settings; ``rules.hold`` holds the limits.
    """

    def __init__(self, rules: EvacuationRules) -> None:
        self._rules = rules
        self._watch: HoldWatch | None = None
        self._level_pa: float | None = None  # before the closing
        self._before: ThinnedHold | None = None  # the isolation before this one
        self._fall: list[tuple[float, float]] | None = None
        self._fits_s: list[float] = []  # to come
        self._fitted_s = -np.inf
        self.is_closed = False
        self.is_finished = False
        self.from_s: float | None = None
        self.result: HoldResult | None = None
        self.isolation: Isolation | None = None  # the one that stands, or the last one ended
        self.isolations: tuple[Isolation, ...] = ()
        self._ended: deque[Isolation] = deque(maxlen=KEPT)

    def judge_by(self, rules: EvacuationRules) -> None:
        """Judge the next hold by other limits; one that runs keeps its own."""
        self._rules = rules

    @property
    def is_cut_off(self) -> bool:
        """Whether the circuit is isolated: a hold runs, or ended with the valve still closed."""
        return self.is_closed or self.is_finished

    @property
    def last(self) -> Isolation | None:
        """The last isolation that ended."""
        return self._ended[-1] if self._ended else None

    def close(
        self, time_s: float, watch: HoldWatch | None = None, level_pa: float | None = None
    ) -> None:
        """Begin: the isolating valve was closed at ``time_s``.

        Parameters
        ----------
        time_s
            Time zero.
        watch
            What has been seen since then, where the mark comes late.
        level_pa
            Pressure just before.
        """
        if self.is_closed:
            return
        self._fit_fall()
        self._fall = None
        self.is_closed, self.is_finished = True, False
        self.from_s, self.result = time_s, None
        self._level_pa, self._fitted_s = level_pa, -np.inf
        self._watch = watch or HoldWatch(rules=self._rules.hold)

    def sample(self, time_s: float, pressure_pa: float, temperature_c: float | None) -> None:
        """Take a reading of the isolated circuit."""
        if self._watch is not None:
            self._watch.update(time_s, pressure_pa, temperature_c)

    def sample_beyond(self, time_s: float, pressure_pa: float) -> None:
        """Take the upper end of the gauge's range: the isolated circuit stands above it."""
        if self._watch is not None:
            self._watch.update_beyond(time_s, pressure_pa)

    def sample_fall(self, time_s: float, pressure_pa: float) -> Reopening | None:
        """Take a reading of the circuit joined to the pump; give what the fall has told so far."""
        fall = self._fall
        if fall is None:
            return None
        if len(fall) < _MOST_FALL:
            fall.append((time_s, pressure_pa))
        if time_s - fall[0][0] < self._fits_s[0]:
            return None
        self._fits_s.pop(0)
        found = self._fit_fall()
        if not self._fits_s:
            self._fall = None
        return found

    def tick(self, time_s: float) -> None:
        """Bring the finding, and the isolation that may come of it, up to date."""
        if not self.is_closed or self._watch is None:
            return
        self.result = self._watch.result(time_s)
        if time_s - self._fitted_s >= _REFIT_S:
            self._fitted_s = time_s
            self.isolation = self._as_isolation(None)

    def open(self, time_s: float) -> None:
        """End without a finding: the valve was opened again, so it was an isolation."""
        self._fitted_s = -np.inf
        self.tick(time_s)
        if self.is_closed and self._watch is not None:
            self._keep(self._as_isolation(time_s), self._watch.trace())
            self._fall, self._fits_s = [], list(_FITS_S)
        self._restart()

    def give_up(self) -> None:
        """End with nothing: the vacuum was broken."""
        self._fall = None
        self._restart()

    def finish(self, time_s: float) -> None:
        """End with the finding as it stands."""
        self.tick(time_s)
        if self.is_closed and self._watch is not None:
            self.result = self._watch.result(time_s, is_final=True)
        self.isolation = self.last
        self.is_closed, self.is_finished, self._watch = False, True, None

    def disturb(self) -> None:
        """Heed that the trace is disturbed: the fall tells nothing any more."""
        self._fall = None

    def _restart(self) -> None:
        self.isolation = self.last
        self.is_closed = self.is_finished = False
        self.from_s, self.result, self._watch = None, None, None

    def _keep(self, isolation: Isolation | None, trace: ThinnedHold | None) -> None:
        if isolation is None or trace is None or trace.pressure_pa[-1] > BROKEN_PA:
            return  # never saw a reading, or nitrogen was let in behind the closed valve
        self._before = until_opened(trace)
        self._ended.append(isolation)
        self.isolations = tuple(self._ended)

    def _as_isolation(self, until_s: float | None) -> Isolation | None:
        trace = None if self._watch is None else self._watch.trace()
        if self.from_s is None or trace is None:
            return None
        trace = until_opened(trace)
        fit = fit_isolation(trace.time_s, trace.pressure_pa, step_pa=trace.step_pa)
        rate = fit.rate_pa_s
        mean_pa_s = fit.rise_pa / max(trace.duration_s, 1.0)
        return Isolation(
            from_s=self.from_s,
            until_s=until_s,
            rise_pa=fit.rise_pa,
            rate_pa_s=mean_pa_s if rate is None else rate.best,
            is_marked=True,
            rate=rate,
            comparison=self._comparison(trace),
        )

    def _comparison(self, trace: ThinnedHold) -> Reason:
        before = self._before
        if before is None:
            return Reason("isolation-first", {"duration_s": trace.duration_s})
        return compare_equally(
            (before.time_s, before.pressure_pa), (trace.time_s, trace.pressure_pa)
        )

    def _fit_fall(self) -> Reopening | None:
        """Fit the fall since the last opening and keep it with that isolation."""
        if not self._fall or not self._ended or self._level_pa is None:
            return None
        times, pressures = (np.array(column) for column in zip(*self._fall, strict=True))
        found = fit_reopening(times, pressures, self._level_pa)
        if found is not None:
            is_shown = self.isolation is self._ended[-1]
            self._ended[-1] = replace(self._ended[-1], reopening=found)
            self.isolations = tuple(self._ended)
            self.isolation = self._ended[-1] if is_shown else self.isolation
        return found
