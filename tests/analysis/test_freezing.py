"""Bursts that end at once, as where water freezes, and bursts that die out."""

import numpy as np

from analysis.boil import Boil
from analysis.freezing import is_cut_off


def series(seed: int, lull_s: float, fading_s: float, until_s: float) -> Boil:
    """Bursts with gamma lulls of shape 2 around a mean that grows as exp(t / fading)."""
    rng, boil, time_s = np.random.default_rng(seed), Boil(600.0), 60.0
    while time_s < until_s:
        boil.add(time_s)
        time_s += float(rng.gamma(2.0, lull_s * np.exp(time_s / fading_s) / 2.0))
    return boil


def share(lull_s: float, fading_s: float, until_s: float) -> float:
    """How often ten minutes of quiet after the last burst are taken for a cut-off."""
    found = 0
    for seed in range(100):
        boil = series(seed, lull_s, fading_s, until_s)
        found += is_cut_off(boil, boil.onsets_s[-1] + 600.0)
    return found / 100


def test_bursts_that_end_at_once_are_cut_off() -> None:
    assert share(20.0, np.inf, 900.0) > 0.85
    assert share(40.0, 3000.0, 1500.0) > 0.4


def test_bursts_that_die_out_are_not() -> None:
    for fading_s in (150.0, 250.0, 500.0):
        assert share(10.0, fading_s, 1e5) < 0.05


def test_a_few_bursts_or_none_tell_nothing() -> None:
    assert not is_cut_off(Boil(600.0), 1000.0)
    assert not is_cut_off(series(1, 20.0, np.inf, 200.0), 5000.0)
