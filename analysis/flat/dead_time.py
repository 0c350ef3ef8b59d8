"""Bursts that hide behind the one before: nearer than some seconds two of them are told as one.

A counter that is blind for a while after each count loses most where most is to be counted
(Mueller 1973, *Nuclear Instruments and Methods* 112, 47): of bursts every ten seconds a quarter,
of bursts every ten minutes none. Not allowed for, that makes the decline look slower than it is.
"""

from math import lgamma, log

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_MOST = 1.5  # blind times longer than so many mean lulls: next to nothing is told there
# Hidden bursts behind one, and terms of the series, that matter up to there.
_ORDERS, _TERMS = np.arange(1.0, 7.0), np.arange(1.0, 24.0)


def hidden(lulls: Array, dispersion: float) -> Array:
    """Give how many bursts are expected within so many mean lulls after a burst.

    The renewal function of gamma lulls, the sum over j of the distribution functions of the j-th
    burst (Cox 1962, *Renewal Theory*, section 4.2), each by the series of the incomplete gamma
    function (Abramowitz and Stegun 1964, 6.5.29).

    Parameters
    ----------
    lulls
        The blind time over the mean lull; taken as 1.5 at most.
    dispersion
        The lulls' variance over their squared mean, 0.2 or more; 1 for a Poisson process.
    """
    shape = 1.0 / dispersion
    x = shape * np.minimum(np.maximum(lulls, 1e-9), _MOST)
    order = shape * _ORDERS
    terms = np.cumprod(1.0 / (order[:, None] + _TERMS), axis=1)
    series = 1.0 + np.vander(x, _TERMS.size + 1, increasing=True)[:, 1:] @ terms.T
    log_first = np.array([lgamma(a + 1.0) for a in order.tolist()])
    first = np.exp(np.log(x)[:, None] * order - x[:, None] - log_first)
    total: Array = (first * series).sum(axis=1)
    return total


def _solved(dispersion: float) -> Array:
    """Give the bursts hidden behind each one told, at ``_TOLD``.

    All bursts are 1 + hidden times those told, and it is all of them that hide.
    """
    lulls = np.linspace(0.0, _MOST, 61)
    behind = hidden(lulls, dispersion)
    return np.interp(_TOLD, lulls / (1.0 + behind), behind)


_TOLD = np.linspace(0.0, 1.0, 41)
_ROUNDS = 4
_LOG_DISPERSIONS = np.linspace(log(0.2), log(3.0), 15)
_BEHIND: Array = np.array([_solved(float(np.exp(d))) for d in _LOG_DISPERSIONS])


def _behind_by_told(dispersion: float) -> Array:
    """Give the bursts hidden behind each one told, at ``_TOLD``."""
    first, step = _LOG_DISPERSIONS[0], _LOG_DISPERSIONS[1] - _LOG_DISPERSIONS[0]
    place = (log(dispersion) - first) / step
    index = min(max(int(place), 0), _LOG_DISPERSIONS.size - 2)
    share = min(max(place - index, 0.0), 1.0)
    mixed: Array = (1.0 - share) * _BEHIND[index] + share * _BEHIND[index + 1]
    return mixed


def hidden_behind(told: Array, dispersion: float) -> Array:
    """Give the bursts hidden behind each one told, where ``told`` are told per blind time.

    Parameters
    ----------
    told
        Between 0 and 1.
    dispersion
        The lulls' variance over their squared mean.
    """
    return np.interp(told, _TOLD, _behind_by_told(dispersion))


def dispersion_of(variation: float, live_variation: float, told: float) -> float:
    """Give the dispersion of all lulls, from the local variation of those told.

    Gamma lulls of shape k have a local variation of 3 / (2 k + 1) and a dispersion of 1 / k. Lulls
    that are told are longer and more alike than all by the blind time before each (Shinomoto and
    others 2009, *PLoS Computational Biology* 5, e1000433), but only by the share of it that hides
    bursts: regular ones keep away from each other by themselves.

    Parameters
    ----------
    variation, live_variation
        Local variation of the lulls told, and of what the blind time leaves of them.
    told
        Bursts told per blind time, between 0 and 1.
    """
    dispersion = _by_variation(live_variation)
    for _ in range(_ROUNDS if told > 0.0 else 0):
        behind = float(hidden_behind(np.array(told), dispersion))
        share = min(behind / (told * (1.0 + behind)), 1.0)
        dispersion = _by_variation(variation + share * (live_variation - variation))
    return dispersion


def _by_variation(variation: float) -> float:
    return 2.0 * variation / max(3.0 - variation, 0.6)
