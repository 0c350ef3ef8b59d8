"""The pulls of an evacuation, each by itself: the vacuum is broken with nitrogen and pulled again.

A break is marked, or seen in the trace: up over 10 kPa for ten seconds (or, with a gauge that
does not reach so far, out of its range for a minute) from a pull that had been under 2 kPa.
"""

import math
from bisect import insort
from collections import deque
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from analysis.middle import median
from analysis.reason import Reason

BROKEN_PA: Final = 10e3  # no burst, and no valve closed on a boiling circuit, comes up to this
LOW_PA: Final = 2e3  # under the water's boiling pressure at room temperature: the pull had begun
OVER_RANGE_S: Final = 60.0  # nitrogen stays in for 5 to 10 min [practice]; a rush of air is less
# 10 kPa, then 7500, 1000, 500, 250 and 100 micron: what a technician looks for on the way down.
LEVELS_PA: Final = (10e3, 1e3, 133.3224, 66.6612, 33.3306, 13.33224)
KEPT: Final = 8
_TOP_WITHIN_S: Final = 600.0  # of a break's mark; later the gauge was shut off from it
_STAYED: Final = 3  # readings in a row: a glitch is no level reached
_STAYED_S: Final = 10.0  # over 10 kPa: gas let in stays for longer, bad readings do not
_LATELY: Final = 10  # minutes
_LULLS: Final = 9
_Z80: Final = 1.2816
_MILD: Final = 1.25  # less than a quarter more or less is no change worth a word


@dataclass(frozen=True, slots=True)
class Reached:
    """A pressure and how long after the pull's start it was first reached."""

    pressure_pa: float
    after_s: float


@dataclass(frozen=True, slots=True)
class Pull:
    """One pull-down from a break, or the beginning, to the next.

    Attributes
    ----------
    number
        1 for the first.
    from_s, until_s
        From its start (pressure last at its top) to the next break; ``None`` while it runs.
    reached
        Pressures on the way down.
    lowest_pa
        Lowest pressure that stayed for three readings.
    bursts, watched_s
        Confirmed bursts, and the time with readings of the circuit joined to the pump.
    bursts_lately, watched_lately_s
        The same of the last ten minutes of the pull.
    lull_s
        Median of its last nine lulls.
    smallest_burst_pa
        Smallest rise of a confirmed burst.
    """

    number: int
    from_s: float
    until_s: float | None = None
    reached: tuple[Reached, ...] = ()
    lowest_pa: float | None = None
    bursts: int = 0
    watched_s: float = 0.0
    bursts_lately: int = 0
    watched_lately_s: float = 0.0
    lull_s: float | None = None
    smallest_burst_pa: float | None = None

    @property
    def bursts_per_s(self) -> float | None:
        """Burst rate over the last ten minutes, 1/s; ``None`` before a minute was watched."""
        if self.watched_lately_s < 60.0:
            return None
        return self.bursts_lately / self.watched_lately_s


@dataclass(slots=True)
class _Minute:
    watched_s: float = 0.0
    bursts: int = 0


class PullBook:
    """Keeps a bounded book of the pulls.

    State: the present pull, the last seven ended, a few readings, ten minutes of counts.
    """

    def __init__(self) -> None:
        self._ended: deque[Pull] = deque(maxlen=KEPT - 1)
        self._number = 1
        self._start_s = self._began_s = 0.0
        self._was_low = self._awaits_top = False
        self._over_since_s: float | None = None
        self._high_since_s: float | None = None
        self._last_pa: deque[float] = deque(maxlen=_STAYED)
        self._reached: tuple[Reached, ...] = ()
        self._lowest_pa = self._smallest_pa = math.inf
        self._bursts, self._watched_s = 0, 0.0
        self._onsets_s: list[float] = []  # the last ones, in order
        self._lull_s: float | None = None
        self._minute = -1
        self._minutes: deque[_Minute] = deque([_Minute()], maxlen=_LATELY)

    @property
    def number(self) -> int:
        """Number of the present pull."""
        return self._number

    @property
    def pulls(self) -> tuple[Pull, ...]:
        """The pulls kept, the present one last."""
        return (*self._ended, self._filled())

    @property
    def awaits_top(self) -> bool:
        """Whether gas is about to come in: until it has, what is read is no circuit's."""
        return self._awaits_top

    def start(self, time_s: float) -> None:
        """Begin the first pull."""
        self._begin(1, time_s)

    def restart(self, time_s: float) -> None:
        """Begin the first pull anew: until now the gauge saw the rig alone."""
        if self._number == 1:
            self._begin(1, time_s)
        self._awaits_top = True

    def sample(self, time_s: float, pressure_pa: float) -> bool:
        """Take a reading; True when it shows that the vacuum was broken."""
        self._over_since_s = None
        last = self._last_pa
        last.append(pressure_pa)
        if self._lowest_pa <= pressure_pa <= BROKEN_PA and not self._awaits_top:
            self._high_since_s = None
            return False  # nothing new: by far the most readings
        if pressure_pa > BROKEN_PA:
            return self._is_broken(time_s)
        self._high_since_s = None
        if self._awaits_top:  # the mark was made before the nitrogen came; or the gauge shut off
            self._awaits_top = time_s - self._began_s < _TOP_WITHIN_S
        if self._awaits_top or len(last) < _STAYED:
            return False
        top_pa = max(last)
        if top_pa < self._lowest_pa:
            self._lowest_pa = top_pa
            self._was_low = self._was_low or top_pa < LOW_PA
            while len(self._reached) < len(LEVELS_PA):
                level_pa = LEVELS_PA[len(self._reached)]
                if top_pa > level_pa:
                    break
                after_s = max(time_s - self._start_s, 0.0)
                self._reached += (Reached(level_pa, after_s),)
        return False

    def _is_broken(self, time_s: float) -> bool:
        """Take a reading over 10 kPa."""
        self._awaits_top = False
        if not self._reached:
            self._start_s = time_s
        if self._high_since_s is None:
            self._high_since_s = time_s
        has_stayed = time_s - self._high_since_s >= _STAYED_S
        last = self._last_pa
        return self._was_low and has_stayed and min(last) > BROKEN_PA and len(last) == _STAYED

    def over_range(self, time_s: float) -> bool:
        """Take a reading over the gauge's range; True when it shows a break."""
        self._last_pa.clear()
        self._awaits_top = False
        if not self._reached:
            self._start_s = time_s
        if self._over_since_s is None:
            self._over_since_s = time_s
        return self._was_low and time_s - self._over_since_s >= OVER_RANGE_S

    def broken(self, time_s: float) -> bool:
        """Take a break of the vacuum; False where the pull had not begun: it is the same one."""
        if not self._was_low:
            return False
        # What stayed was let in when it came, not when it had stayed.
        until_s = time_s if self._high_since_s is None else self._high_since_s
        ended = replace(self._filled(), until_s=until_s)
        self._ended.append(ended)
        self._begin(ended.number + 1, time_s)
        return True

    def add_burst(self, onset_s: float, rise_pa: float) -> None:
        """Take a confirmed burst, it may have begun a while ago; one of an earlier pull is left."""
        if onset_s < self._start_s:
            return
        insort(self._onsets_s, onset_s)
        del self._onsets_s[: -_LULLS - 1]
        if len(self._onsets_s) > 1:
            self._lull_s = median(b - a for a, b in pairwise(self._onsets_s))
        self._bursts += 1
        ago = self._minute - self._minute_of(onset_s)
        if ago < len(self._minutes):
            self._minutes[-1 - ago].bursts += 1
        if rise_pa < self._smallest_pa:
            self._smallest_pa = rise_pa

    def tick(self, time_s: float, tick_s: float, is_watched: bool) -> None:
        """Count the time watched, once a second."""
        minute = self._minute_of(time_s)
        if minute != self._minute:
            self._minute = minute
            self._minutes.append(_Minute())
        if is_watched:
            self._minutes[-1].watched_s += tick_s
            self._watched_s += tick_s

    def _minute_of(self, time_s: float) -> int:
        return int((time_s - self._began_s) // 60.0)

    def _filled(self) -> Pull:
        return Pull(
            number=self._number,
            from_s=self._start_s,
            until_s=None,
            reached=self._reached,
            lowest_pa=self._lowest_pa if self._lowest_pa < math.inf else None,
            bursts=self._bursts,
            watched_s=self._watched_s,
            bursts_lately=sum([minute.bursts for minute in self._minutes]),
            watched_lately_s=sum([minute.watched_s for minute in self._minutes]),
            lull_s=self._lull_s,
            smallest_burst_pa=self._smallest_pa if self._smallest_pa < math.inf else None,
        )

    def _begin(self, number: int, time_s: float) -> None:
        self._number = number
        self._start_s = self._began_s = time_s
        self._was_low, self._over_since_s, self._high_since_s = False, None, None
        self._awaits_top = number > 1
        self._last_pa.clear()
        self._reached = ()
        self._lowest_pa = self._smallest_pa = math.inf
        self._bursts, self._watched_s = 0, 0.0
        self._onsets_s.clear()
        self._lull_s = None
        self._minute = -1
        self._minutes.clear()
        self._minutes.append(_Minute())


def compare_pulls(last: Pull, this: Pull) -> tuple[Reason, ...]:
    """Set a pull beside the one before.

    Returns
    -------
    tuple of Reason
        ``pull-reached`` with the lowest pressure that both reached and both times;
        ``pull-rarer``, ``pull-as-often`` or ``pull-oftener`` with both burst rates of the last
        ten minutes (said only beyond the 80 % interval of two Poisson counts, and a quarter);
        ``pull-smallest`` with both smallest bursts. Empty where nothing can be set side by side.
    """
    reasons: list[Reason] = []
    both = [
        (mine.pressure_pa, mine.after_s, theirs.after_s)
        for mine, theirs in zip(this.reached, last.reached, strict=False)
    ]
    if both:
        pressure_pa, after_s, last_s = both[-1]
        values = {"pressure_pa": pressure_pa, "after_s": after_s, "last_s": last_s}
        reasons.append(Reason("pull-reached", values))
    reasons += _compare_rates(last, this)
    if this.smallest_burst_pa is not None and last.smallest_burst_pa is not None:
        values = {"rise_pa": this.smallest_burst_pa, "last_pa": last.smallest_burst_pa}
        reasons.append(Reason("pull-smallest", values))
    return tuple(reasons)


def _compare_rates(last: Pull, this: Pull) -> list[Reason]:
    before, now = last.bursts_per_s, this.bursts_per_s
    if before is None or now is None or last.bursts_lately + this.bursts_lately == 0:
        return []
    # Half a burst more on each side: the Jeffreys prior of a Poisson rate.
    counts = (last.bursts_lately + 0.5, this.bursts_lately + 0.5)
    ratio = counts[1] / this.watched_lately_s / (counts[0] / last.watched_lately_s)
    reach = _Z80 * math.sqrt(1.0 / counts[0] + 1.0 / counts[1])
    code = "pull-as-often"
    if abs(math.log(ratio)) > max(reach, math.log(_MILD)):
        code = "pull-rarer" if ratio < 1.0 else "pull-oftener"
    return [Reason(code, {"ratio": ratio, "bursts": this.bursts_lately})]
