"""A true course of the pressure as a gauge shows it, and the bursts that are told on it."""

import numpy as np
from numpy.typing import NDArray

from analysis.bursts import BurstDetector

Floats = NDArray[np.float64]


def read_by_gauge(
    rng: np.random.Generator,
    true_pa: Floats,
    *,
    interval_s: float,
    lag_s: float,
    noise_pa: float,
    step_pa: float,
) -> Floats:
    """Readings (n,), Pa, of a true course (n,), Pa: the gauge lags, is noisy and rounds."""
    gauge_pa, share = true_pa.copy(), 1.0 - np.exp(-interval_s / lag_s)
    for k in range(1, true_pa.size):
        gauge_pa[k] = gauge_pa[k - 1] + share * (true_pa[k] - gauge_pa[k - 1])
    noisy_pa: Floats = gauge_pa + rng.normal(0.0, noise_pa, true_pa.size)
    return np.round(noisy_pa / step_pa) * step_pa


def told_after(time_s: Floats, read_pa: Floats, from_s: float) -> int:
    """How many bursts are held to have begun after a time."""
    detector = BurstDetector()
    return sum(
        change.state == "confirmed" and change.onset_s > from_s
        for at_s, pa in zip(time_s.tolist(), read_pa.tolist(), strict=True)
        for change in detector.update(at_s, pa)
    )
