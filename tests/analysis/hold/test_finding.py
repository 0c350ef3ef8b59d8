"""Holds: findings and their intervals."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.hold.finding import HoldRules, analyse_hold
from analysis.snapshot import HoldResult
from tests.analysis.holds_made import LIMIT_PA_S, MICRON_PA, codes, read, start, times, vapour


def test_tight_and_dry_is_held() -> None:
    t = times()
    result = analyse_hold(t, read(start(t)))
    assert result.finding == "held"
    assert result.leak_pa_s is None
    assert result.vapour_pa is None
    assert result.hold_longer_s is None
    assert all(check.passed for check in result.limits)
    assert result.smallest_leak_seen_pa_s is not None
    assert 0 < result.smallest_leak_seen_pa_s < LIMIT_PA_S
    assert codes(result) >= {"rise-within-limit", "evened-out", "smallest-leak"}


@pytest.mark.parametrize("share", [0.6, 3.0, 20.0])
def test_a_leak_rises_straight(share: float) -> None:
    t = times()
    leak = share * LIMIT_PA_S
    result = analyse_hold(t, read(start(t) + leak * t))
    assert result.finding == "leak"
    assert result.leak_pa_s is not None
    assert result.leak_pa_s.best == pytest.approx(leak, rel=0.06)
    assert result.leak_pa_s.low <= leak <= result.leak_pa_s.high
    assert "straight-rise" in codes(result)


def test_a_leak_under_the_floor_is_held_and_says_what_it_could_have_seen() -> None:
    t = times()
    leak = 0.1 * LIMIT_PA_S
    result = analyse_hold(t, read(start(t) + leak * t))
    assert result.finding == "held"
    assert result.smallest_leak_seen_pa_s is not None
    assert result.smallest_leak_seen_pa_s > leak


def test_a_rise_that_quickens_is_told_at_its_mean_rate_not_faster() -> None:
    # Nothing that is fitted rises ever faster, and degassing takes no gas away: were it let to,
    # the leak beside it would come out faster than the pressure ever rose.
    t = times(60.0, 2.0)
    rate = 5.0 * LIMIT_PA_S
    quickening = rate * (0.9 * t + 0.1 * t * t / t[-1])
    result = analyse_hold(t, read(200.0 * MICRON_PA + quickening, noise=0.001))
    assert result.finding == "leak"
    assert result.leak_pa_s is not None
    assert result.leak_pa_s.best == pytest.approx(rate, rel=0.05)
    assert result.leak_pa_s.high < 1.1 * rate  # its slope at the end


def test_vapour_levels_off() -> None:
    t = times()
    result = analyse_hold(t, read(start(t) + vapour(t, 600, 250)))
    assert result.finding == "vapour"
    assert result.leak_pa_s is None
    assert result.vapour_pa is not None
    assert result.vapour_pa.best == pytest.approx(600 * MICRON_PA, rel=0.1)
    assert "levels-off" in codes(result)


def test_vapour_with_two_time_constants_is_no_leak() -> None:
    t = times(20)
    true = start(t) + vapour(t, 400, 90) + vapour(t, 500, 500)
    assert analyse_hold(t, read(true)).finding == "vapour"


@pytest.mark.parametrize(("share", "ratio"), [(0.1, 2.0), (0.2, 2.0), (0.2, 3.0), (0.3, 3.0)])
def test_a_slow_vapour_is_no_leak_where_the_even_out_falls_unseen(
    share: float, ratio: float
) -> None:
    # A fall that ends and a rise that slows come out straight together.
    t = times(14.4)
    true = (440 + share * 440 * np.expm1(-t / 60.0)) * MICRON_PA + vapour(t, 496, ratio * 864)
    shown = np.round(true / (10 * MICRON_PA)) * 10 * MICRON_PA
    assert analyse_hold(t, shown).finding == "unclear"


def test_leak_and_vapour_together() -> None:
    t = times(20)
    leak = 4 * LIMIT_PA_S
    result = analyse_hold(t, read(start(t) + leak * t + vapour(t, 500, 150)))
    assert result.finding == "both"
    assert result.leak_pa_s is not None
    assert result.vapour_pa is not None
    assert result.leak_pa_s.best == pytest.approx(leak, rel=0.05)


@pytest.mark.parametrize("ratio", [1.2, 2.0, 3.0])
def test_vapour_slower_than_the_hold_is_unclear_and_says_how_much_longer(ratio: float) -> None:
    t = times()
    slow = vapour(t, 900, ratio * 900.0)
    result = analyse_hold(t, read(start(t) + slow))
    assert result.finding == "unclear"
    assert result.hold_longer_s is not None
    assert 120 <= result.hold_longer_s <= 4 * 900
    assert "still-rising-slower" in codes(result)
    # A leak as fast as it still rises may be in it: no smaller one would have shown.
    end_pa_s = 900 * MICRON_PA / (ratio * 900.0) * np.exp(-1 / ratio)
    assert result.smallest_leak_seen_pa_s == pytest.approx(end_pa_s, rel=0.15)


def test_holding_as_much_longer_as_asked_clears_it_up() -> None:
    def hold(seconds: float) -> HoldResult:
        t = np.arange(0.0, seconds, 0.5)
        return analyse_hold(t, read(start(t) + vapour(t, 900, 1100.0)))

    first = hold(900.0)
    assert first.hold_longer_s is not None
    assert hold(900.0 + first.hold_longer_s).finding == "vapour"


def test_a_rise_that_a_known_warming_explains_is_no_leak() -> None:
    t = times(20)
    warmth = 6.0 * t / t[-1]
    answer = 0.5 * 200 * MICRON_PA * (np.exp2(warmth / 10) - 1)
    true = (start(t) + answer) * (1 + warmth / 293.15)
    result = analyse_hold(t, read(true), temperature_c=20 + warmth)
    assert result.finding in ("held", "unclear")
    changed = next(r for r in result.reasons if r.code == "temperature-changed")
    assert changed.values["change_k"] == pytest.approx(6.0, abs=0.5)
    # Charles' law: 240 micron by 6 K of 293 K.
    assert changed.values["gas_law_pa"] / MICRON_PA == pytest.approx(4.9, rel=0.1)


def test_a_pressure_that_falls_was_not_cut_off_and_is_never_a_leak() -> None:
    t = times()
    result = analyse_hold(t, read(40 * MICRON_PA + 160 * MICRON_PA * np.exp(-t / 400)))
    assert result.finding == "unclear"
    assert codes(result) >= {"pressure-fell"}
    assert result.leak_pa_s is None
    assert result.hold_longer_s is None


def test_a_little_cooling_is_held() -> None:
    t = times()
    result = analyse_hold(t, read(start(t) * (1 - 0.02 * t / t[-1]), noise=0.001))
    assert result.finding == "held"


def test_looser_limits_make_a_faster_rise_held() -> None:
    t = times()
    p = read(start(t) + 0.5 * LIMIT_PA_S * t)
    assert analyse_hold(t, p).finding == "leak"
    rules = replace(HoldRules(), rise_pa=400 * MICRON_PA)
    assert analyse_hold(t, p, rules=rules).finding == "held"
