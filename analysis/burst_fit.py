"""Size, onset and fall of one burst, fitted to the samples around it once it is certain."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from analysis.explanation import Event

_RISES_S = np.array([0.1, 0.25, 0.5, 0.9, 1.5, 2.5, 4.0])
_FALL_FACTORS = np.array([0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0])


class BurstFit(NamedTuple):
    """Values of one burst over the falling base line."""

    onset_s: float
    peak_s: float
    rise_pa: float
    fall_s: float
    area_pa_s: float


def expected(event: Event, since_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """Pressure (n,) that the state from just before the burst leads to, Pa."""
    b, v, s, q = event.before[:4]
    fall_s, rise_s = event.before_fall_s, event.before_rise_s
    decay = np.exp(-since_s / fall_s)
    coming = fall_s / (fall_s - rise_s) * (decay - np.exp(-since_s / rise_s))
    damping = -v / b if v < 0.0 < b else 0.0
    base = b + v * since_s / (1.0 + damping * np.maximum(since_s, 0.0))
    return np.asarray(base + s * decay + q * coming)


def fit_burst(
    times_s: NDArray[np.float64],
    over_pa: NDArray[np.float64],
    onset_s: float,
    fall_s: float,
    spacing_s: float,
) -> BurstFit:
    """Least squares over a grid of onset, rise and fall; the size follows in closed form.

    Parameters
    ----------
    times_s, over_pa : (n,) float64
        Samples around the burst and their excess over what was expected without it, s and Pa.
    onset_s, fall_s
        First guesses.
    spacing_s
        Typical distance of samples: how far the onset may lie from its guess.
    """
    reach = max(1.5 * spacing_s, 1.0)
    onsets = onset_s + np.linspace(-reach, reach, 13)
    falls = fall_s * _FALL_FACTORS
    since = np.maximum(times_s[None, :] - onsets[:, None], 0.0)[:, None, None, :]
    tau = falls[None, :, None, None]
    rho = np.minimum(_RISES_S[None, None, :, None], 0.7 * tau)
    shape = tau / (tau - rho) * (np.exp(-since / tau) - np.exp(-since / rho))
    square = (shape * shape).sum(axis=-1)
    cross = (shape * over_pa).sum(axis=-1)
    gain = np.where(square > 0.0, np.maximum(cross, 0.0) ** 2 / np.maximum(square, 1e-300), 0.0)
    i, j, k = np.unravel_index(int(gain.argmax()), gain.shape)
    size = float(cross[i, j, k] / square[i, j, k]) if square[i, j, k] > 0.0 else 0.0
    fall, rise = float(falls[j]), float(rho[0, j, k, 0])
    peak_after = fall * rise / (fall - rise) * float(np.log(fall / rise))
    return BurstFit(
        onset_s=float(onsets[i]),
        peak_s=float(onsets[i]) + peak_after,
        rise_pa=size * float(np.exp(-peak_after / fall)),
        fall_s=fall,
        area_pa_s=size * fall,
    )
