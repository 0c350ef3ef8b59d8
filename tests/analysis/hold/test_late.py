"""A rise that begins late in a hold is told as that, with the rate it has then."""

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.hold.finding import analyse_hold
from analysis.hold.late import rises_since_s
from analysis.hold.rules import MICRON_PA, HoldRules
from analysis.hold.trace import thin
from analysis.snapshot import HoldResult
from tests.analysis.holds_made import codes
from tests.bench.holds import HOLD_KINDS, make_hold
from tests.bench.standing_tests import KINDS, make_standing_test

Floats = NDArray[np.float64]


def judged(late_micron: Floats, from_s: float, seed: int) -> HoldResult:
    """A hold that evens out, stands, and from ``from_s`` on rises besides by this."""
    t = np.arange(0.0, from_s + len(late_micron))
    micron = 150.0 - 20.0 * np.expm1(-t / 20.0)
    micron[int(from_s) :] += late_micron
    micron += np.random.default_rng(seed).normal(0.0, 0.5, len(t))
    return analyse_hold(t, np.round(micron, 1) * MICRON_PA)


@pytest.mark.parametrize("from_s", [600.0, 1500.0])
@pytest.mark.parametrize("rate", [1.0, 3.0, 20.0])  # micron a second
def test_a_leak_that_opened_late_has_its_own_rate(rate: float, from_s: float) -> None:
    """It was told as 10 to 23 micron/min, with a start at 27 micron that was never read."""
    result = judged(rate * np.arange(300.0), from_s, 1)
    assert result.finding == "leak"
    assert result.leak_pa_s is not None
    assert result.leak_pa_s.best == pytest.approx(rate * MICRON_PA, rel=0.03)
    assert result.reasons[0].code == "rises-since"
    assert result.reasons[0].values["since_s"] == pytest.approx(from_s, abs=20.0)
    assert result.rise_pa == pytest.approx(rate * 300.0 * MICRON_PA, rel=0.08)
    assert result.duration_s == pytest.approx(from_s + 299.0)
    limit = next(check for check in result.limits if check.name == "rise")
    assert limit.value == pytest.approx(rate * 300.0 * MICRON_PA, rel=0.08)
    assert not limit.passed, "it stood for the first ten minutes, and rose by more after"
    leak = next(curve for curve in result.curves if curve.name == "leak")
    assert from_s < leak.time_s[0] < leak.time_s[-1] < from_s + 300.0


def test_soon_after_it_cannot_be_told_yet_what_it_is() -> None:
    result = judged(20.0 * np.arange(40.0), 1500.0, 2)
    assert result.finding == "unclear"
    assert result.reasons[0].code == "rises-since"
    assert result.hold_longer_s is not None
    assert {"pressure-over-limit", "too-short"} & codes(result) == {"pressure-over-limit"}


@pytest.mark.parametrize("has_thermometer", [False, True])
def test_a_circuit_that_warms_late_has_not_opened(has_thermometer: bool) -> None:
    """By 25 K at 450 micron, as when the sun comes round: 40 micron of the allowed 100."""
    t = np.arange(0.0, 2400.0)
    celsius = 20.0 - 25.0 * np.expm1(-np.maximum(t - 1200.0, 0.0) / 300.0)
    micron = (450.0 - 60.0 * np.expm1(-t / 20.0)) * (celsius + 273.15) / 293.15
    micron += np.random.default_rng(5).normal(0.0, 0.5, len(t))
    given = celsius if has_thermometer else None
    result = analyse_hold(t, np.round(micron, 1) * MICRON_PA, temperature_c=given)
    assert result.finding == "held"
    assert "rises-since" not in codes(result)


def test_what_a_thermometer_explains_is_no_late_rise() -> None:
    """By more than is allowed: 60 K at 900 micron."""
    t = np.arange(0.0, 2400.0)
    celsius = np.maximum(t - 1200.0, 0.0) / 20.0
    micron = 900.0 * (celsius + 273.15) / 273.15
    micron += np.random.default_rng(6).normal(0.0, 0.5, len(t))
    result = analyse_hold(t, np.round(micron, 1) * MICRON_PA, temperature_c=celsius)
    assert "rises-since" not in codes(result)


def test_a_late_rise_that_is_slow_enough_to_be_allowed_proves_nothing_and_tells_no_leak() -> None:
    late = 0.15 * np.arange(1200.0)  # 9 micron/min, where 100 in 1 min are allowed
    t = np.arange(0.0, 2400.0)
    micron = 150.0 + np.concatenate([np.zeros(1200), late])
    micron += np.random.default_rng(7).normal(0.0, 0.5, len(t))
    result = analyse_hold(t, np.round(micron, 1) * MICRON_PA, rules=HoldRules(rise_window_s=60.0))
    assert (result.finding, result.leak_pa_s) == ("unclear", None)
    assert result.reasons[0].code == "rises-since"


def test_gas_that_is_given_off_late_levels_off() -> None:
    result = judged(-600.0 * np.expm1(-np.arange(900.0) / 120.0), 900.0, 3)
    assert result.finding in ("vapour", "unclear")
    late = judged(-600.0 * np.expm1(-np.arange(90.0) / 120.0), 900.0, 3)
    assert late.finding == "unclear"
    assert late.reasons[0].code == "rises-since"


def test_what_stands_or_rises_in_one_way_has_no_bend() -> None:
    rules = HoldRules()
    for seed in range(500, 503):
        for kinds, make in ((KINDS, make_standing_test), (HOLD_KINDS, make_hold)):
            for kind in kinds:
                hold = make(kind, seed)
                assert rises_since_s(thin(hold.time_s, hold.pressure_pa, None), rules) is None, kind
