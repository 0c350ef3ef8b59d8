"""Bursts that end at once, as where water freezes, and bursts that die out."""

import numpy as np

from analysis.caution.boil import Boil
from analysis.caution.freezing import is_cut_off
from analysis.caution.silence import chance_of_silence


def series(seed: int, lull_s: float, fading_s: float, until_s: float) -> Boil:
    """Bursts with gamma lulls of shape 2 around a mean that grows as exp(t / fading)."""
    rng, boil, time_s = np.random.default_rng(seed), Boil(600.0), 60.0
    while time_s < until_s:
        boil.add(time_s)
        time_s += float(rng.gamma(2.0, lull_s * np.exp(time_s / fading_s) / 2.0))
    return boil


def share(lull_s: float, fading_s: float, until_s: float, quiet_s: float = 600.0) -> float:
    """How often so much quiet after the last burst is taken for a cut-off."""
    found = 0
    for seed in range(100):
        found += is_cut_off(series(seed, lull_s, fading_s, until_s), quiet_s)
    return found / 100


def test_bursts_that_end_at_once_are_cut_off() -> None:
    assert share(20.0, np.inf, 900.0) > 0.85
    assert share(40.0, 3000.0, 1500.0, 1200.0) > 0.4


def test_bursts_that_die_out_are_not() -> None:
    for fading_s in (150.0, 250.0, 500.0):
        assert share(10.0, fading_s, 1e5) < 0.05


def test_a_few_bursts_or_none_tell_nothing() -> None:
    assert not is_cut_off(Boil(600.0), 1000.0)
    assert not is_cut_off(series(1, 20.0, np.inf, 200.0), 5000.0)


def test_eleven_bursts_do_not_say_how_they_fade() -> None:
    # Of a healthy circuit, whose bursts then shrank out of sight.
    boil = Boil(600.0)
    for onset_s in (67, 75, 154, 167, 288, 390, 416, 499, 547, 612, 636):
        boil.add(float(onset_s))
    assert not is_cut_off(boil, 580.0)


def test_a_long_lull_is_seldom_taken_for_an_end() -> None:
    rng, wrong = np.random.default_rng(7), 0
    for _ in range(100):
        boil, onset_s, is_wrong = Boil(600.0), 60.0, False
        while onset_s < 4000.0:
            boil.add(onset_s)
            lull_s = float(rng.exponential(20.0 * np.exp(onset_s / 1500.0)))
            is_wrong = is_wrong or is_cut_off(boil, lull_s)
            onset_s += lull_s
        wrong += is_wrong
    assert wrong <= 4


def test_bursts_in_clusters_count_for_fewer() -> None:
    even_s = [30.0 * i for i in range(32)]
    clusters_s = [90.0 * (i // 3) + 4.0 * (i % 3) for i in range(32)]
    assert chance_of_silence(even_s, 450.0) < 1e-3 < 0.01 < chance_of_silence(clusters_s, 450.0)
