"""What makes a forgotten mark good: the last readings, and a closing that the trace shows."""

from analysis.closing.cut_off import CutOff, CutOffWatch
from analysis.closing.recall import Recall
from analysis.hold.rules import HoldRules
from analysis.hold.watch import HoldWatch

_SAME_S = 1.0  # a confirmation names the offered time, perhaps rounded


class Unmarked:
    """Offers a closing seen in the trace, and gives a hold that begins in the past.

    From the moment of the offer the hold is followed beside the evacuation, so that it can be
    confirmed at any later time with all its readings.

    Parameters
    ----------
    rules
        The limits of a hold.
    """

    def __init__(self, rules: HoldRules) -> None:
        self._rules = rules
        self._recall = Recall()
        self._cut_off = CutOffWatch()
        self._offered: CutOff | None = None
        self._watch: HoldWatch | None = None

    def judge_by(self, rules: HoldRules) -> None:
        """Judge what will be a hold by other limits."""
        self._rules = rules
        if self._watch is not None:
            self._watch.judge_by(rules)

    @property
    def offered(self) -> CutOff | None:
        """The closing that the trace shows, until it is confirmed or its rise has gone."""
        return self._offered

    def sample(self, time_s: float, pressure_pa: float, temperature_c: float | None) -> None:
        """Take a reading of the circuit that nobody says is cut off."""
        self._recall.add(time_s, pressure_pa, temperature_c)
        self._cut_off.update(time_s, pressure_pa)
        if self._watch is not None:
            self._watch.update(time_s, pressure_pa, temperature_c)

    def look(self, noise_pa: float | None, fall_s: float | None) -> None:
        """Judge, each few seconds, by the readings' noise and the falls after bursts."""
        self._cut_off.look(noise_pa, fall_s)
        offer = self._cut_off.offer
        if offer is self._offered:
            return
        self._offered = offer
        self._watch = None if offer is None else self._replayed(offer.from_s)

    def earliest_s(self) -> float | None:
        """Give the earliest time at which a closing can still be set."""
        if self._offered is not None and self._watch is not None:
            first_s = self._recall.from_s
            return self._offered.from_s if first_s is None else min(first_s, self._offered.from_s)
        return self._recall.from_s

    def watch_from(self, time_s: float) -> HoldWatch:
        """Give a hold that began at ``time_s``, with the readings since then."""
        offer, watch = self._offered, self._watch
        if offer is not None and watch is not None and abs(time_s - offer.from_s) <= _SAME_S:
            return watch
        return self._replayed(time_s)

    def level_before_pa(self, time_s: float, window_s: float = 10.0) -> float | None:
        """Give the median pressure in the last seconds before ``time_s``."""
        found = sorted(p for t, p, _ in self._recall.since(time_s - window_s) if t < time_s)
        return found[len(found) // 2] if found else None

    def forget(self) -> None:
        """Start anew: a mark was made, or the trace disturbed."""
        self._recall.forget()
        self._cut_off.reset()
        self._offered = self._watch = None

    def _replayed(self, time_s: float) -> HoldWatch:
        watch = HoldWatch(rules=self._rules)
        for reading in self._recall.since(time_s):
            watch.update(*reading)
        return watch
