"""A look back at the beginning, once the circuit's fall is known.

Before the first falls are seen, each rise may fall in 4 s or in two minutes. On a base line that
is steep and little known as well, small and crowded bursts then stay undecided. Some bursts later
the fall is sure, and with it the same readings tell more.
"""

from collections import deque
from dataclasses import replace

from analysis.burst.detector import BurstDetector
from analysis.snapshot import Burst

# So many readings are kept until the fall is sure: two hours at 1 Hz, seven minutes at 20 Hz.
_KEPT = 8192
# So many old ones are looked at with each new one, that no single reading costs much.
_AT_ONCE = 32
# Onsets told that are remembered: many more than fit between the first and a sure fall.
_TOLD = 512
# The two looks may place one slow burst's onset this far apart.
_SAME_S = 3.5


class Hindsight:
    """The burst detector, and a second one that reads the beginning again.

    What the second finds and the first did not is told late, with the onset it had; nothing that
    was told is taken back. ``state`` is the first, to ask what it knows.
    """

    def __init__(self) -> None:
        self.state = BurstDetector()
        # Readings and interruptions (``None``) from the beginning; ``None`` once all is looked at.
        self._kept: deque[tuple[float, float | None]] | None = deque(maxlen=_KEPT)
        self._again: BurstDetector | None = None
        self._before_s = 0.0  # what began later the first may still tell
        self._onsets_s: deque[float] = deque(maxlen=_TOLD)

    def update(self, time_s: float, pressure_pa: float) -> tuple[Burst, ...]:
        """Take one reading; see ``BurstDetector.update``."""
        bursts = self.state.update(time_s, pressure_pa)
        kept = self._kept
        if kept is None:
            return bursts
        if bursts:
            self._onsets_s.extend([b.onset_s for b in bursts if b.state == "confirmed"])
        if self._again is not None:
            return bursts + self._look_back(self._again, kept, time_s)
        kept.append((time_s, pressure_pa))
        learned = self.state.learned if self._onsets_s else None
        if learned is not None:
            self._again = BurstDetector(learned=learned)
            self._before_s = self._onsets_s[-1]
        return bursts

    def interrupt(self, time_s: float) -> tuple[Burst, ...]:
        """Heed a known disturbance; see ``BurstDetector.interrupt``."""
        if self._again is None and self._kept is not None:
            self._kept.append((time_s, None))
        return self.state.interrupt(time_s)

    def _look_back(
        self, again: BurstDetector, kept: deque[tuple[float, float | None]], now_s: float
    ) -> tuple[Burst, ...]:
        found: list[Burst] = []
        for _ in range(min(_AT_ONCE, len(kept))):
            time_s, pressure_pa = kept.popleft()
            if pressure_pa is None:
                again.interrupt(time_s)
            else:
                found += again.update(time_s, pressure_pa)
        if not kept:
            self._kept = self._again = None
        told = [self._told(burst, now_s) for burst in found]
        return tuple([burst for burst in told if burst is not None])

    def _told(self, burst: Burst, now_s: float) -> Burst | None:
        """Give the burst as it is told now, if the first look did not tell it."""
        if burst.state != "confirmed" or burst.onset_s >= self._before_s:
            return None
        apart_s = max(_SAME_S, self.state.apart_s)
        if any(abs(burst.onset_s - onset_s) < apart_s for onset_s in self._onsets_s):
            return None
        self._onsets_s.append(burst.onset_s)
        return replace(burst, number=self.state.next_number(), seen_s=now_s)
