"""The made-up traces are what they claim: gas kept, truth consistent, the same each time."""

from dataclasses import replace
from math import exp

import numpy as np
import pytest

from tests.bench.circuit import Circuit, Drive, integrate
from tests.bench.holds import HOLD_KINDS, make_hold
from tests.bench.recipes import MICRON_PA
from tests.bench.traces import KINDS, make_trace

ONE_VOLUME = Circuit(2.0, 1e-4, 10.0, 1.0, 10.0, 1.0, 1.0, 0.0, 1e-6, True)


def _drive(seconds: float, step_s: float, load: float = 0.0, opening: float = 1.0) -> Drive:
    n = int(seconds / step_s)
    return Drive(step_s, np.full(n, load), np.zeros(n), np.full(n, opening))


def test_one_volume_pumps_down_as_the_textbook_says() -> None:
    # 2 L at 1 L/s, 1013 -> 1 mbar: V/S ln(p1/p2) = 13.84 s (any vacuum textbook).
    rows = integrate(ONE_VOLUME, _drive(20, 0.002), (101300.0,) * 4)
    at_s = float(np.argmax(rows[:, 0] < 100.0)) * 0.002
    assert at_s == pytest.approx(13.84, rel=0.01)


def test_hose_conductances_are_the_handbooks() -> None:
    # 0.48 cm x 150 cm at 0.667 mbar: 0.0408 L/s; 0.95 x 100: 0.837 (air, 20 C, first principles).
    long_thin = replace(ONE_VOLUME, hose_d_cm=0.48, hose_l_cm=150.0)
    short_wide = replace(ONE_VOLUME, hose_d_cm=0.95, hose_l_cm=100.0)
    assert long_thin.hose_l_s(66.7) == pytest.approx(0.0408, rel=0.01)
    assert short_wide.hose_l_s(66.7) == pytest.approx(0.837, rel=0.01)


def test_shut_off_all_gas_stays() -> None:
    # Q = V dP/dt: 3 Pa L/s into 2.4 L for 100 s raises it by 125 Pa, restriction or none.
    circuit = replace(ONE_VOLUME, near_l=0.4, restriction_d_cm=0.4, restriction_l_cm=30.0)
    rows = integrate(circuit, _drive(100, 0.1, load=3.0, opening=0.0), (20.0,) * 4)
    gas = circuit.far_l * rows[-1, 0] + circuit.near_l * rows[-1, 1]
    assert gas == pytest.approx(2.4 * 20 + 300, rel=1e-6)


def test_small_fall_goes_with_the_slope_of_the_flow() -> None:
    # V / (d(S_eff P)/dP): the small-signal time constant, shorter than V/S_eff in a hose.
    circuit = replace(ONE_VOLUME, hose_d_cm=0.4, hose_l_cm=120.0, pump_l_s=2.0)
    load = circuit.flow(30.0)
    rows = integrate(circuit, _drive(300, 0.05, load=load), (30.3, 30.3, 30.3, 30.3))
    after_s = float(np.argmax(rows[:, 0] - 30.0 < 0.3 / np.e)) * 0.05
    tau_s = circuit.fall_s(30.0)
    assert after_s == pytest.approx(tau_s, rel=0.05)
    assert 1.3 < circuit.far_l / (load / 30.0) / tau_s < 2.0


@pytest.mark.parametrize(
    "kind", [pytest.param(k, marks=pytest.mark.slow) if k == "long" else k for k in KINDS]
)
def test_truth_is_consistent(kind: str) -> None:
    trace = make_trace(kind, 3)
    assert np.all(np.diff(trace.time_s) >= 0)
    assert trace.time_s[0] == 0
    assert np.all(np.isfinite(trace.pressure_pa))
    assert np.all(trace.pressure_pa >= 0)
    assert not trace.pressure_pa.flags.writeable
    assert all(b.peak_s >= b.onset_s and b.rise_pa > 0 and b.fall_s > 0 for b in trace.bursts)
    assert all(b.rise_pa >= 5 * b.noise_pa for b in trace.bursts if b.is_visible)
    onsets = [b.onset_s for b in trace.bursts]
    assert onsets == sorted(onsets)
    if trace.true_flat_s is not None:
        assert trace.true_flat_s == trace.law_flat_s
        assert trace.rate_per_s(trace.true_flat_s + 5) < 1 / 600
        assert trace.true_flat_s <= trace.time_s[-1]
    for from_s, until_s in trace.gaps:
        assert not np.any((trace.time_s > from_s) & (trace.time_s < until_s))


def test_same_seed_same_trace_other_seed_another() -> None:
    first, again = make_trace("coarse", 3), make_trace.__wrapped__("coarse", 3)
    other = make_trace("coarse", 4)
    assert first is not again
    np.testing.assert_array_equal(first.pressure_pa, again.pressure_pa)
    assert first.bursts == again.bursts
    assert first.time_s.size != other.time_s.size


def test_lone_bursts_rise_shows_in_the_readings() -> None:
    trace = make_trace("clean", 2)
    shown, truth = [], []
    for burst, after in zip(trace.bursts, trace.bursts[1:], strict=False):
        if burst.is_visible and after.onset_s > burst.peak_s + 2:
            at = int(np.searchsorted(trace.time_s, burst.peak_s))
            before = int(np.searchsorted(trace.time_s, burst.onset_s)) - 1
            shown.append(trace.pressure_pa[at] - trace.pressure_pa[before])
            truth.append(burst.rise_pa)
    assert len(truth) > 5
    # A little under 1: the base falls meanwhile, and so does the tail of the burst before.
    assert 0.8 < np.median(np.array(shown) / np.array(truth)) <= 1.02


def test_count_of_visible_bursts_follows_the_stated_rate() -> None:
    expected, seen = 0.0, 0
    for kind in ("noisy", "coarse", "exp_law", "power_law", "murky"):
        for seed in range(2):
            trace = make_trace(kind, seed)
            expected += float(np.trapezoid(trace.visible_rate_per_s, trace.grid_s))
            seen += sum(b.is_visible for b in trace.bursts)
    assert seen == pytest.approx(expected, abs=3.5 * expected**0.5)


def test_no_two_truths_of_flat_disagree_with_the_law() -> None:
    # exp_law: no shrinking sizes; ln(rate) falls in a straight line, so flat follows in closed form
    # once the noise has settled.
    trace = make_trace("exp_law", 4)
    flat_s = trace.law_flat_s
    assert flat_s is not None
    early_s, late_s = 0.4 * flat_s, 0.6 * flat_s
    fall = np.log(trace.rate_per_s(early_s) / trace.rate_per_s(late_s)) / (late_s - early_s)
    assert trace.rate_per_s(early_s) * exp(-fall * (flat_s - early_s)) == pytest.approx(
        1 / 600, rel=0.25
    )


def test_unknown_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="unknown kind 'tea'"):
        make_trace("tea", 0)
    with pytest.raises(ValueError, match="unknown kind 'tea'"):
        make_hold("tea", 0)


@pytest.mark.parametrize("kind", HOLD_KINDS)
def test_holds_rise_by_what_went_in(kind: str) -> None:
    for seed in range(4):
        hold = make_hold(kind, seed)
        assert hold.time_s[0] == 0
        assert 590 <= hold.time_s[-1] <= 1800
        assert hold.right
        assert not hold.right & hold.never
        late = hold.time_s > hold.even_out_s
        rise_pa = hold.pressure_pa[-1] - hold.pressure_pa[late][0]
        span_s = hold.time_s[-1] - hold.time_s[late][0]
        least_pa = hold.leak_pa_s * span_s * 0.9 - 12 * hold.noise_pa - 0.02 * hold.pressure_pa[-1]
        # What the even-out leaves behind, all the degassing and vapour, and 5 K of warming.
        most_pa = (
            hold.leak_pa_s * span_s + hold.vapour_pa + hold.degassing_pa + 12 * hold.noise_pa
            + 0.04 * hold.pressure_pa[-1] + 30 * MICRON_PA
        )  # fmt: skip
        assert least_pa <= rise_pa <= most_pa
