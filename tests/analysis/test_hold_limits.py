"""The limits of a hold stand apart from its finding."""

import pytest

from analysis.hold import HoldRules, analyse_hold
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
