"""Early marks: bursts shown live before they are certain, and taken back where they were none."""

from analysis.burst.explanation import Event
from analysis.burst.fit import BurstFit
from analysis.snapshot import Burst, BurstState

# Marks nearer than this are of one burst: those nearer to each other count as one.
_SAME_S = 3.0


class EarlyMarks:
    """The bursts shown but not final, and the running number that each burst keeps."""

    def __init__(self) -> None:
        self._number = 0
        self._shown: list[tuple[int, Event]] = []

    @property
    def any(self) -> bool:
        """Whether any burst is shown."""
        return bool(self._shown)

    def add(self, event: Event) -> int:
        """Show a burst; return its number."""
        number = self.next_number()
        self._shown.append((number, event))
        return number

    def next_number(self) -> int:
        """Give a number that no burst has yet."""
        self._number += 1
        return self._number

    def has(self, event: Event) -> bool:
        """Whether this burst is shown."""
        return any(abs(event.time_s - shown.time_s) < _SAME_S for _, shown in self._shown)

    def take(self, event: Event) -> int:
        """Return the number of a burst that is final now, from its mark or a new one."""
        for mark in self._shown:
            if abs(event.time_s - mark[1].time_s) < _SAME_S:
                self._shown.remove(mark)
                return mark[0]
        return self.next_number()

    def drop_all_but(self, events: tuple[Event, ...]) -> list[tuple[int, Event]]:
        """Take back, and return, the marks of bursts that are not among these events."""
        bursts_s = [event.time_s for event in events if event.kind == "burst"]
        dropped = [
            mark
            for mark in self._shown
            if all(abs(mark[1].time_s - time_s) >= _SAME_S for time_s in bursts_s)
        ]
        self._shown = [mark for mark in self._shown if mark not in dropped]
        return dropped


def told(number: int, fit: BurstFit, seen_s: float, state: BurstState) -> Burst:
    """Give a burst as it is told."""
    return Burst(
        number, fit.onset_s, fit.peak_s, fit.rise_pa, fit.fall_s, fit.area_pa_s, seen_s, state
    )


def taken_back(number: int, event: Event, now_s: float) -> Burst:
    """Give the word that an early mark was no burst."""
    fit = BurstFit(event.time_s, event.time_s, 0.0, event.fall_s, 0.0)
    return told(number, fit, now_s, "retracted")
