"""Bursts as a pumped circuit shows them: what is set free comes quickly and falls slowly."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def bursts_pa(
    time_s: NDArray[np.float64],
    onsets_s: ArrayLike,
    sizes_pa: ArrayLike,
    fall_s: float,
    rise_s: float = 0.7,
) -> NDArray[np.float64]:
    """Excess over the base line (n,) Pa, of bursts that began at these times."""
    excess_pa = np.zeros(time_s.size)
    onsets_s, sizes_pa = np.broadcast_arrays(onsets_s, sizes_pa)
    for onset_s, size_pa in zip(onsets_s.tolist(), sizes_pa.tolist(), strict=True):
        since_s = np.maximum(time_s - onset_s, 0.0)
        excess_pa += size_pa * (np.exp(-since_s / fall_s) - np.exp(-since_s / rise_s))
    return excess_pa
