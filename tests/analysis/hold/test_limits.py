"""The limits of a hold stand apart from its finding."""

import numpy as np
import pytest

from analysis.closing.blank_off import BlankOffRules, judge_blank_off
from analysis.hold.finding import HoldRules, analyse_hold
from analysis.hold.trace import thin
from tests.analysis.holds_made import LIMIT_PA_S, codes, read, start, times


def test_the_limits_stand_apart_from_the_finding() -> None:
    t = times()
    result = analyse_hold(t, read(start(t, 700) + 10 * LIMIT_PA_S * t))
    assert {check.name: check.passed for check in result.limits} == {
        "start": False, "rise": False, "highest": False, "charge": False,
    }  # fmt: skip
    assert codes(result) >= {
        "start-too-high", "rise-over-limit", "pressure-over-limit", "do-not-charge",
    }  # fmt: skip
    rules = HoldRules(highest_pa=270.0, highest_source="EN 378-2 (from memory)")
    loose = analyse_hold(t, read(start(t)), rules=rules)
    assert loose.limits[2].limit == 270.0
    assert loose.limits[2].source.startswith("EN 378-2")


def test_the_rise_is_counted_over_ten_minutes_from_the_evened_out_start() -> None:
    t = times(30)
    leak = 2 * LIMIT_PA_S
    result = analyse_hold(t, read(start(t) + leak * t))
    rise = next(check for check in result.limits if check.name == "rise")
    assert rise.value == pytest.approx(600 * leak, rel=0.05)


@pytest.mark.parametrize("place", [0, -1])
@pytest.mark.parametrize("times_too_much", [0.0, 20.0])
@pytest.mark.parametrize(("interval_s", "seed"), [(1.0, 1), (10.0, 2), (60.0, 3)])
def test_one_wild_reading_first_or_last_passes_or_fails_no_limit(
    interval_s: float, seed: int, times_too_much: float, place: int
) -> None:
    t = times(30, interval_s)
    sound = read(start(t) + 0.1 * LIMIT_PA_S * t, seed)
    wild = sound.copy()
    wild[place] *= times_too_much
    result = analyse_hold(t, wild)
    assert result.finding == analyse_hold(t, sound).finding == "held"
    assert all(check.passed for check in result.limits)


@pytest.mark.parametrize("place", [0, -1])
def test_nor_does_it_in_a_blank_off_test(place: int) -> None:
    t = np.arange(0.0, 320.0, 5.0)
    wild = 5.0 + 0.01 * t + np.random.default_rng(0).normal(0.0, 0.01, len(t))
    wild[place] = 3000.0
    test = judge_blank_off(
        thin(t, wild, None), 0.0, None, BlankOffRules(), HoldRules(),
        rig_volume_m3=60e-6, circuit_volume_m3=2e-3,
    )  # fmt: skip
    assert [reason.code for reason in test.reasons] == ["blank-off-good"]
