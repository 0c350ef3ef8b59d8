from dataclasses import replace

import pytest

from analysis.hold.length import LEAST_HOLDS, LeastHold, hold_end
from analysis.reason import Reason
from analysis.snapshot import HoldResult, LimitCheck

HELD = HoldResult("held", 900.0, 1.0, None, None, None, 0.002, (), ())
OVER = LimitCheck("rise", 13.3, 40.0, False, "practice")


def test_the_lengths_are_the_trades() -> None:
    assert [round(least.length_s / 60) for least in LEAST_HOLDS.values()] == [10, 20, 30, 60]
    assert all("practice" in least.source for least in LEAST_HOLDS.values())


def test_a_clean_circuit_may_end_before_an_ordinary_one() -> None:
    assert hold_end(HELD, LEAST_HOLDS["clean"]).may_end
    ordinary = hold_end(HELD, LEAST_HOLDS["normal"])
    assert (ordinary.may_end, ordinary.left_s) == (False, 300.0)
    assert ordinary.reason.code == "hold-too-short-yet"


def test_an_unclear_one_goes_on_while_that_helps() -> None:
    unclear = replace(HELD, finding="unclear", duration_s=1300.0, hold_longer_s=240.0)
    end = hold_end(unclear, LEAST_HOLDS["normal"])
    assert (end.may_end, end.left_s, end.reason.code) == (False, 240.0, "hold-unclear-yet")
    hopeless = hold_end(replace(unclear, hold_longer_s=None), LEAST_HOLDS["normal"])
    assert (hopeless.may_end, hopeless.reason.code) == (True, "hold-will-not-clear")


@pytest.mark.parametrize("code", ["never-moved", "gauge-stuck"])
@pytest.mark.parametrize("duration_s", [300.0, 1300.0])
def test_no_waiting_helps_a_gauge_that_does_not_move(code: str, duration_s: float) -> None:
    still = replace(HELD, finding="unclear", duration_s=duration_s, reasons=(Reason(code),))
    end = hold_end(still, LEAST_HOLDS["normal"])
    assert (end.may_end, end.left_s, end.reason.code) == (True, 0.0, "hold-gauge-still")


def test_what_was_found_before_the_gauge_got_stuck_counts_only_if_it_was_long_enough() -> None:
    held = replace(HELD, reasons=(Reason("gauge-stuck", {"stuck_s": 400.0}),))
    assert hold_end(held, LEAST_HOLDS["clean"]).reason.code == "hold-long-enough"
    assert hold_end(held, LEAST_HOLDS["normal"]).reason.code == "hold-gauge-still"


def test_a_sure_leak_over_its_limit_need_not_be_sat_out() -> None:
    leak = replace(HELD, finding="leak", duration_s=400.0, limits=(OVER,))
    assert hold_end(leak, LEAST_HOLDS["disputed"]).reason.code == "hold-leak-is-sure"
    assert not hold_end(replace(leak, duration_s=200.0), LEAST_HOLDS["disputed"]).may_end
    assert not hold_end(replace(leak, limits=()), LEAST_HOLDS["disputed"]).may_end


def test_a_length_is_positive() -> None:
    with pytest.raises(ValueError, match="length_s"):
        LeastHold(0.0)
