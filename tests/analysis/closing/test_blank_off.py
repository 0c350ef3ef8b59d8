import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.closing.blank_off import (
    BlankOffRules,
    BlankOffWatch,
    judge_blank_off,
    outcome,
    rig_share,
    with_volumes,
)
from analysis.evacuation import Evacuation
from analysis.hold.leak import molar_flow_mol_s
from analysis.hold.rules import MICRON_PA, HoldRules
from analysis.hold.trace import thin
from analysis.reason import Interval
from analysis.sample import Mark, Status
from analysis.snapshot import BlankOff
from sensors.events import Reading


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
    assert "blank-off-rise-over-little" in {r.code for r in quick.reasons}
    assert quick.limits[2].limit == pytest.approx(0.2 * 100 * MICRON_PA / 600 * 2e-3)
    # Over its limit in micron, and yet hardly any gas: the rig's volume is what makes it small.
    assert quick.limits[2].passed
    heavy = judged(0.2)
    assert {"blank-off-load-over", "blank-off-rise-over"} <= {r.code for r in heavy.reasons}


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
    assert test.limits == (), "at 25 kPa no rig is blanked off"


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


def read(p: NDArray[np.float64], step_pa: float = MICRON_PA, noise_pa: float = 0.0) -> BlankOff:
    """Judge one reading a second that a gauge rounds."""
    rng = np.random.default_rng(3)
    shown = np.round((p + rng.normal(0.0, noise_pa, len(p))) / step_pa) * step_pa
    return judge_blank_off(
        thin(np.arange(float(len(p))), shown, None),
        0.0,
        float(len(p)),
        BlankOffRules(),
        HoldRules(),
        rig_volume_m3=60e-6,
        circuit_volume_m3=2e-3,
    )


def codes(test: BlankOff) -> set[str]:
    return {reason.code for reason in test.reasons}


def test_a_stuck_gauge_makes_no_good_rig() -> None:
    still = read(np.full(330, 33 * MICRON_PA))
    assert codes(still) == {"blank-off-never-moved"}
    assert outcome(still) == "unclear"
    t = np.arange(330.0)
    stuck = read(np.minimum(30.0 + 0.1 * t, 39.0) * MICRON_PA, 0.1 * MICRON_PA, 0.1)
    assert "blank-off-good" in codes(stuck)  # noise goes on: it is no stuck gauge
    shown = 5.0 + 0.01 * t + np.random.default_rng(1).normal(0.0, 0.1, len(t))
    shown[90:] = shown[90]
    frozen = read(shown, 0.01)
    assert "blank-off-stuck" in codes(frozen)
    assert outcome(frozen) == "unclear"


@pytest.mark.parametrize("tau_s", [10.0, 30.0, 200.0])
def test_a_gauge_that_stuck_half_way_is_told_from_degassing_that_slackens(tau_s: float) -> None:
    """By whole microns, with noise far below one: only the pauses between its steps tell."""
    t = np.arange(330.0)
    slackens = (25.0 + 40.0 * np.log1p(t / tau_s) / np.log1p(300.0 / tau_s)) * MICRON_PA
    assert codes(read(slackens, noise_pa=0.005)) == {"blank-off-good"}
    sticks = np.where(t < 150.0, slackens, slackens[150])
    stuck = read(sticks, noise_pa=0.0)
    assert codes(stuck) == {"blank-off-stands"}
    assert outcome(stuck) == "unclear"


def test_a_valve_to_the_pump_that_stayed_open_makes_no_good_rig() -> None:
    """Nothing that is closed falls, and hoses always give off some gas."""
    t = np.arange(330.0)
    falls = read((20.0 + 400.0 * np.exp(-t / 100.0)) * MICRON_PA, noise_pa=0.05)
    assert codes(falls) >= {"blank-off-falls"}
    assert outcome(falls) == "unclear"
    level = read(np.full(330, 33 * MICRON_PA), noise_pa=0.1)
    assert codes(level) == {"blank-off-no-rise"}
    assert outcome(level) == "good"
    one_step = read((31.0 + 0.015 * t) * MICRON_PA, 5 * MICRON_PA, 0.05)
    assert codes(one_step) == {"blank-off-good"}


def test_a_valve_opened_before_the_mark_is_not_the_rig_s_rise() -> None:
    t = np.arange(340.0)
    p = (30.0 + 0.05 * t) * MICRON_PA
    late = read(np.where(t > 310.0, 9.5e4, p), noise_pa=0.05)
    assert codes(late) == {"blank-off-good"}
    assert late.end_pa == pytest.approx(45 * MICRON_PA, rel=0.03)
    early = read(np.where(t > 200.0, 9.5e4, p), noise_pa=0.05)
    assert codes(early) == {"blank-off-air"}
    assert outcome(early) == "unclear"
    leak = read((30.0 + 90.0 * t) * MICRON_PA)
    assert codes(leak) >= {"blank-off-end-over", "blank-off-rise-over", "blank-off-load-over"}


def test_too_few_readings_make_no_good_rig() -> None:
    """A gauge that reads once in 100 s: of three or four readings all was good, whatever came."""
    for p in ([2.0, 2.0, 0.5, 0.5], [2.0, 2.0, 2.0, 3.5], [0.0, 0.0, 0.0, 38_000.0]):
        test = judge_blank_off(
            thin(np.array([0.0, 100.0, 200.0, 310.0]), np.array(p), None),
            0.0,
            None,
            BlankOffRules(),
            HoldRules(),
            rig_volume_m3=60e-6,
            circuit_volume_m3=2e-3,
        )
        assert "blank-off-good" not in codes(test)
        assert outcome(test) in ("unclear", "over")


@pytest.mark.parametrize("shown_pa", [101_325.0, 2666.0])
def test_a_gauge_that_is_not_in_the_rig_accuses_no_pump(shown_pa: float) -> None:
    """As a far gauge does, that stands on the circuit, or one that was never pulled down."""
    test = read(np.full(330, shown_pa), noise_pa=30.0)
    assert codes(test) == {"blank-off-not-pulled"}
    assert test.limits == ()
    assert outcome(test) == "unclear"
    told: dict[str, float] = {"rig_volume_m3": 1e-4, "circuit_volume_m3": 2e-3}
    assert with_volumes(test, BlankOffRules(), HoldRules(), **told).limits == ()


def test_a_silence_at_the_end_hides_no_rise() -> None:
    t = np.concatenate([np.arange(150.0), np.arange(310.0, 330.0)])
    p = (20.0 + 0.25 * t) * MICRON_PA + np.random.default_rng(2).normal(0.0, 0.05, len(t))
    test = judge_blank_off(
        thin(t, p, None),
        0.0,
        330.0,
        BlankOffRules(),
        HoldRules(),
        rig_volume_m3=None,
        circuit_volume_m3=None,
    )
    assert "blank-off-rise-over" in codes(test)


@pytest.mark.parametrize(("status", "shown"), [("over-range", 200.0), ("under-range", 10.0)])
def test_the_end_of_the_gauge_s_range_is_a_bound(status: Status, shown: float) -> None:
    evacuation = Evacuation()
    evacuation.update(Mark(0.0, "blank-off"))
    for at_s in range(1, 330):
        evacuation.update(Reading(float(at_s), shown * MICRON_PA, status=status))
    test = evacuation.update(Mark(330.0, "hold-over")).blank_off
    assert test is not None
    assert outcome(test) == ("over" if status == "over-range" else "unclear")
