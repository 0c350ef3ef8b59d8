"""A true course of the pressure as a gauge shows it, and the bursts that are told on it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from analysis.burst.detector import BurstDetector

Floats = NDArray[np.float64]
MICRON_PA = 0.133322


class Gauge(NamedTuple):
    """How a gauge reads: how often, how late, how noisy, how roughly."""

    interval_s: float
    lag_s: float
    noise_pa: float
    step_pa: float

    def read(self, rng: np.random.Generator, true_pa: Floats) -> Floats:
        """Readings (n,), Pa, of a true course (n,), Pa."""
        gauge_pa, share = true_pa.copy(), 1.0 - np.exp(-self.interval_s / self.lag_s)
        for k in range(1, true_pa.size):
            gauge_pa[k] = gauge_pa[k - 1] + share * (true_pa[k] - gauge_pa[k - 1])
        noisy_pa: Floats = gauge_pa + rng.normal(0.0, self.noise_pa, true_pa.size)
        return np.round(noisy_pa / self.step_pa) * self.step_pa


def drawn_gauge(
    rng: np.random.Generator, most_lag_s: float, steps_micron: tuple[float, ...]
) -> Gauge:
    """Draw a gauge of 1 to 10 readings a second and 0.05 to 1 micron of noise."""
    return Gauge(
        interval_s=np.exp(rng.uniform(np.log(0.1), np.log(1.0))),
        lag_s=rng.uniform(0.1, most_lag_s),
        noise_pa=MICRON_PA * np.exp(rng.uniform(np.log(0.05), 0.0)),
        step_pa=MICRON_PA * rng.choice(steps_micron),
    )


def told_after(time_s: Floats, read_pa: Floats, from_s: float) -> int:
    """How many bursts are held to have begun after a time."""
    detector = BurstDetector()
    return sum(
        change.state == "confirmed" and change.onset_s > from_s
        for at_s, pa in zip(time_s.tolist(), read_pa.tolist(), strict=True)
        for change in detector.update(at_s, pa)
    )
