"""Recognising that the circuit was cut off from the pump though nobody pressed anything.

With the valve closed, what was pumped until then stays: the level P at once rises by about P in
each fall time V/S_eff, straight at first, then levelling as vapour comes near its balance. A
burst jumps within seconds and falls; a bend of the base line is slow. A pump that stopped with
its valve open looks the same, so this is offered to the technician and never assumed.
"""

from collections import deque
from dataclasses import dataclass
from itertools import islice, pairwise
from math import inf
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from analysis.gauge.staircase import foot_of_stairs
from analysis.middle import median

Floats = NDArray[np.float64]
CutOffKind = Literal["steady", "levelling"]

_BIN_S: Final = 2.0
_KEPT: Final = 300  # bins: ten minutes
_SPANS_S: Final = (20.0, 40.0, 80.0, 160.0, 320.0)
_ANEW: Final = 0.1  # a window is searched anew once a tenth of it has passed
_PARTS: Final = 8
_NOISES: Final = 10.0
# Wander of a gauge reaches a hundredth of its reading within a minute; a closing gains P in one
# fall time (3 to 200 s), less the pump's ultimate pressure.
_SHARE: Final = 0.15
_LEAST_PART: Final = 0.2  # of the mean part's gain: a rise that has all but levelled is seen late
_SLOW: Final = 40  # bins: in so long a rise parts differ by little, and rounding hides it
_JUMP: Final = 0.35  # of the rise, within one bin: that is a burst
# Slow falls make bursts pile up to a rise in steps; one that levels off has under half of itself in
# its steepest quarter.
_IN_STEPS: Final = 0.65
_DIP: Final = 0.04  # of the rise, or three noises: a fall within a rise is a burst's
_HIGHEST_PA: Final = 5e3  # higher is gas let in
_BACK: Final = 0.5  # of the rise: the valve was opened again, or it was none
_LEVELS: Final = 0.6  # last third's pace over the first's: below, it levels off
_BEFORE_S: Final = 40.0  # of the trace before the rise, to tell where it turned


@dataclass(frozen=True, slots=True)
class CutOff:
    """A closing that the trace shows and no mark tells.

    Attributes
    ----------
    from_s
        When the rise began: time zero if the technician confirms.
    kind
        Whether it rises steadily or levels off so far.
    rise_pa
        How far it rose until it was seen.
    """

    from_s: float
    kind: CutOffKind
    rise_pa: float


class CutOffWatch:
    """Watches for a closing that nobody marked.

    A window of the last 20, 40, ... 320 s must rise in each of its eighths, by more than ten
    times the noise and 15 % of the level, with no jump and no fall in it; or in steps that stay
    (``analysis.gauge.staircase``). The offer lapses when half of the rise is gone. Blind where a
    tight, dry circuit hardly rises, as it must be.
    """

    def __init__(self) -> None:
        self.offer: CutOff | None = None
        self.reset()

    def reset(self) -> None:
        """Start anew: a mark tells what goes on, or the trace was disturbed."""
        self.offer = None
        self._top_pa = self._foot_pa = 0.0
        self._anchor_s: float | None = None
        self._index = 0
        self._ends_s = -inf  # of the bin that is open
        self._values_pa: list[float] = []
        self._bins: deque[tuple[float, float]] = deque(maxlen=_KEPT)
        self._is_new = False
        self._due_s = [-inf] * len(_SPANS_S)

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        if time_s < self._ends_s:
            self._values_pa.append(pressure_pa)
            return
        if self._anchor_s is None:
            self._anchor_s = time_s
        if self._values_pa:
            middle_s = self._anchor_s + (self._index + 0.5) * _BIN_S
            self._bins.append((middle_s, median(self._values_pa)))
            self._values_pa.clear()
            self._is_new = True
        self._index = int((time_s - self._anchor_s) // _BIN_S)
        self._ends_s = self._anchor_s + (self._index + 1) * _BIN_S
        self._values_pa.append(pressure_pa)

    def look(self, noise_pa: float | None, fall_s: float | None = None) -> None:
        """Judge, each few seconds; does nothing until a bin was closed.

        Parameters
        ----------
        noise_pa
            Of a reading; ``None`` while unknown, when nothing is judged.
        fall_s
            Time constant of the falls after bursts, where known.
        """
        if not self._is_new:
            return
        self._is_new = False
        level_pa = self._bins[-1][1]
        if self.offer is not None:
            self._top_pa = max(self._top_pa, level_pa)
            if level_pa < self._foot_pa + (1.0 - _BACK) * (self._top_pa - self._foot_pa):
                self.reset()
        elif noise_pa is not None:
            self._seek(level_pa, noise_pa, fall_s)

    def _seek(self, level_pa: float, noise_pa: float, fall_s: float | None) -> None:
        bins = self._bins
        now_s = bins[-1][0]
        for place, span_s in enumerate(_SPANS_S):
            if now_s < self._due_s[place]:
                continue
            self._due_s[place] = now_s + _ANEW * span_s - 0.5 * _BIN_S
            count = min(round(span_s / _BIN_S), len(bins))
            while bins[-count][0] <= now_s - span_s:  # where readings are missing
                count -= 1
            start_s, start_pa = bins[-count]
            if level_pa - start_pa < _NOISES * noise_pa:  # by far the most seconds
                continue
            if now_s - start_s < 0.8 * span_s or count < _PARTS:
                continue
            shown = list(islice(reversed(bins), count))[::-1]
            levels_pa = [pressure for _, pressure in shown]
            if level_pa < (1.0 + 0.5 * _SHARE) * min(levels_pa):  # nor is it far on the way
                continue
            levels_pa = _without_glitches(levels_pa)
            if _is_closing(levels_pa, noise_pa):
                self._offer(start_s, now_s, level_pa)
                return
            stairs = [(time_s, level) for (time_s, _), level in zip(shown, levels_pa, strict=True)]
            from_s = foot_of_stairs(stairs, noise_pa, fall_s)
            if from_s is not None and level_pa <= _HIGHEST_PA:
                self._foot_pa, self._top_pa = min(levels_pa), level_pa
                self.offer = CutOff(from_s, "steady", level_pa - self._foot_pa)
                return

    def _offer(self, start_s: float, now_s: float, level_pa: float) -> None:
        shown = [(t, p) for t, p in self._bins if t > start_s - _BEFORE_S]
        times, levels = (np.array(column) for column in zip(*shown, strict=True))
        from_s, foot_pa = _turning_point(times, levels, start_s, now_s)
        self._foot_pa, self._top_pa = min(foot_pa, level_pa), level_pa
        self.offer = CutOff(from_s, _kind(times, levels, from_s), level_pa - self._foot_pa)


def _without_glitches(levels_pa: list[float]) -> list[float]:
    """Give medians of three; an end lies no further out than on the line through the next two."""
    three = zip(levels_pa, levels_pa[1:], levels_pa[2:], strict=False)
    inner = [max(min(a, b), min(max(a, b), c)) for a, b, c in three]
    first_pa = max(levels_pa[0], 2.0 * levels_pa[1] - levels_pa[2])
    last_pa = min(levels_pa[-1], 2.0 * levels_pa[-2] - levels_pa[-3])
    return [first_pa, *inner, last_pa]


def _is_closing(levels_pa: list[float], noise_pa: float) -> bool:
    count = len(levels_pa)
    if levels_pa[-1] - levels_pa[0] < _NOISES * noise_pa or levels_pa[-1] > _HIGHEST_PA:
        return False
    parts = [
        median(levels_pa[i * count // _PARTS : (i + 1) * count // _PARTS]) for i in range(_PARTS)
    ]
    rise_pa = parts[-1] - parts[0]
    if rise_pa < max(_NOISES * noise_pa, _SHARE * parts[0]):
        return False
    least_pa = _LEAST_PART * rise_pa / (_PARTS - 1)
    if count >= _SLOW:
        least_pa -= noise_pa
    if min(b - a for a, b in pairwise(parts)) < least_pa:
        return False
    moves = sorted(b - a for a, b in pairwise(levels_pa))
    steepest = moves[-max(count // 4, 1) :]
    if sum(steepest) - 2.0 * noise_pa * len(steepest) > _IN_STEPS * rise_pa:
        return False
    return moves[-1] < _JUMP * rise_pa and moves[0] > -max(3.0 * noise_pa, _DIP * rise_pa)


def _turning_point(
    times: Floats, levels: Floats, start_s: float, now_s: float
) -> tuple[float, float]:
    """Find where a straight trace turns into a rise that may bend: time and level there."""
    best_rest, best = np.inf, (start_s, float(levels[0]))
    since = times - times[0]
    for turn_s in np.arange(max(times[0], start_s - 0.5 * _BEFORE_S), now_s - 6.0, 1.0):
        after = np.maximum(times - turn_s, 0.0)
        columns = np.column_stack((np.ones_like(since), since, after, after * after))
        fit, _, _, _ = np.linalg.lstsq(columns, levels, rcond=None)
        rest = float(np.sum((levels - columns @ fit) ** 2))
        if rest < best_rest:
            foot_pa = float(fit[0] + fit[1] * (turn_s - times[0]))
            best_rest, best = rest, (float(turn_s), foot_pa)
    return best


def _kind(times: Floats, levels: Floats, from_s: float) -> CutOffKind:
    rising = levels[times >= from_s]
    third = max(len(rising) // 3, 1)
    early_pa, late_pa = rising[third - 1] - rising[0], rising[-1] - rising[-third]
    return "levelling" if late_pa < _LEVELS * early_pa else "steady"
