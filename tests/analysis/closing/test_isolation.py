"""Short isolations: the robust slope against SciPy's, their comparison, the rig's own load."""

import numpy as np
import pytest
from scipy.stats import theilslopes

from analysis.closing.isolation import compare, fit_isolation, gas_load_pa_m3_s, share_of_rise
from analysis.reason import Interval

MICRON_PA = 0.1333224


def _rise(rate_pa_s: float, seed: int = 0, seconds: float = 180.0) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    t = np.arange(0.0, seconds, 0.5)
    p = 30 - 6 * np.exp(-t / 10) + rate_pa_s * t + 0.05 * rng.standard_normal(len(t))
    return t, p


def test_the_slope_is_theil_and_sens() -> None:
    t, p = _rise(0.05)
    fit = fit_isolation(t, p)
    assert fit.rate_pa_s is not None
    late = t >= 60
    oracle, _, low, high = theilslopes(p[late], t[late], 0.8)
    assert fit.rate_pa_s.best == pytest.approx(oracle, rel=0.02)
    assert fit.rate_pa_s.low < fit.rate_pa_s.best < fit.rate_pa_s.high
    assert low <= fit.rate_pa_s.high
    assert high >= fit.rate_pa_s.low


def test_the_interval_holds_the_truth_about_as_often_as_it_says() -> None:
    hits = 0
    for seed in range(200):
        fit = fit_isolation(*_rise(0.02, seed))
        assert fit.rate_pa_s is not None
        hits += fit.rate_pa_s.low <= 0.02 <= fit.rate_pa_s.high
    assert 140 <= hits <= 190


def test_wild_readings_do_not_matter() -> None:
    t, p = _rise(0.05)
    wild = p.copy()
    wild[[10, 200, 201, 300]] = [900.0, 0.0, 0.0, 5000.0]
    a, b = fit_isolation(t, p).rate_pa_s, fit_isolation(t, wild).rate_pa_s
    assert a is not None
    assert b is not None
    assert b.best == pytest.approx(a.best, rel=0.02)


def test_slower_same_faster() -> None:
    quick, slow = fit_isolation(*_rise(0.10)), fit_isolation(*_rise(0.03, 1))
    slower = compare(quick, slow)
    assert slower.code == "isolation-slower"
    assert slower.values["ratio"] == pytest.approx(0.3, rel=0.05)
    assert compare(slow, quick).code == "isolation-faster"
    assert compare(quick, fit_isolation(*_rise(0.105, 2))).code == "isolation-same"


def test_too_short_has_no_rate() -> None:
    fit = fit_isolation(np.array([0.0, 1.0, 2.0]), np.array([5.0, 5.0, 5.0]))
    assert fit.rate_pa_s is None
    assert compare(fit, fit).code == "isolation-too-short"
    with pytest.raises(ValueError, match="same length"):
        fit_isolation(np.array([]), np.array([]))


def test_the_rigs_load_and_its_share() -> None:
    # 50 micron in 5 min in 60 mL: the same rate of rise as 100 micron in 10 min, but only
    # 60 parts in 2060 of the gas that this is in 2.06 L.
    load = gas_load_pa_m3_s(Interval(0.0, 50 * MICRON_PA / 300, 1.0), 60e-6)
    assert load.best == pytest.approx(1.3332e-6, rel=1e-4)
    share = share_of_rise(load.best, 100 * MICRON_PA / 600, 2.06e-3)
    assert share == pytest.approx(60 / 2060, rel=1e-6)
    assert share_of_rise(load.best, 0.0, 2e-3) == 1.0
    assert share_of_rise(0.0, 0.0, 2e-3) == 0.0
    with pytest.raises(ValueError, match="positive"):
        gas_load_pa_m3_s(Interval(0, 0, 0), 0.0)


def test_rounding_may_hide_a_change_of_a_whole_step() -> None:
    t = np.arange(0.0, 300.0, 0.5)
    step = 10 * 0.1333224
    shown = np.round((20.0 + 0.002 * t) / step) * step
    rate = fit_isolation(t, shown, step_pa=step).rate_pa_s
    assert rate is not None
    assert rate.low < 0.002 < rate.high < 0.02


def test_readings_that_never_differ_tell_no_rate() -> None:
    t = np.arange(0.0, 300.0, 0.5)
    assert fit_isolation(t, np.full(t.size, 20.0), step_pa=0.0).rate_pa_s is None
