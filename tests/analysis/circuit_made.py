"""A circuit whose level the test moves, read once a second through the one door."""

import numpy as np

from analysis.evacuation import Evacuation
from analysis.rules import EvacuationRules
from analysis.sample import Mark
from analysis.snapshot import Snapshot
from sensors.events import Reading


class Circuit:
    """Readings once a second at a level that the test moves, with a little noise."""

    def __init__(self, *, rules: EvacuationRules | None = None, seed: int = 1) -> None:
        self.evacuation = Evacuation(rules=rules)
        self.time_s = 0.0
        self._rng = np.random.default_rng(seed)

    def read(self, seconds: int, level_pa: float, rate_pa_s: float = 0.0) -> Snapshot:
        for second in range(seconds):
            pressure_pa = level_pa + rate_pa_s * second + self._rng.normal(0.0, 0.02)
            snapshot = self.evacuation.update(Reading(self.time_s, max(pressure_pa, 0.0)))
            self.time_s += 1.0
        return snapshot

    def mark(self, kind: str, at_s: float | None = None) -> Snapshot:
        time_s = self.time_s if at_s is None else at_s
        return self.evacuation.update(Mark(time_s, kind))  # type: ignore[arg-type]

    def isolate(self, seconds: int, rate_pa_s: float, level_pa: float = 20.0) -> Snapshot:
        self.mark("valve-closed")
        self.read(seconds, level_pa, rate_pa_s)
        return self.mark("valve-opened")
