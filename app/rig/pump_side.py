"""The second gauge, at the pump, as a run knows it: what it said last, and what that means."""

import math

from analysis.pump.two_gauges import TwoGauges
from analysis.reason import Reason
from analysis.snapshot import Snapshot
from app.gauge.link import Ended, Failed, LinkEvent
from app.words.sentences import is_broken
from sensors.events import Lost, Reading, Rejected

_EVERY_S = 1.0  # often enough for a sentence that is read


class PumpSide:
    """Follows the gauge at the pump beside the far one. It decides nothing.

    Attributes
    ----------
    gauge
        Its address; empty where there is none.
    reading
        What it said last, or ``None`` where it is not there.
    rejected
        Frames of it that were no readings.
    difference
        What the difference between the two means now, or ``None``.
    """

    def __init__(self) -> None:
        self.gauge = ""
        self.reading: Reading | None = None
        self.rejected = 0
        self.difference: Reason | None = None
        self._two = TwoGauges()
        self._judged_s = -math.inf

    def change(self, gauge: str) -> None:
        """Another gauge, or with an empty name none."""
        self.gauge, self.reading = gauge, None
        self.far_changes()

    def far_changes(self) -> None:
        """Another far gauge: what the two said so far is not compared any more."""
        self.difference = None
        self._two.forget()

    def take(self, event: LinkEvent) -> None:
        """Take what it says."""
        if isinstance(event, Reading):
            self.reading = event
            self._two.take_pump(event)
        elif isinstance(event, Rejected):
            self.rejected += 1
        elif isinstance(event, Lost | Failed | Ended):
            self.reading = None

    def take_far(self, event: LinkEvent) -> None:
        """Take what the far gauge says."""
        if isinstance(event, Reading):
            self._two.take_far(event)

    def judge(self, now_s: float, snapshot: Snapshot | None) -> None:
        """Judge the difference anew, where a second has passed since the last time."""
        if not self.gauge or abs(now_s - self._judged_s) < _EVERY_S:
            return
        self._judged_s = now_s
        if snapshot is None or is_cut_off(snapshot):
            self._two.forget()
            self.difference = None
        else:
            self.difference = self._two.judge(now_s)


def is_cut_off(snapshot: Snapshot) -> bool:
    """Tell whether the circuit is shut off from the pump: then the two have to differ.

    So it is while nitrogen stands in it.
    """
    isolation, blank_off = snapshot.isolation, snapshot.blank_off
    return (
        snapshot.stage in ("holding", "done")
        or is_broken(snapshot)
        or (isolation is not None and isolation.until_s is None)
        or (blank_off is not None and blank_off.until_s is None)
    )
