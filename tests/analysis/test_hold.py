"""Holds: findings, limits, intervals, and that nothing silly comes out of odd readings."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.hold import HoldRules, HoldWatch, analyse_hold
from analysis.snapshot import HoldResult

MICRON_PA = 0.1333224
LIMIT_PA_S = 100 * MICRON_PA / 600


def _times(minutes: float = 15.0, interval_s: float = 0.5) -> np.ndarray:
    return np.arange(0.0, minutes * 60.0, interval_s)


def _read(true_pa: np.ndarray, seed: int = 0, noise: float = 0.003) -> np.ndarray:
    rng = np.random.default_rng(seed)
    shown = true_pa * (1 + noise * rng.standard_normal(len(true_pa)))
    return np.round(shown / MICRON_PA) * MICRON_PA


def _start(t: np.ndarray, micron: float = 200.0) -> np.ndarray:
    """Even out from 200 to 240 micron with 20 s, and 4 micron of degassing in 10 min."""
    even = 0.2 * micron * -np.expm1(-t / 20.0)
    return (micron + even + 4 * np.log1p(t / 600) / math.log(2)) * MICRON_PA


def _vapour(t: np.ndarray, micron: float, tau_s: float) -> np.ndarray:
    return micron * MICRON_PA * -np.expm1(-t / tau_s)


def _codes(result: HoldResult) -> set[str]:
    return {reason.code for reason in result.reasons}


def test_tight_and_dry_is_held() -> None:
    t = _times()
    result = analyse_hold(t, _read(_start(t)))
    assert result.finding == "held"
    assert result.leak_pa_s is None
    assert result.vapour_pa is None
    assert result.hold_longer_s is None
    assert all(check.passed for check in result.limits)
    assert result.smallest_leak_seen_pa_s is not None
    assert 0 < result.smallest_leak_seen_pa_s < LIMIT_PA_S
    assert _codes(result) >= {"rise-within-limit", "evened-out", "smallest-leak"}


@pytest.mark.parametrize("share", [0.6, 3.0, 20.0])
def test_a_leak_rises_straight(share: float) -> None:
    t = _times()
    leak = share * LIMIT_PA_S
    result = analyse_hold(t, _read(_start(t) + leak * t))
    assert result.finding == "leak"
    assert result.leak_pa_s is not None
    assert result.leak_pa_s.best == pytest.approx(leak, rel=0.06)
    assert result.leak_pa_s.low <= leak <= result.leak_pa_s.high
    assert "straight-rise" in _codes(result)


def test_a_leak_under_the_floor_is_held_and_says_what_it_could_have_seen() -> None:
    t = _times()
    leak = 0.1 * LIMIT_PA_S
    result = analyse_hold(t, _read(_start(t) + leak * t))
    assert result.finding == "held"
    assert result.smallest_leak_seen_pa_s is not None
    assert result.smallest_leak_seen_pa_s > leak


def test_vapour_levels_off() -> None:
    t = _times()
    result = analyse_hold(t, _read(_start(t) + _vapour(t, 600, 250)))
    assert result.finding == "vapour"
    assert result.leak_pa_s is None
    assert result.vapour_pa is not None
    assert result.vapour_pa.best == pytest.approx(600 * MICRON_PA, rel=0.1)
    assert "levels-off" in _codes(result)


def test_vapour_with_two_time_constants_is_no_leak() -> None:
    t = _times(20)
    true = _start(t) + _vapour(t, 400, 90) + _vapour(t, 500, 500)
    assert analyse_hold(t, _read(true)).finding == "vapour"


def test_leak_and_vapour_together() -> None:
    t = _times(20)
    leak = 4 * LIMIT_PA_S
    result = analyse_hold(t, _read(_start(t) + leak * t + _vapour(t, 500, 150)))
    assert result.finding == "both"
    assert result.leak_pa_s is not None
    assert result.vapour_pa is not None
    assert result.leak_pa_s.best == pytest.approx(leak, rel=0.05)


@pytest.mark.parametrize("ratio", [1.2, 2.0, 3.0])
def test_vapour_slower_than_the_hold_is_unclear_and_says_how_much_longer(ratio: float) -> None:
    t = _times()
    slow = _vapour(t, 900, ratio * 900.0)
    result = analyse_hold(t, _read(_start(t) + slow))
    assert result.finding == "unclear"
    assert result.hold_longer_s is not None
    assert 120 <= result.hold_longer_s <= 4 * 900
    assert "still-rising-slower" in _codes(result)


def test_holding_as_much_longer_as_asked_clears_it_up() -> None:
    def hold(seconds: float) -> HoldResult:
        t = np.arange(0.0, seconds, 0.5)
        return analyse_hold(t, _read(_start(t) + _vapour(t, 900, 1100.0)))

    first = hold(900.0)
    assert first.hold_longer_s is not None
    assert hold(900.0 + first.hold_longer_s).finding == "vapour"


def test_a_rise_that_a_known_warming_explains_is_no_leak() -> None:
    t = _times(20)
    warmth = 6.0 * t / t[-1]
    answer = 0.5 * 200 * MICRON_PA * (np.exp2(warmth / 10) - 1)
    true = (_start(t) + answer) * (1 + warmth / 293.15)
    result = analyse_hold(t, _read(true), temperature_c=20 + warmth)
    assert result.finding in ("held", "unclear")
    changed = next(r for r in result.reasons if r.code == "temperature-changed")
    assert changed.values["change_k"] == pytest.approx(6.0, abs=0.5)
    # Charles' law: 240 micron by 6 K of 293 K.
    assert changed.values["gas_law_pa"] / MICRON_PA == pytest.approx(4.9, rel=0.1)


def test_a_pressure_that_falls_was_not_cut_off_and_is_never_a_leak() -> None:
    t = _times()
    result = analyse_hold(t, _read(40 * MICRON_PA + 160 * MICRON_PA * np.exp(-t / 400)))
    assert result.finding == "unclear"
    assert _codes(result) >= {"pressure-fell"}
    assert result.leak_pa_s is None
    assert result.hold_longer_s is None


def test_a_little_cooling_is_held() -> None:
    t = _times()
    result = analyse_hold(t, _read(_start(t) * (1 - 0.02 * t / t[-1]), noise=0.001))
    assert result.finding == "held"


def test_the_limits_stand_apart_from_the_finding() -> None:
    t = _times()
    result = analyse_hold(t, _read(_start(t, 700) + 10 * LIMIT_PA_S * t))
    assert {check.name: check.passed for check in result.limits} == {
        "start": False, "rise": False, "highest": False, "charge": False,
    }  # fmt: skip
    assert _codes(result) >= {
        "start-too-high", "rise-over-limit", "pressure-over-limit", "do-not-charge",
    }  # fmt: skip
    rules = HoldRules(highest_pa=270.0, highest_source="EN 378-2 (from memory)")
    loose = analyse_hold(t, _read(_start(t)), rules=rules)
    assert loose.limits[2].limit == 270.0
    assert loose.limits[2].source.startswith("EN 378-2")


def test_the_rise_is_counted_over_ten_minutes_from_the_evened_out_start() -> None:
    t = _times(30)
    leak = 2 * LIMIT_PA_S
    result = analyse_hold(t, _read(_start(t) + leak * t))
    rise = next(check for check in result.limits if check.name == "rise")
    assert rise.value == pytest.approx(600 * leak, rel=0.05)


@pytest.mark.parametrize("seconds", [0.0, 30.0, 100.0])
def test_too_short_to_tell(seconds: float) -> None:
    t = np.arange(0.0, seconds + 0.1, 1.0)
    result = analyse_hold(t, np.full(len(t), 30.0))
    assert result.finding == "unclear"
    assert _codes(result) == {"too-short"}
    assert result.hold_longer_s is not None
    assert result.hold_longer_s >= 480


def test_glitches_a_gap_and_coarse_rounding_do_not_matter() -> None:
    t = _times(20)
    leak = 3 * LIMIT_PA_S
    p = np.round(_read(_start(t) + leak * t) / (10 * MICRON_PA)) * 10 * MICRON_PA
    p[[100, 700, 701, 1500]] = [0.0, 9000.0, 9000.0, 5.0]
    keep = (t < 500) | (t > 590)
    result = analyse_hold(t[keep], p[keep])
    assert result.finding == "leak"
    assert result.leak_pa_s is not None
    assert result.leak_pa_s.best == pytest.approx(leak, rel=0.05)
    assert "gap-in-hold" in _codes(result)


def test_a_time_shift_changes_nothing() -> None:
    t = _times()
    p = _read(_start(t) + 2 * LIMIT_PA_S * t)
    assert analyse_hold(t + 4096.0, p) == analyse_hold(t, p)


def test_curves_pass_through_the_readings_where_they_are_right() -> None:
    t = _times()
    true = _start(t) + 3 * LIMIT_PA_S * t
    result = analyse_hold(t, _read(true))
    curves = {curve.name: curve for curve in result.curves}
    assert set(curves) >= {"steady", "leak"}
    leak = curves["leak"]
    assert len(leak.time_s) == len(leak.pressure_pa) <= 64
    assert np.array(leak.pressure_pa) == pytest.approx(np.interp(leak.time_s, t, true), rel=0.01)


def test_watching_live_gives_the_same_as_afterwards() -> None:
    t = _times(12, 0.3)
    p = _read(_start(t) + 2 * LIMIT_PA_S * t)
    watch = HoldWatch()
    assert watch.result(0.0) is None
    for time_s, pressure_pa in zip(t.tolist(), p.tolist(), strict=True):
        watch.update(time_s + 50.0, pressure_pa, None)
    live = watch.result(float(t[-1]) + 50.0)
    whole = analyse_hold(t, p)
    assert live is not None
    assert live.finding == whole.finding
    assert live.leak_pa_s is not None
    assert whole.leak_pa_s is not None
    assert live.leak_pa_s.best == pytest.approx(whole.leak_pa_s.best, rel=1e-5)
    assert live.duration_s == pytest.approx(whole.duration_s)


def test_the_watch_does_not_fit_anew_at_every_asking() -> None:
    watch = HoldWatch(refit_s=10.0)
    for second in range(200):
        watch.update(float(second), 30.0, None)
    first = watch.result(199.0)
    watch.update(200.0, 30.0, None)
    assert watch.result(200.0) is first
    assert watch.result(209.5) is not first
    with pytest.raises(ValueError, match="positive"):
        HoldWatch(refit_s=0.0)


def _numbers(result: HoldResult) -> list[float]:
    numbers = [result.duration_s, result.rise_pa]
    numbers += [x for x in (result.hold_longer_s, result.smallest_leak_seen_pa_s) if x is not None]
    for interval in (result.leak_pa_s, result.vapour_pa):
        if interval is not None:
            assert interval.low <= interval.best <= interval.high
            numbers += [interval.low, interval.best, interval.high]
    for check in result.limits:
        numbers += [check.limit, check.value]
    for reason in result.reasons:
        numbers += list(reason.values.values())
    for curve in result.curves:
        numbers += curve.pressure_pa
    return numbers


@settings(deadline=None, max_examples=60)
@given(
    st.integers(0, 2**32 - 1),
    st.sampled_from(["flat", "zero", "falling", "noise", "steps", "huge", "spikes", "equal-times"]),
    st.integers(1, 700),
    st.booleans(),
)
def test_never_nan_whatever_comes(seed: int, kind: str, count: int, warm: bool) -> None:
    rng = np.random.default_rng(seed)
    t = np.sort(rng.uniform(0, rng.choice([1.0, 300.0, 2000.0]), count))
    p = {
        "flat": np.full(count, 25.0),
        "zero": np.zeros(count),
        "falling": 100 * np.exp(-t / 200),
        "noise": rng.uniform(0, 100, count),
        "steps": np.repeat(rng.uniform(0, 1e3, 1 + count // 50), 50)[:count],
        "huge": 1e5 + 1e3 * t,
        "spikes": 20 + 1e4 * (rng.random(count) < 0.02),
        "equal-times": np.linspace(10, 20, count),
    }[kind]
    if kind == "equal-times":
        t = np.round(t / 100) * 100
    celsius = rng.uniform(-10, 60, count) if warm else None
    result = analyse_hold(t, p, temperature_c=celsius)
    assert all(math.isfinite(number) for number in _numbers(result))
    if kind in ("flat", "zero", "falling") and t[-1] - t[0] > 200 and count > 100 and not warm:
        assert result.finding in ("held", "unclear")


@pytest.mark.parametrize(
    ("time_s", "pressure_pa", "match"),
    [
        ([], [], "not empty"),
        ([0.0, 1.0], [1.0], "same length"),
        ([0.0, 2.0, 1.0], [1.0, 1.0, 1.0], "go back"),
        ([0.0, 1.0], [1.0, math.nan], "finite"),
    ],
)
def test_unusable_readings_are_refused(
    time_s: list[float], pressure_pa: list[float], match: str
) -> None:
    with pytest.raises(ValueError, match=match):
        analyse_hold(np.array(time_s), np.array(pressure_pa))


def test_looser_limits_make_a_faster_rise_held() -> None:
    t = _times()
    p = _read(_start(t) + 0.5 * LIMIT_PA_S * t)
    assert analyse_hold(t, p).finding == "leak"
    rules = replace(HoldRules(), rise_pa=400 * MICRON_PA)
    assert analyse_hold(t, p, rules=rules).finding == "held"
