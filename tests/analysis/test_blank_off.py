import numpy as np
import pytest

from analysis.blank_off import (
    BlankOffRules,
    BlankOffWatch,
    judge_blank_off,
    rig_share,
    with_volumes,
)
from analysis.hold_rules import MICRON_PA, HoldRules
from analysis.hold_trace import thin
from analysis.leak import molar_flow_mol_s
from analysis.reason import Interval
from analysis.snapshot import BlankOff


def judged(rate_pa_s: float, start_pa: float = 5.0, seconds: float = 320.0) -> BlankOff:
    t = np.arange(0.0, seconds, 0.5)
    p = start_pa + rate_pa_s * t + np.random.default_rng(0).normal(0.0, 0.01, len(t))
    return judge_blank_off(
        thin(t, p, None),
        10.0,
        None,
        BlankOffRules(),
        HoldRules(),
        rig_volume_m3=60e-6,
        circuit_volume_m3=2e-3,
    )


def test_a_good_rig() -> None:
    test = judged(0.01)
    assert [c.passed for c in test.limits] == [True, True, True]
    assert [r.code for r in test.reasons] == ["blank-off-good"]
    assert test.ultimate_pa == pytest.approx(5.0, abs=0.05)
    assert test.rise_pa == pytest.approx(3.0, abs=0.1)


def test_each_limit_by_itself() -> None:
    # Practice: ends at most at 100 micron, rises at most 50, load at most a fifth of what the
    # hold's 100 micron in 10 min allow the circuit.
    assert "blank-off-end-over" in {r.code for r in judged(0.001, 105 * MICRON_PA).reasons}
    quick = judged(60 * MICRON_PA / 300)
    assert "blank-off-rise-over" in {r.code for r in quick.reasons}
    assert quick.limits[2].limit == pytest.approx(0.2 * 100 * MICRON_PA / 600 * 2e-3)
    # Over its limit in micron, and yet hardly any gas: the rig's volume is what makes it small.
    assert quick.limits[2].passed
    heavy = judged(0.2)
    assert "blank-off-load-over" in {r.code for r in heavy.reasons}


def test_volumes_that_are_told_later_change_nothing_but_what_rests_on_them() -> None:
    whole, t = judged(0.2), np.arange(0.0, 320.0, 0.5)
    p = 5.0 + 0.2 * t + np.random.default_rng(0).normal(0.0, 0.01, len(t))
    rules, hold = BlankOffRules(), HoldRules()
    told: dict[str, float] = {"rig_volume_m3": 60e-6, "circuit_volume_m3": 2e-3}
    without = judge_blank_off(
        thin(t, p, None), 10.0, None, rules, hold, rig_volume_m3=None, circuit_volume_m3=None
    )
    assert without.load_pa_m3_s is None
    assert with_volumes(without, rules, hold, **told) == whole
    gone = with_volumes(whole, rules, hold, rig_volume_m3=None, circuit_volume_m3=None)
    assert gone == without


def test_too_short_says_how_long_still() -> None:
    test = judged(0.01, seconds=100.0)
    assert not test.is_long_enough
    assert test.reasons[0].code == "blank-off-goes-on"
    assert "blank-off-good" not in {r.code for r in test.reasons}


def test_the_gas_load_by_40_cfr_1065_644() -> None:
    """2.0000 L, 25.300 to 50.600 kPa in 70 s at 293.15 K: 2.9657e-4 mol/s."""
    t = np.arange(0.0, 70.5, 0.5)
    p = 25_300.0 + 25_300.0 / 70.0 * t
    test = judge_blank_off(
        thin(t, p, None),
        0.0,
        70.0,
        BlankOffRules(),
        HoldRules(),
        rig_volume_m3=2.0e-3,
        circuit_volume_m3=None,
    )
    assert test.load_pa_m3_s is not None
    assert molar_flow_mol_s(test.load_pa_m3_s.best) == pytest.approx(2.9657e-4, rel=1e-3)
    assert [c.name for c in test.limits] == ["blank-off-end", "blank-off-rise"]


def test_a_rise_is_shared_with_the_rig() -> None:
    """500 micron in 10 min in 2 L are 2.222e-3 mbar L/s (Q = V dP/dt)."""
    rate = 500 * MICRON_PA / 600
    load = Interval(0.0, 0.2 * 2.222e-4, 1.0)
    reason = rig_share(load, Interval(rate, rate, rate), 1.94e-3, 0.06e-3)
    assert reason.code == "rig-share"
    assert reason.values["share"] == pytest.approx(0.2, rel=1e-3)
    assert rig_share(load, Interval(0, 0, 0), 2e-3, 6e-5).code == "no-rise-to-share"
    tiny = Interval(1e-5, 1e-5, 1e-5)
    assert rig_share(load, tiny, 2e-3, 6e-5).code == "rig-explains-all"


def test_the_watch_judges_like_the_whole() -> None:
    rng = np.random.default_rng(0)
    t = np.arange(0.0, 320.0, 0.5)
    p = 5.0 + 0.01 * t + rng.normal(0.0, 0.01, len(t))
    watch = BlankOffWatch(BlankOffRules(), HoldRules(), rig_volume_m3=60e-6, circuit_volume_m3=None)
    watch.end(0.0)  # nothing runs: nothing happens
    assert watch.result is None
    watch.start(0.0)
    for time_s, pressure_pa in zip(t.tolist(), p.tolist(), strict=True):
        watch.sample(time_s, pressure_pa, None)
    watch.end(320.0)
    assert not watch.is_running
    whole = judge_blank_off(
        thin(t, p, None),
        0.0,
        320.0,
        BlankOffRules(),
        HoldRules(),
        rig_volume_m3=60e-6,
        circuit_volume_m3=None,
    )
    assert watch.result is not None
    assert watch.result.rise_pa == pytest.approx(whole.rise_pa, abs=0.01)


def test_limits_are_positive() -> None:
    with pytest.raises(ValueError, match="load_share"):
        BlankOffRules(load_share=0.0)
