"""The gauge's noise where crowded bursts swell the differences that tell it."""

import numpy as np
from numpy.typing import NDArray

from analysis.burst.detector import BurstDetector
from analysis.gauge.gauge_noise import GaugeNoise
from analysis.gauge.learned import Learned
from analysis.gauge.noise import NoiseEstimator
from analysis.gauge.thinning import Bin
from analysis.ring import Ring
from tests.analysis.bursts_made import bursts_pa

Floats = NDArray[np.float64]
NOISE_PA, FALL_S, SPACING_S = 0.2, 6.0, 2.0


def crowded(seed: int, spacing_s: float = SPACING_S) -> tuple[Floats, Floats, Floats]:
    """Times, readings and onsets: bursts of 15 to 60 noises each 18 s, read each two seconds."""
    rng = np.random.default_rng(seed)
    onsets_s = 60.0 + np.cumsum(rng.uniform(10.0, 26.0, 50))
    time_s = np.arange(0.0, onsets_s[-1] + 40.0, spacing_s)
    pressure_pa = 40.0 + 200.0 * np.exp(-time_s / 25.0) + rng.normal(0.0, NOISE_PA, time_s.size)
    sizes_pa = NOISE_PA * rng.uniform(15.0, 60.0, onsets_s.size)
    return time_s, pressure_pa + bursts_pa(time_s, onsets_s, sizes_pa, FALL_S), onsets_s


def told(time_s: Floats, pressure_pa: Floats) -> tuple[float, float]:
    """Noise by the differences alone, and as the detector has it in the end."""
    alone, detector = NoiseEstimator(), BurstDetector()
    for time, pressure in zip(time_s.tolist(), pressure_pa.tolist(), strict=True):
        alone.update(time, pressure)
        detector.update(time, pressure)
    assert alone.noise_pa is not None
    assert detector.noise_pa is not None
    return alone.noise_pa, detector.noise_pa


def test_quiet_samples_show_that_crowded_bursts_swelled_it() -> None:
    both = np.array([told(*crowded(seed)[:2]) for seed in range(16)]) / NOISE_PA
    alone, detector = both[both[:, 0] > 1.5].T
    assert alone.size >= 3
    assert np.median(detector) < 1.2
    # The smallest few of the differences tell it to a fifth, and the least of several counts.
    assert both[:, 1].min() > 0.5
    assert 0.8 < np.median(both[:, 1]) < 1.1


def test_readings_that_come_quickly_are_believed_at_their_word() -> None:
    rng = np.random.default_rng(3)
    time_s = np.arange(0.0, 600.0, 0.2)
    beat_pa = 0.5 * np.sin(2.0 * np.pi * time_s / 0.47)
    pressure_pa = 40.0 + beat_pa + rng.normal(0.0, NOISE_PA, time_s.size)
    alone, detector = told(time_s, pressure_pa)
    assert detector >= 0.99 * alone


def test_noise_that_is_known_from_later_on_bounds_what_was_before() -> None:
    learned = Learned(FALL_S, {0.7: 1.0}, None, NOISE_PA, 40.0)
    known, plain = GaugeNoise(learned), GaugeNoise()
    rng, ring = np.random.default_rng(4), Ring(64)
    for i in range(60):
        at = Bin(2.0 * i, 80.0 + float(rng.normal(0.0, 5.0 * NOISE_PA)), 1)
        ring.append(at.time_s, at.pressure_pa)
        for noise in (known, plain):
            noise.update(at.time_s, at.pressure_pa)
        if plain.noise_pa is not None:
            variances = [noise.variance(at, ring, 2.0) for noise in (known, plain)]
    assert plain.noise_pa is not None
    assert known.noise_pa is not None
    assert plain.noise_pa > 3.0 * NOISE_PA
    # At twice the pressure it is at most twice the noise.
    assert 1.9 * NOISE_PA < known.noise_pa < 2.2 * NOISE_PA
    assert variances[0] < 0.5 * variances[1]
