"""The normal distribution's tail over arrays, since numpy has none and SciPy stays out."""

from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# erfc(x) = t exp(P(t) - x^2), t = 1 / (1 + x/2), x >= 0: Chebyshev fit, relative error under
# 1.2e-7 everywhere (Press et al., Numerical Recipes, 2nd ed., section 6.2, routine erfcc).
_ERFC = (
    0.17087277,
    -0.82215223,
    1.48851587,
    -1.13520398,
    0.27886807,
    -0.18628806,
    0.09678418,
    0.37409196,
    1.00002368,
    -1.26551223,
)
_SQRT_HALF = 0.7071067811865476
_INV_SQRT_2PI = 0.3989422804014327


def log_tail_and_ratio(z: Array) -> tuple[Array, Array]:
    """Logarithm of the distribution function, and density over distribution function.

    Relative error about 1e-7. Nothing divides two vanishing numbers, so both stay right far below
    zero.

    Parameters
    ----------
    z : array of float64
        Standard normal deviates.

    Returns
    -------
    log_share, ratio : arrays of the shape of ``z``
        ``ln Phi(z)`` and ``phi(z) / Phi(z)``.
    """
    log_share, share, shrunk = _scaled_tail(z)
    return log_share, _INV_SQRT_2PI * shrunk / share


def log_normal_tail(z: Array) -> Array:
    """Logarithm of the distribution function ``Phi(z)``, right far below zero too."""
    return _scaled_tail(z)[0]


def _scaled_tail(z: Array) -> tuple[Array, Array, Array]:
    """Give ``ln Phi(z)``, and ``Phi(z)`` and ``exp(-z^2/2)``, over the latter where z < 0."""
    scaled, squared = _scaled_erfc(z)
    is_below = z < 0.0
    # Below zero both Phi and phi are divided by exp(-z^2/2), which would vanish.
    shrunk = np.where(is_below, 1.0, np.exp(-squared))
    share = 0.5 * scaled
    share = np.where(is_below, share, 1.0 - share * shrunk)
    log_share: Array = np.log(share) - np.where(is_below, squared, 0.0)
    return log_share, share, shrunk


def normal_points(count: int, dimensions: int) -> Array:
    """Evenly spread standard normal points, always the same ones: shape (count, dimensions).

    An additive recurrence on the powers of the root of g^(d+1) = g + 1 (the plastic constant and
    its kin) fills the unit cube more evenly than random numbers do, and needs no seed.
    """
    root = 1.5
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    steps = root ** -np.arange(1.0, dimensions + 1.0)
    cube = (0.5 + np.outer(np.arange(1.0, count + 1.0), steps)) % 1.0
    inverse = NormalDist().inv_cdf
    points = np.array([[inverse(min(max(v, 1e-9), 1 - 1e-9)) for v in row] for row in cube])
    spread: Array = (points - points.mean(axis=0)) / points.std(axis=0)
    return spread


def _scaled_erfc(z: Array) -> tuple[Array, Array]:
    """exp(x^2) erfc(x) and x^2, for x = abs(z) / sqrt(2)."""
    x = np.abs(z) * _SQRT_HALF
    t = 1.0 / (1.0 + 0.5 * x)
    poly = np.full_like(t, _ERFC[0])
    for coefficient in _ERFC[1:]:
        poly *= t
        poly += coefficient
    return t * np.exp(poly), x * x
