"""Live estimate of the reading's noise, and of the step to which the gauge rounds."""

from bisect import bisect_left, insort
from collections import deque
from itertools import islice
from math import erf, exp, log, pi, sqrt
from typing import Final

# First look: the smallest 60 % of the squares, whose mean under the standard normal law is
# E[z^2 | |z| < 0.8416] = 0.2146. Second look: all within 3 standard deviations, E = 0.9733.
_FIRST_KEPT, _FIRST_MEAN = 0.6, 0.21459
_SECOND_CUT, _SECOND_MEAN = 9.0, 0.97330
# Where bursts are crowded they spoil most: the smallest 30 and 15 % are asked too, of so many at
# least, with E[z^2 | |z| < 0.3853] = 0.0485 and E[z^2 | |z| < 0.1891] = 0.0119. Crowds swell the
# variance up to some fifty times; where they tell less still, the gauge repeats its values.
_CROWDED: Final = ((20, 0.3, 0.04852), (100, 0.15, 0.011865))
_MOST_SWOLLEN = 50.0
# The newest differences are also judged alone, 20 and 64 of them: estimates with a spread of
# about 25 and 14 %. A variance outside these shares of the whole window's is a noise that has
# changed, as it does while the pressure falls by decades: what is older is dropped.
_FEWEST = 20
_CHANGED = ((_FEWEST, 0.08, 12.0), (64, 0.35, 2.9))
# Lattice test: a difference within a tenth of a step of a multiple counts as on it.
_ON_LATTICE = 0.1
# A gauge keeps its step: once that many differences are known it is looked for every fourth time.
_STEP_KNOWN, _STEP_EVERY = 64, 4
_BY_CHANCE = log(1e-4)
# Where the level falls by this share over four readings, differences of the logarithm are taken
# too: of a fall by decades, read seldom, more of the curve is left in those of the pressure.
# While it so falls, the noise shrinks with the pressure: a fifth in the newest few is believed.
_STEEP, _STEEP_FELL = 0.97, 0.2
# Differences between two renewals while few are known yet.
_EVERY_AT_FIRST = 3
# Few differences may all be small by chance: the variance is told larger by so much over their
# number. Not on a steep fall, whose curve swells them anyway.
_CAUTION = 8.0


class NoiseEstimator:
    """Noise of a single reading, from how far four readings in a row lie off any parabola.

    Third divided differences are blind to slope and curvature of the trace, at any spacing of the
    readings. The few that bursts, glitches and steps spoil are cut off at three standard
    deviations. The rounding step is the lattice on which the readings lie. Where the noise is
    under about a third of a step, the trace sticks to one value and the differences see too
    little: the noise is never told below step / sqrt(12), the standard deviation of rounding.

    Parameters
    ----------
    window
        Number of differences remembered at most: in readings, since the precision of the
        estimate depends on their number alone (200 give about 6 %). Fewer after the noise has
        changed, as it does while the pressure falls by decades.
    every
        The estimate is renewed every so many differences, at first more often.
    spacing_s
        Seconds between differences at least: where readings come faster, neighbouring
        differences share most of theirs and are worth less than they cost.

    Raises
    ------
    ValueError
        If ``window`` is below 64 or ``every`` below 1.

    Attributes
    ----------
    swollen
        How many times the variance all of them would have told, 1 where it is not crowded.
    noise_pa
        Standard deviation of one reading, noise and rounding together, Pa; ``None`` until known.
    step_pa
        Rounding step, Pa; 0 where none is seen.
    stubborn_pa2
        Part of the noise's variance that averaging does not reduce, Pa^2: rounding error is spread
        by the noise before it, and its mean over the noise shrinks as exp(-2 pi^2 sigma^2 / step^2)
        (Widrow and Kollar, Quantization Noise, 2008: the characteristic function of the noise at
        the lattice's first harmonic; from memory).
    """

    def __init__(self, *, window: int = 200, every: int = 8, spacing_s: float = 0.4) -> None:
        if window < 64 or every < 1:
            raise ValueError("window must be at least 64 and every at least 1")
        self._window = window
        self._every = every
        self._spacing_s = spacing_s
        self._next_s = float("-inf")
        self._squares: deque[float] = deque()
        self._ordered_squares: list[float] = []
        self._jumps: deque[float] = deque()
        self._ordered_jumps: list[float] = []
        self._same = 0
        self._steep = 0  # differences for which the level is held to be falling steeply
        self._since_renewal = 0
        self._renewals = 0
        self._recent: tuple[float, ...] = ()  # times and values of the last four readings
        self.swollen = 1.0
        self.noise_pa: float | None = None
        self.step_pa = 0.0
        self.stubborn_pa2 = 0.0

    @property
    def rounding_pa2(self) -> float:
        """Variance of the rounding error, that of an even law over a step, Pa^2."""
        return self.step_pa * self.step_pa / 12.0

    @property
    def is_stuck(self) -> bool:
        """Whether the newest value has been repeated more often than chance would, 1 in 10000.

        Readings that lie about the middle of a step fall on it with a probability of
        erf(step / (2 sqrt(2) sigma)), and no others more often. Where the noise is small beside
        the step that is nearly always: there a stuck gauge cannot be told from a still trace.
        """
        if self._same < 3 or self.noise_pa is None:
            return False
        spread = self.noise_pa * self.noise_pa - self.rounding_pa2
        if spread <= 0.0:
            return False
        chance = erf(self.step_pa / (8.0 * spread) ** 0.5)
        return self._same * log(max(chance, 1e-9)) < _BY_CHANCE

    def break_off(self) -> None:
        """Begin anew with the next reading, as after a gap; what was learned stays."""
        self._recent = ()
        self._same = 0

    def update(self, time_s: float, pressure_pa: float, is_crowded: bool = False) -> bool:
        """Take one reading; True when the noise was told anew. Equal times are accepted.

        Where bursts are crowded so much fewer differences are believed.
        """
        recent = self._recent
        self._recent = newest = (*recent[-6:], time_s, pressure_pa)
        if not recent:
            return False
        jump = abs(pressure_pa - recent[-1])
        self._same = self._same + 1 if jump == 0.0 else 0
        if time_s < self._next_s and len(self._squares) >= 64:
            return False
        self._next_s = time_s + self._spacing_s
        if jump > 0.0:
            self._push(self._jumps, self._ordered_jumps, jump)
        # Exact repeats on a fine lattice are a gauge that stands still, not one without noise.
        if len(newest) < 8 or (self._same >= 2 and not self._is_coarse()):
            return False
        square = _off_parabola(*newest)
        if 0.0 < pressure_pa < _STEEP * newest[1] and min(newest[3], newest[5]) > 0.0:
            square = min(square, _off_fading(*newest))
            self._steep = _FEWEST
        elif self._steep:
            self._steep -= 1
        self._push(self._squares, self._ordered_squares, square)
        self._since_renewal += 1
        few = len(self._squares) < _STEP_KNOWN
        if self._since_renewal < (min(self._every, _EVERY_AT_FIRST) if few else self._every):
            return False
        self._since_renewal = 0
        self._renew(is_crowded)
        return True

    def _is_coarse(self) -> bool:
        return self.noise_pa is not None and self.step_pa > self.noise_pa

    def _push(self, newest: deque[float], ordered: list[float], value: float) -> None:
        newest.append(value)
        insort(ordered, value)
        if len(newest) > self._window:
            del ordered[bisect_left(ordered, newest.popleft())]

    def _renew(self, is_crowded: bool) -> None:
        self._renewals += 1
        if len(self._jumps) < _STEP_KNOWN or self._renewals % _STEP_EVERY == 0:
            self.step_pa = self._find_step()
        if len(self._squares) < _FEWEST // 2:
            return
        variance = _variance(self._ordered_squares)
        for count, fell, grew in _CHANGED:
            if len(self._squares) < 1.5 * count:
                break
            newest = sorted(islice(reversed(self._squares), count))
            now = _variance(newest)
            if self._steep:
                fell = max(fell, _STEEP_FELL)
            if now > 0.0 and not fell * variance < now < grew * variance:
                self._squares = deque(list(self._squares)[-count:])
                self._ordered_squares, variance = newest, now
                break
        self.swollen = 1.0
        if is_crowded and variance > 0.0:
            least = _least_told(self._ordered_squares, variance)
            self.swollen, variance = variance / least, least
        if len(self._squares) < _STEP_KNOWN and not self._steep:
            variance *= 1.0 + _CAUTION / len(self._squares)
        noise = sqrt(max(variance, self.rounding_pa2))
        self.noise_pa = noise if noise > 0.0 else self.noise_pa
        self.stubborn_pa2 = _stubborn_pa2(self.noise_pa, self.step_pa)

    def _find_step(self) -> float:
        """Smallest difference, if nearly all the others are multiples of it."""
        jumps = self._ordered_jumps
        if len(jumps) < 8:
            return self.step_pa
        # A tenth in: a few odd values (a change of range, a bad conversion) must not decide.
        guess = jumps[len(jumps) // 16]
        near = jumps[: bisect_left(jumps, 1.5 * guess)]
        step = sum(near) / len(near)
        if jumps[0] < 0.5 * step and jumps[0] > 1e-9 * step:
            step = jumps[0]
        most_off = len(jumps) - 0.9 * len(jumps)
        off, last, is_off = 0, -1.0, False
        for jump in jumps:
            if jump != last:  # of rounded readings many are alike
                last, steps = jump, jump / step
                is_off = abs(steps - round(steps)) >= _ON_LATTICE
            if is_off:
                off += 1
                if off > most_off:  # where nothing is rounded that is soon
                    return 0.0
        return step


def _stubborn_pa2(noise_pa: float | None, step_pa: float) -> float:
    """Part of the variance that averaging leaves; see ``NoiseEstimator``."""
    if noise_pa is None or step_pa == 0.0:
        return 0.0
    rounding = step_pa * step_pa / 12.0
    spread = max(noise_pa * noise_pa - rounding, 0.0)
    return rounding * exp(-4.0 * pi * pi * spread / (step_pa * step_pa))


def _variance(ordered: list[float]) -> float:
    """Variance of a reading, from ordered squares of which some are spoilt."""
    kept = max(int(_FIRST_KEPT * len(ordered)), 1)
    variance = sum(ordered[:kept]) / kept / _FIRST_MEAN
    for _ in range(2):
        kept = bisect_left(ordered, _SECOND_CUT * variance)
        if kept == 0:
            break
        variance = sum(ordered[:kept]) / kept / _SECOND_MEAN
    return variance


def _least_told(ordered: list[float], variance: float) -> float:
    """Variance of a reading, from ordered squares of which most are spoilt, and none too small."""
    least = variance
    for fewest, share, mean in _CROWDED:
        if len(ordered) >= fewest:
            kept = int(share * len(ordered))
            told = sum(ordered[:kept]) / kept / mean
            if told > variance / _MOST_SWOLLEN:
                least = min(least, told)
    return least


def _off_parabola(
    t0: float, y0: float, t1: float, y1: float, t2: float, y2: float, t3: float, y3: float
) -> float:
    """Square of the third divided difference, scaled to the variance of one reading.

    Where two of the times are equal, as by a clock that tells whole seconds or readings that were
    sent in one packet, their order is all that is known: they count as evenly spaced.
    """
    d01, d12, d23 = t0 - t1, t1 - t2, t2 - t3
    d02, d13 = d01 + d12, d12 + d23
    d03 = d02 + d23
    below = d01 * d12 * d23
    if below == 0.0:
        off = y3 - y0 - 3.0 * (y2 - y1)
        return off * off / 20.0
    w0, w1 = 1.0 / (d01 * d02 * d03), -1.0 / (d01 * d12 * d13)
    w2, w3 = 1.0 / (d02 * d12 * d23), -1.0 / (d03 * d13 * d23)
    # Taken from y0 so that a large pressure costs no digits.
    off = w1 * (y1 - y0) + w2 * (y2 - y0) + w3 * (y3 - y0)
    return off * off / (w0 * w0 + w1 * w1 + w2 * w2 + w3 * w3)


def _off_fading(
    t0: float, y0: float, t1: float, y1: float, t2: float, y2: float, t3: float, y3: float
) -> float:
    """Take the same of the logarithm, at the pressure of the middle: blind to falls by decades."""
    log1, log2, log3 = log(y1 / y0), log(y2 / y0), log(y3 / y0)
    square = _off_parabola(t0, 0.0, t1, log1, t2, log2, t3, log3)
    return square * y1 * y2
