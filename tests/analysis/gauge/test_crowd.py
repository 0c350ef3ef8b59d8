"""Crowded bursts are told from noise by climbing more quickly than they fall."""

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.burst.detector import BurstDetector
from analysis.gauge.crowd import Crowd
from analysis.ring import Ring
from tests.analysis.bursts_made import bursts_pa

Floats = NDArray[np.float64]
NOISE_PA, SPACING_S = 0.1, 0.5
TIME_S: Floats = np.arange(0.0, 400.0, SPACING_S)


def _looked(pressure_pa: Floats, spacing_s: float = SPACING_S) -> tuple[float, float]:
    """Share of the samples at which it was crowded, and plainly so."""
    crowd, ring, looks = Crowd(), Ring(512), []
    for k, pressure in enumerate(pressure_pa.tolist()):
        ring.append(spacing_s * k, pressure)
        crowd.update(ring, spacing_s)
        looks.append((crowd.is_crowded, crowd.is_plain))
    crowded, plain = np.mean(looks, axis=0)
    return float(crowded), float(plain)


def _crowd(rng: np.random.Generator, rise_s: float = 0.5) -> tuple[Floats, Floats]:
    onsets_s = 20.0 + np.cumsum(rng.exponential(6.0, 50))
    sizes_pa = NOISE_PA * np.exp(rng.uniform(np.log(8.0), np.log(80.0), onsets_s.size))
    return onsets_s, bursts_pa(TIME_S, onsets_s, sizes_pa, 25.0, rise_s=rise_s)


@pytest.mark.parametrize("rise_s", [0.5, 1.5])
def test_crowded_bursts_are_told(rise_s: float) -> None:
    shares = []
    for seed in range(8):
        rng = np.random.default_rng(seed)
        noise = rng.normal(0.0, NOISE_PA, TIME_S.size)
        shares.append(_looked(20.0 + _crowd(rng, rise_s)[1] + noise))
    assert np.mean(shares, axis=0).min() > 0.6, shares


@pytest.mark.parametrize("memory_s", [0.0, 1.0, 3.0])
def test_noise_is_no_crowd_however_long_it_lasts(memory_s: float) -> None:
    shares = []
    for seed in range(16):
        noise = np.random.default_rng(seed).normal(0.0, NOISE_PA, TIME_S.size)
        keep = np.exp(-SPACING_S / memory_s) if memory_s else 0.0
        for k in range(1, noise.size):
            noise[k] += keep * noise[k - 1]
        shares.append(_looked(20.0 + noise + 500.0 * np.exp(-TIME_S / 40.0)))
    crowded, plain = np.mean(shares, axis=0)
    assert crowded < 0.25, shares
    assert plain < 0.12, shares


@pytest.mark.parametrize("period_s", [15.0, 40.0, 90.0])
def test_a_swell_is_no_crowd(period_s: float) -> None:
    swell_pa = 3.0 * np.sin(2.0 * np.pi * TIME_S / period_s)
    shares = [
        _looked(20.0 + swell_pa + np.random.default_rng(seed).normal(0.0, NOISE_PA, TIME_S.size))
        for seed in range(8)
    ]
    assert np.mean(shares, axis=0)[1] < 0.12, shares


def test_a_still_trace_is_no_crowd() -> None:
    assert _looked(np.full(TIME_S.size, 20.0)) == (0.0, 0.0)
    assert _looked(np.zeros(TIME_S.size)) == (0.0, 0.0)


def test_in_a_crowd_the_noise_is_told_and_most_bursts_are_seen() -> None:
    seen, noises = [], []
    for seed in range(8):
        rng = np.random.default_rng(seed)
        onsets_s, boil_off_pa = _crowd(rng)
        pressure_pa = 20.0 + boil_off_pa + rng.normal(0.0, NOISE_PA, TIME_S.size)
        detector, found = BurstDetector(), []
        for time_s, pressure in zip(TIME_S.tolist(), pressure_pa.tolist(), strict=True):
            told = detector.update(time_s, pressure)
            found += [burst.onset_s for burst in told if burst.state == "confirmed"]
        lulls_s = np.diff(onsets_s, prepend=-np.inf, append=np.inf)
        apart = (lulls_s[:-1] > 3.0) & (lulls_s[1:] > 3.0)
        lone_s = onsets_s[apart & (onsets_s > 60.0) & (onsets_s < 350.0)]
        near = np.abs(lone_s[:, None] - np.array(found)).min(axis=1) < 1.5
        seen.append(near.mean())
        noises.append((detector.noise_pa or 0.0) / NOISE_PA)
    assert np.mean(seen) > 0.9, seen
    assert 0.7 < np.median(noises) < 1.3, noises
