"""The seconds at which the analysis looks, whatever comes and however often."""

from collections.abc import Iterator

TICK_S = 1.0  # people do not act faster
# Silence and air rushing in are told at once. Stage, forecast and the other cautions rest on
# minutes of data, in levels of ten seconds each: they are judged at the tick that follows a new
# level, and at the next one after a mark or a burst.
TICKS_A_JUDGEMENT = 10
LONG_SILENCE_S = 3600.0
MOST_STEPS = 1440  # so many minutes make a day


class Judgements:
    """Tells at which ticks all is judged: each tenth, and the next one after something happened.

    The first is judged, and the second, with which the grid begins: a level ends with the reading
    after its ten seconds, so that the tick after that reading is the first to know it.
    """

    def __init__(self) -> None:
        self._left = 2
        self._is_stirred = True

    def stir(self) -> None:
        """Heed that something happened."""
        self._is_stirred = True

    def due(self) -> bool:
        """Take a tick; whether all is judged at it."""
        self._left -= 1
        is_due = self._is_stirred or self._left <= 0
        self._is_stirred = False
        if self._left <= 0:
            self._left = TICKS_A_JUDGEMENT
        return is_due


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
