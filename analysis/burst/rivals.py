"""What else a rise may be: the level goes to a new balance, or swells without a start."""

import numpy as np
from numpy.typing import NDArray

from analysis.burst.excess import Excess
from analysis.burst.explanation import LOG_PRIOR
from analysis.burst.fit import BurstFit, fit_burst, onset_offsets_s
from analysis.burst.usual_fall import ANY_FALL, UsualFall

# A new balance is reached at once, but for the gauge's lag, where a valve beside the gauge was
# turned; with the circuit's own time constant, give or take, where it was one of the hose.
_STEPS_S, _TURN_FACTORS = np.array([0.7, 2.0]), np.array([0.5, 0.8, 1.25, 2.0])
# A valve is turned more seldom than water boils: the seven units of log likelihood by which the
# explanations hold so are fourteen variances of a sample.
_TURN_MARGIN = 2.0 * (LOG_PRIOR["burst"] - LOG_PRIOR["step"])
# The fall constant of what stays, s.
_NEVER_S = 1e6
# So many variances of a sample on average are more than a noise that was told too small.
_INEXACT = 5.0
# What swells without a start is drawn by so many powers of time, or by a line with a wave of one
# of these periods on it, seconds; a burst has a corner.
_POWERS: NDArray[np.float64] = np.arange(4.0)[:, None]
_SWELLS_S = 6.0 * 1.35 ** np.arange(8.0)


def fit_or_rival(
    over: Excess, onset_s: float, fall_s: float, spacing_s: float, usual: UsualFall = ANY_FALL
) -> tuple[BurstFit, bool]:
    """Fit a burst, and tell whether what is no burst explains the samples better.

    The parameters are those of :func:`analysis.burst.fit.fit_burst`.
    """
    fit = fit_burst(over, onset_s, fall_s, spacing_s, usual)
    turn_pa2 = _turn_gain(_since_onsets(over, onset_s, spacing_s), over, fall_s)
    rival_pa2 = max(turn_pa2 - _margin(over, max(turn_pa2, fit.gain_pa2)), _smooth_gain(over))
    return fit, rival_pa2 > fit.gain_pa2


def burst_after_all(
    over: Excess, onset_s: float, fall_s: float, spacing_s: float, usual: UsualFall = ANY_FALL
) -> BurstFit | None:
    """Fit a burst to what is held for a step or a bend; ``None`` unless it is by far the better.

    The parameters are those of :func:`analysis.burst.fit.fit_burst`.
    """
    fit = fit_burst(over, onset_s, fall_s, spacing_s, usual)
    since_s = _since_onsets(over, onset_s, spacing_s)
    bend_pa2 = float(over.gain(np.maximum(since_s, 0.0))[0].max())
    lasting_pa2 = max(bend_pa2, _turn_gain(since_s, over, fall_s))
    if fit.gain_pa2 - lasting_pa2 <= _margin(over, fit.gain_pa2):
        return None
    # Nor may it have swelled without a start, or risen as a burst does but not fallen.
    stays = fit._replace(fall_s=_NEVER_S).course(over.times_s)
    is_outdone = max(float(over.gain(stays)[0]), _smooth_gain(over)) > fit.gain_pa2
    return None if is_outdone else fit


def _since_onsets(over: Excess, onset_s: float, spacing_s: float) -> NDArray[np.float64]:
    """Time of each sample since each onset that is tried: (m, n), s."""
    offsets_s = onset_offsets_s(over, onset_s, spacing_s)
    return np.asarray(over.times_s[None, :] - (onset_s + offsets_s)[:, None])


def _margin(over: Excess, gain_pa2: float) -> float:
    """By how much more one of two must cut the square, of which the better does by ``gain_pa2``.

    No shape is exact: where of hundreds of noises even the better leaves far more than the noise,
    what it leaves is the measure.
    """
    left_pa2 = (over.square_pa2 - gain_pa2) / over.times_s.size
    return _TURN_MARGIN * (left_pa2 if left_pa2 > _INEXACT * over.variance else over.variance)


def _turn_gain(since_s: NDArray[np.float64], over: Excess, fall_s: float) -> float:
    """By how much a new balance, approached from the best of these onsets, cuts the square."""
    constants_s = np.concatenate((_STEPS_S, fall_s * _TURN_FACTORS))[:, None, None]
    shapes = 1.0 - np.exp(-np.maximum(since_s, 0.0)[None, :, :] / constants_s)
    return float(over.gain(shapes)[0].max())


def _smooth_gain(over: Excess) -> float:
    """By how much a smooth course cuts the sum of squares; it is as free as a burst, nearly."""
    times_s = over.times_s
    if times_s.size <= 2 * _POWERS.size:
        return 0.0
    scaled = 2.0 * (times_s - times_s[0]) / (times_s[-1] - times_s[0]) - 1.0
    turns = 2.0 * np.pi / _SWELLS_S[:, None] * times_s
    courses = np.empty((1 + _SWELLS_S.size, _POWERS.size, times_s.size))
    courses[0] = powers = scaled**_POWERS
    courses[1:, :2] = powers[:2]
    np.cos(turns, out=courses[1:, 2])
    np.sin(turns, out=courses[1:, 3])
    return float(over.gain_together(courses).max())
