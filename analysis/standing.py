"""The circuit cut off from the pump: a hold, or a short isolation, from marks."""

from analysis.hold import HoldWatch
from analysis.rules import EvacuationRules
from analysis.snapshot import HoldResult, Isolation


class Standing:
    """Keeps the hold that runs, or the last one, and the last isolation.

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
        self.is_closed = False
        self.is_finished = False
        self.from_s: float | None = None
        self.result: HoldResult | None = None
        self.isolation: Isolation | None = None

    @property
    def is_cut_off(self) -> bool:
        """Whether the circuit is isolated: a hold runs, or ended with the valve still closed."""
        return self.is_closed or self.is_finished

    def close(self, time_s: float) -> None:
        """Begin: the isolating valve was closed at ``time_s``."""
        if self.is_closed:
            return
        self.is_closed, self.is_finished = True, False
        self.from_s, self.result = time_s, None
        self._watch = HoldWatch(rules=self._rules.hold)

    def sample(self, time_s: float, pressure_pa: float, temperature_c: float | None) -> None:
        """Take a reading of the isolated circuit."""
        if self._watch is not None:
            self._watch.update(time_s, pressure_pa, temperature_c)

    def tick(self, time_s: float) -> None:
        """Bring the finding up to date."""
        if self.is_closed and self._watch is not None:
            self.result = self._watch.result(time_s)

    def open(self, time_s: float) -> None:
        """End without a finding: the valve was opened again, so it was an isolation."""
        self.tick(time_s)
        self.isolation = self._as_isolation(time_s)
        self.is_closed = self.is_finished = False
        self.from_s, self.result, self._watch = None, None, None

    def finish(self, time_s: float) -> None:
        """End with the finding as it stands."""
        self.tick(time_s)
        self.is_closed, self.is_finished, self._watch = False, True, None

    def _as_isolation(self, time_s: float) -> Isolation | None:
        if self.from_s is None or self.result is None:
            return None
        lasted_s = max(time_s - self.from_s, 1.0)
        return Isolation(
            from_s=self.from_s,
            until_s=time_s,
            rise_pa=self.result.rise_pa,
            rate_pa_s=self.result.rise_pa / lasted_s,
            is_marked=True,
        )
