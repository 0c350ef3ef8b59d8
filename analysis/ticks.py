"""The seconds at which the analysis judges, whatever comes and however often."""

from collections.abc import Iterator

TICK_S = 1.0  # stage, cautions and forecast are judged once a second: people do not act faster
LONG_SILENCE_S = 3600.0
MOST_STEPS = 1440  # so many minutes make a day


class Ticks:
    """Gives each whole second since the first item once.

    So it makes no difference how often the passing of time is told. After an hour of silence
    nothing can change quickly any more, and a minute is a step; after a day a step is the silence's
    :data:`MOST_STEPS`-th part, so that a job opened again after months is judged at once.
    """

    def __init__(self) -> None:
        self._start_s = 0.0
        self.next_s = 0.0  # of the tick to come; until then nothing is due

    def start(self, time_s: float) -> None:
        """Begin with the first item."""
        self._start_s = self.next_s = time_s

    def due(self, time_s: float, last_sample_s: float | None) -> Iterator[float]:
        """Yield the ticks up to ``time_s`` that are not done yet."""
        while self.next_s <= time_s:
            now_s = self.next_s
            yield now_s
            silent_s = now_s - (self._start_s if last_sample_s is None else last_sample_s)
            is_long = silent_s >= LONG_SILENCE_S
            self.next_s = now_s + (max(60.0, silent_s / MOST_STEPS) if is_long else TICK_S)
