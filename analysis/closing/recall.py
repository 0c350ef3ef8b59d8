"""The last ten minutes of readings, kept so that a forgotten mark can be set in the past."""

from collections import deque

RECALL_S = 600.0  # a technician who closed a valve notices what he forgot within minutes [practice]
SPACING_S = 0.05  # nearer than this a reading tells nothing new: gauges lag by tenths of a second

Remembered = tuple[float, float, float | None]  # time_s, pressure_pa, temperature_c


class Recall:
    """Remembers readings for :data:`RECALL_S`, at most one in :data:`SPACING_S`.

    They are kept as they came and not as means, so that a gauge's rounding step stays to be seen.
    Bounded: at most 12 001 readings.

    Examples
    --------
    >>> recall = Recall()
    >>> for second in range(3):
    ...     recall.add(float(second), 20.0, None)
    >>> recall.since(1.0)
    [(1.0, 20.0, None), (2.0, 20.0, None)]
    """

    def __init__(self) -> None:
        self._kept: deque[Remembered] = deque()

    @property
    def from_s(self) -> float | None:
        """Time of the oldest reading remembered."""
        return self._kept[0][0] if self._kept else None

    def add(self, time_s: float, pressure_pa: float, temperature_c: float | None) -> None:
        """Take a reading; times never go back."""
        kept = self._kept
        if kept and time_s - kept[-1][0] < SPACING_S:
            return
        kept.append((time_s, pressure_pa, temperature_c))
        while kept[0][0] < time_s - RECALL_S:
            kept.popleft()

    def since(self, time_s: float) -> list[Remembered]:
        """Give the readings at ``time_s`` and later, oldest first."""
        return [reading for reading in self._kept if reading[0] >= time_s]

    def forget(self) -> None:
        """Start anew: what came before belongs to another state of the valves."""
        self._kept.clear()
