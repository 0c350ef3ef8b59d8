"""The burst detector on a clock of its own, so that a shifted clock cannot tip a close decision."""

from dataclasses import replace

from analysis.burst.hindsight import Hindsight
from analysis.snapshot import Burst


class DetectorFromZero:
    """Counts from its first reading, in small numbers, and tells bursts on the caller's clock.

    A job's clock may stand at weeks of seconds, where sums of squares lose the digits that two
    nearly even explanations are weighed by. ``state`` is the detector, to ask what it knows.
    """

    def __init__(self) -> None:
        self._detector = Hindsight()
        self.state = self._detector.state
        self._zero_s: float | None = None

    def update(self, time_s: float, pressure_pa: float) -> tuple[Burst, ...]:
        """Take one reading; see ``BurstDetector.update``."""
        if self._zero_s is None:
            self._zero_s = time_s
        bursts = self._detector.update(time_s - self._zero_s, pressure_pa)
        return self._told(bursts) if bursts else ()

    def interrupt(self, time_s: float) -> tuple[Burst, ...]:
        """Heed a known disturbance; see ``BurstDetector.interrupt``."""
        return self._told(self._detector.interrupt(time_s - (self._zero_s or 0.0)))

    def _told(self, bursts: tuple[Burst, ...]) -> tuple[Burst, ...]:
        zero_s = self._zero_s
        if not bursts or not zero_s:
            return bursts
        return tuple(
            replace(
                burst,
                onset_s=burst.onset_s + zero_s,
                peak_s=burst.peak_s + zero_s,
                seen_s=burst.seen_s + zero_s,
            )
            for burst in bursts
        )
