"""Live estimate of the reading's noise, and of the step to which the gauge rounds."""

from bisect import bisect_left, insort
from collections import deque
from math import exp, pi, sqrt

# Share of the smallest squares kept. A burst spoils about two of the differences around its onset
# and a glitch three: with an event every ten readings the estimate still stands.
_KEPT = 0.8
# E[z^2 | |z| < 1.2816] of the standard normal law: what the kept 80 % average to.
_KEPT_MEAN = 0.43772
# Bits of the lattice test: a difference within a tenth of a step of a multiple counts as on it.
_ON_LATTICE = 0.1


class NoiseEstimator:
    """Noise of a single reading, from how far it lies off the line between its two neighbours.

    Second differences are blind to the slope of the trace; a trimmed mean of their squares is
    blind to the few that bursts, glitches and steps spoil, and, unlike a median, is not itself
    a multiple of the rounding step. The rounding step is the lattice on which the differences
    lie. Where the noise is under about a third of a step, the trace sticks to one value and the
    differences see too little: the noise is never told below step / sqrt(12), the standard
    deviation of rounding.

    Parameters
    ----------
    window
        Number of differences remembered: in readings, since the precision of the estimate
        depends on their number alone (100 give about 10 %).
    every
        The estimate is renewed every so many readings.

    Raises
    ------
    ValueError
        If ``window`` is below 16 or ``every`` below 1.
    """

    def __init__(self, *, window: int = 96, every: int = 8) -> None:
        if window < 16 or every < 1:
            raise ValueError("window must be at least 16 and every at least 1")
        self._window = window
        self._every = every
        self._squares: deque[float] = deque()
        self._ordered_squares: list[float] = []
        self._jumps: deque[float] = deque()
        self._ordered_jumps: list[float] = []
        self._same = 0
        self._since_renewal = 0
        self._middle: tuple[float, float] | None = None
        self._older: tuple[float, float] | None = None
        self._noise_pa: float | None = None
        self._step_pa = 0.0

    @property
    def noise_pa(self) -> float | None:
        """Standard deviation of one reading, noise and rounding together, Pa."""
        return self._noise_pa

    @property
    def step_pa(self) -> float:
        """Rounding step, Pa; 0 where none is seen."""
        return self._step_pa

    @property
    def run_of_same(self) -> int:
        """How many times in a row the newest value has now been repeated."""
        return self._same

    @property
    def stubborn_pa2(self) -> float:
        """Part of the noise's variance that averaging does not reduce, Pa^2.

        Rounding error is spread by the noise before it: its mean over the noise shrinks as
        exp(-2 pi^2 sigma^2 / step^2) (Widrow and Kollar, Quantization Noise, 2008: the
        characteristic function of the noise at the lattice's first harmonic; from memory).
        """
        if self._noise_pa is None or self._step_pa == 0.0:
            return 0.0
        rounding = self._step_pa * self._step_pa / 12.0
        spread = max(self._noise_pa * self._noise_pa - rounding, 0.0)
        return rounding * exp(-4.0 * pi * pi * spread / (self._step_pa * self._step_pa))

    def break_off(self) -> None:
        """Begin anew with the next reading, as after a gap; what was learned stays."""
        self._middle = self._older = None
        self._same = 0

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take one reading. Equal times are accepted."""
        middle, older = self._middle, self._older
        self._older, self._middle = middle, (time_s, pressure_pa)
        if middle is None:
            return
        jump = abs(pressure_pa - middle[1])
        if jump == 0.0:
            self._same += 1
        else:
            self._same = 0
            self._push(self._jumps, self._ordered_jumps, jump)
        if older is None:
            return
        # Exact repeats on a fine lattice are a gauge that stands still, not one without noise.
        if self._same >= 2 and not self._is_coarse():
            return
        span = time_s - older[0]
        share = (time_s - middle[0]) / span if span > 0.0 else 0.5
        off = middle[1] - share * older[1] - (1.0 - share) * pressure_pa
        weight = 1.0 + share * share + (1.0 - share) * (1.0 - share)
        self._push(self._squares, self._ordered_squares, off * off / weight)
        self._since_renewal += 1
        if self._since_renewal >= self._every:
            self._since_renewal = 0
            self._renew()

    def _is_coarse(self) -> bool:
        return self._noise_pa is not None and self._step_pa > self._noise_pa

    def _push(self, newest: deque[float], ordered: list[float], value: float) -> None:
        newest.append(value)
        insort(ordered, value)
        if len(newest) > self._window:
            del ordered[bisect_left(ordered, newest.popleft())]

    def _renew(self) -> None:
        self._step_pa = self._find_step()
        kept = int(_KEPT * len(self._ordered_squares))
        if kept < 6:
            return
        variance = sum(self._ordered_squares[:kept]) / kept / _KEPT_MEAN
        rounding = self._step_pa * self._step_pa / 12.0
        noise = sqrt(max(variance, rounding))
        self._noise_pa = noise if noise > 0.0 else self._noise_pa

    def _find_step(self) -> float:
        """Smallest difference, if nearly all the others are multiples of it."""
        jumps = self._ordered_jumps
        if len(jumps) < 8:
            return self._step_pa
        # A tenth in: a few odd values (a change of range, a bad conversion) must not decide.
        guess = jumps[len(jumps) // 16]
        near = [jump for jump in jumps if jump < 1.5 * guess]
        step = sum(near) / len(near)
        if jumps[0] < 0.5 * step and jumps[0] > 1e-9 * step:
            step = jumps[0]
        on = sum(1 for jump in jumps if abs(jump / step - round(jump / step)) < _ON_LATTICE)
        return step if on >= 0.9 * len(jumps) else 0.0
