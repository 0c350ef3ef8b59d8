"""The seconds at which the analysis judges, whatever comes and however often."""

from collections.abc import Iterator

TICK_S = 1.0  # stage, cautions and forecast are judged once a second: people do not act faster
LONG_SILENCE_S = 3600.0


class Ticks:
    """Gives each whole second since the first item once.

    So it makes no difference how often the passing of time is told. After an hour of silence
    nothing can change quickly any more, and a minute is a step.
    """

    def __init__(self) -> None:
        self._next_s = 0.0

    def start(self, time_s: float) -> None:
        """Begin with the first item."""
        self._next_s = time_s

    def due(self, time_s: float, last_sample_s: float | None) -> Iterator[float]:
        """Yield the ticks up to ``time_s`` that are not done yet."""
        while self._next_s <= time_s:
            now_s = self._next_s
            yield now_s
            silent_s = 0.0 if last_sample_s is None else now_s - last_sample_s
            self._next_s = now_s + (TICK_S if silent_s < LONG_SILENCE_S else 60.0 * TICK_S)
