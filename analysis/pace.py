"""The pace of the trace: its level in ten-second steps and how fast that moves."""

import math

from analysis.middle import median

STEP_S = 10.0  # longer than any gauge's lag and most bursts' rise, short against a pump-down's end
KEPT = 180  # half an hour of steps

_Step = tuple[float, float]


class Pace:
    """Keeps the median level of each ten-second step and tells how quickly it moves.

    A median a step ignores glitches; the change over a window is that between the medians of its
    first and its last third, which a burst or two do not move.
    """

    def __init__(self) -> None:
        self._anchor_s: float | None = None  # the first reading: a shifted clock changes nothing
        self._values_pa: list[float] = []
        self._step = 0
        self._ends_s = -math.inf  # of the step that is open
        self._steps: list[tuple[float, float]] = []  # the last KEPT: (mid time_s, level_pa)
        self._known: dict[float, tuple[_Step, _Step] | None] = {}  # ends of a window, until a step

    @property
    def level_pa(self) -> float | None:
        """Level of the last whole step, Pa."""
        return self._steps[-1][1] if self._steps else None

    @property
    def newest_s(self) -> float | None:
        """Time of the middle of the last whole step."""
        return self._steps[-1][0] if self._steps else None

    def update(self, time_s: float, pressure_pa: float) -> bool:
        """Take a reading; True when it closed a step."""
        if time_s < self._ends_s:
            self._values_pa.append(pressure_pa)
            return False
        if self._anchor_s is None:
            self._anchor_s = time_s
        closed = bool(self._values_pa)
        if closed:
            middle_s = self._anchor_s + (self._step + 0.5) * STEP_S
            self._steps.append((middle_s, median(self._values_pa)))
            del self._steps[:-KEPT]
            self._values_pa.clear()
            self._known.clear()
        self._step = int((time_s - self._anchor_s) // STEP_S)
        self._ends_s = self._anchor_s + (self._step + 1) * STEP_S
        self._values_pa.append(pressure_pa)
        return closed

    def forget(self) -> None:
        """Start anew: what came before no longer tells what comes."""
        self._steps.clear()
        self._values_pa.clear()
        self._known.clear()

    def levels(self, window_s: float) -> list[tuple[float, float]]:
        """Give (time_s, level_pa) of the steps within ``window_s`` of the last one."""
        if not self._steps:
            return []
        from_s = self._steps[-1][0] - window_s
        # Steps lie at least STEP_S apart, so that no more can be within the window.
        steps = self.last(int(min(window_s, KEPT * STEP_S) // STEP_S) + 1)
        return steps if steps[0][0] >= from_s else [step for step in steps if step[0] >= from_s]

    def last(self, count: int) -> list[tuple[float, float]]:
        """Give (time_s, level_pa) of the last steps, oldest first."""
        return self._steps[-count:]

    def change_pa_per_s(self, window_s: float) -> float | None:
        """Absolute change of the level over the window, Pa/s; ``None`` when not yet covered."""
        ends = self._ends(window_s)
        if ends is None:
            return None
        (t0, p0), (t1, p1) = ends
        return (p1 - p0) / (t1 - t0)

    def change_per_s(self, window_s: float) -> float | None:
        """Relative change d ln P / dt over the window, 1/s; ``None`` when not yet covered."""
        ends = self._ends(window_s)
        if ends is None or ends[0][1] <= 0.0 or ends[1][1] <= 0.0:
            return None
        (t0, p0), (t1, p1) = ends
        return math.log(p1 / p0) / (t1 - t0)

    def _ends(self, window_s: float) -> tuple[_Step, _Step] | None:
        if window_s not in self._known:
            self._known[window_s] = self._find_ends(window_s)
        return self._known[window_s]

    def _find_ends(self, window_s: float) -> tuple[_Step, _Step] | None:
        steps = self.levels(window_s)
        third = len(steps) // 3
        if third < 1 or steps[-1][0] - steps[0][0] < 0.7 * window_s:
            return None
        return _middle(steps[:third]), _middle(steps[-third:])


def _middle(steps: list[tuple[float, float]]) -> tuple[float, float]:
    return median(t for t, _ in steps), median(p for _, p in steps)
