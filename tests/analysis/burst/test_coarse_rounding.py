"""A gauge that rounds coarsely and has little noise sits on one value for long, and still tells."""

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.burst.detector import BurstDetector

ONSETS_S = tuple(range(200, 1800, 200))  # lulls of 200 s


def rounded(rate_hz: float, noise: float, seed: int) -> tuple[NDArray[np.float64], ...]:
    """Bursts of seven steps on a slowly falling base line, in steps; noise in steps."""
    rng = np.random.default_rng(seed)
    times_s = np.arange(0.0, 1900.0, 1.0 / rate_hz)
    value = 40.0 + 10.0 * np.exp(-times_s / 300.0)
    for onset_s in ONSETS_S:
        after_s = np.clip(times_s - onset_s, 0.0, None)
        value += 9.0 * (np.exp(-after_s / 8.0) - np.exp(-after_s / 0.5))
    return times_s, np.round(value + noise * rng.normal(size=times_s.size))


@pytest.mark.parametrize("rate_hz", [2.0, 8.0])
@pytest.mark.parametrize("noise", [0.05, 0.15, 0.3])
def test_bursts_after_long_stillness_are_found(rate_hz: float, noise: float) -> None:
    detector, found = BurstDetector(), {}
    times_s, pressure_pa = rounded(rate_hz, noise, seed=7)
    for time_s, pressure in zip(times_s.tolist(), pressure_pa.tolist(), strict=True):
        for burst in detector.update(time_s, pressure):
            found[burst.number] = burst
    onsets_s = [b.onset_s for b in found.values() if b.state == "confirmed"]
    assert len(onsets_s) == len(ONSETS_S)
    assert np.abs(np.sort(onsets_s) - ONSETS_S).max() < 2.0
