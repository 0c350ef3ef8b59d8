"""Size, onset and fall of one burst, fitted to the samples around it once it is certain."""

from math import exp, expm1, log
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from analysis.burst.excess import Excess
from analysis.burst.usual_fall import ANY_FALL, UsualFall

# Rises tried: a lag in seconds, and for how long the gas comes; from a fraction of a second to
# several, each about 1.7 times the one before.
_RISES_S = (
    (0.1, 0.1), (0.2, 0.4), (0.4, 0.8), (0.4, 2.0), (0.8, 1.0), (0.8, 3.0),
    (1.5, 2.0), (1.5, 5.0), (2.5, 3.0), (2.5, 7.0), (2.5, 9.5),
)  # fmt: skip
# What a second burst must gain: in variances of a sample, and as a share of what one leaves.
_SECOND, _SECOND_SHARE = 25.0, 0.5
_BOILS_S = np.array([boil_s for _, boil_s in _RISES_S])[:, None, None]
# Each lag once, and which of them each rise has.
_LAGS_S, _LAG_OF = np.unique([lag_s for lag_s, _ in _RISES_S], return_inverse=True)
_FALL_FACTORS = np.array([0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0])
# Where the guess is by more than this factor from the usual fall, those around that are tried too.
_NEAR = 1.6
# The first of a slow rise is lost in the noise, so the onset may lie this long before its guess;
# how far from it is told by the fit, held back with this spread: freer, long rises took in the
# fall before them.
_EARLIER_S, _ONSET_SPREAD_S = 5.0, 1.0
# Where few samples fit several shapes alike, rounding must not choose: the quicker one is taken,
# for so little of a sample's variance.
_TIE = 1e-6

# On a steep pull-down the base line's own bend looks like a burst: its slope dies away by up to
# a hundredth a second more than the picture knows, which over a rise of t seconds makes t^2 / 200
# times the slope, and half a second's worth of it at least [chosen].
_BEND_S, _BEND_PER_S = 0.5, 0.005


class BurstFit(NamedTuple):
    """Values of one burst over the falling base line."""

    onset_s: float
    peak_s: float
    rise_pa: float
    fall_s: float
    area_pa_s: float
    gain_pa2: float = 0.0  # by how much the burst cuts the sum of squares
    lag_s: float = 0.0
    boil_s: float = 0.0

    @property
    def size_pa(self) -> float:
        """Gas set free, as the rise it would make if none were pumped away meanwhile."""
        return self.area_pa_s / self.fall_s

    def course(self, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """Excess over the base line at these times (n,), of a burst of size 1."""
        return _shape(time_s - self.onset_s, self.fall_s, self.lag_s, self.boil_s)

    @property
    def bend_s(self) -> float:
        """How many seconds' worth of a steep base line's slope its own bend may make of this."""
        return max(_BEND_S, _BEND_PER_S * (self.peak_s - self.onset_s) ** 2)


def onset_offsets_s(over: Excess, onset_s: float, spacing_s: float) -> NDArray[np.float64]:
    """How far from its first guess the onset may lie: (m,) float64, s."""
    later_s = max(1.5 * spacing_s, 1.0)
    first_s = max(-_EARLIER_S, float(over.times_s[0]) - onset_s) if over.times_s.size else 0.0
    return np.arange(min(first_s, -later_s), later_s + 1e-9, 0.25)


def fit_burst(
    over: Excess, onset_s: float, fall_s: float, spacing_s: float, usual: UsualFall = ANY_FALL
) -> BurstFit:
    """Least squares over a grid of onset and rise, then fall; the size follows in closed form.

    Parameters
    ----------
    over
        Samples around the burst and their excess over what was expected without it.
    onset_s, fall_s
        First guesses.
    spacing_s
        Typical distance of samples: how far the onset may lie after its guess.
    usual
        What is known of the fall beforehand.
    """
    variance = over.variance
    offsets = onset_offsets_s(over, onset_s, spacing_s)
    rises = _Rises(over.times_s - (onset_s + offsets)[:, None])
    held_back = variance * ((offsets / _ONSET_SPREAD_S) ** 2 + _TIE * _BOILS_S[:, :, 0])
    fall, falls = fall_s, fall_s * _FALL_FACTORS
    if not fall_s / _NEAR < usual.fall_s < fall_s * _NEAR:
        falls = np.concatenate((falls, usual.fall_s * _FALL_FACTORS))
    unusual = variance * usual.unlikely(falls)
    for _ in range(2):  # what the onset is depends a little on the fall
        gain, _sizes = over.gain(rises.shapes(fall))
        i, j = divmod(int((gain - held_back).argmax()), offsets.size)
        lags = np.minimum(_RISES_S[i][0], 0.7 * falls)
        shapes = _shape(rises.since_s[j], falls[:, None], lags[:, None], _RISES_S[i][1])
        gain, sizes = over.gain(shapes)
        k = int((gain - unusual).argmax())
        size, last, fall = float(sizes[k]), fall, float(falls[k])
        if fall == last:
            break
    lag, boil = float(lags[k]), _RISES_S[i][1]
    onset, peak_s = onset_s + float(offsets[j]), _peak_s(fall, lag, boil)
    return BurstFit(
        onset_s=onset,
        peak_s=onset + peak_s,
        rise_pa=size * _height(peak_s, fall, lag, boil),
        fall_s=fall,
        area_pa_s=size * fall,
        gain_pa2=float(gain[k]),
        lag_s=lag,
        boil_s=boil,
    )


def is_one(
    over: Excess,
    one: BurstFit,
    first: BurstFit,
    second: BurstFit,
    spacing_s: float,
    usual: UsualFall,
) -> bool:
    """Tell whether one slow burst explains all but as much as the two it was taken for.

    The two are fitted in turn, each to what the other leaves. The second must cut the sum of
    squares by five standard deviations of a sample, and by a good part of what one burst leaves:
    no burst is exactly of the shape that is fitted.
    """
    for _ in range(2):
        rest = over.without(first.size_pa * first.course(over.times_s))
        second = fit_burst(rest, second.onset_s, second.fall_s, spacing_s, usual)
        rest = over.without(second.size_pa * second.course(over.times_s))
        first = fit_burst(rest, first.onset_s, first.fall_s, spacing_s, usual)
    two_pa2 = rest.square_pa2 - first.gain_pa2
    one_pa2 = over.square_pa2 - one.gain_pa2
    return one_pa2 - two_pa2 < max(_SECOND * over.variance, _SECOND_SHARE * one_pa2)


class _Rises:
    """Bursts of each rise in ``_RISES_S``, from each of some onsets.

    Most of the work is the exponentials of the lags: each is made once, and again only where the
    fall is so short that it bounds them.

    Parameters
    ----------
    since_s : (m, n) float64
        Time of each sample since each onset.
    """

    def __init__(self, since_s: NDArray[np.float64]) -> None:
        self.since_s = since_s
        self._on_s = np.maximum(since_s, 0.0)
        self._longest_s = -1.0
        self._lags_s = self._lagged = self._on_s

    def shapes(self, fall_s: float) -> NDArray[np.float64]:
        """Excess of bursts of size 1 with this fall: (rises, m, n)."""
        longest_s = min(0.7 * fall_s, float(_LAGS_S[-1]))
        if longest_s != self._longest_s:
            self._longest_s = longest_s
            lags_s = np.minimum(_LAGS_S, longest_s)[:, None, None]
            self._lags_s, left = lags_s[_LAG_OF], np.exp(-self._on_s / lags_s)
            self._lagged = _sunk(left[_LAG_OF], self._lags_s, _BOILS_S)
            self._lagged *= self._lags_s
        fallen = _faded(self._on_s, fall_s, _BOILS_S)
        fallen *= fall_s
        fallen -= self._lagged
        fallen *= fall_s / (fall_s - self._lags_s) / _BOILS_S
        return fallen


def _shape(
    since_s: NDArray[np.float64],
    fall_s: NDArray[np.float64] | float,
    lag_s: NDArray[np.float64] | float,
    boil_s: NDArray[np.float64] | float,
) -> NDArray[np.float64]:
    """Excess of a burst of size 1, whose gas comes evenly for ``boil_s`` through a lag.

    The integral of fall / (fall - lag) (e^(-t / fall) - e^(-t / lag)) over the last ``boil_s``.
    """
    on_s = np.maximum(since_s, 0.0)
    fallen = fall_s * _faded(on_s, fall_s, boil_s) - lag_s * _faded(on_s, lag_s, boil_s)
    return np.asarray(fall_s / (fall_s - lag_s) / boil_s * fallen)


def _peak_s(fall_s: float, lag_s: float, boil_s: float) -> float:
    """When after its onset a burst is highest: where the slope of its shape is nothing."""
    lagging, falling = expm1(boil_s / lag_s), expm1(boil_s / fall_s)
    return log(lagging / falling) / (1.0 / lag_s - 1.0 / fall_s)


def _height(peak_s: float, fall_s: float, lag_s: float, boil_s: float) -> float:
    """Excess of a burst of size 1 at its peak, when all its gas has come: as :func:`_shape`."""
    fallen, lagged = (
        constant_s * exp(-peak_s / constant_s) * expm1(boil_s / constant_s)
        for constant_s in (fall_s, lag_s)
    )
    return fall_s / (fall_s - lag_s) / boil_s * (fallen - lagged)


def _faded(
    on_s: NDArray[np.float64],
    constant_s: NDArray[np.float64] | float,
    boil_s: NDArray[np.float64] | float,
) -> NDArray[np.float64]:
    """By how much e^(-t / constant), 1 before t = 0, has sunk over the last ``boil_s``."""
    return _sunk(np.exp(-on_s / constant_s), constant_s, boil_s)


def _sunk(
    left: NDArray[np.float64],
    constant_s: NDArray[np.float64] | float,
    boil_s: NDArray[np.float64] | float,
) -> NDArray[np.float64]:
    """By how much what is ``left`` now has sunk over the last ``boil_s``."""
    # What it was before is the same but for a factor: half of the exponentials are saved. So large
    # an array is worked on in place: a new one each time costs as much as what is done with it.
    sunk = left * np.exp(boil_s / constant_s)
    np.minimum(sunk, 1.0, out=sunk)
    sunk -= left
    return sunk
