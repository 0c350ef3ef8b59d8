"""A reading half way tells gas that is still cooling from a leak, and excuses no leak."""

import math
from collections import Counter

import numpy as np
import pytest

from analysis.nitrogen.pressure_test import PressureTest, TestPoint, judge_pressure_test

START_PA = 11e5
LASTS_S = 1200.0


def judged(
    *,
    warm_share: float = 0.0,
    cools_s: float = 240.0,
    leak_share: float = 0.0,
    change_k: float = 0.0,
    lasts_s: float = LASTS_S,
    has_middle: bool = True,
    rng: np.random.Generator | None = None,
) -> PressureTest:
    """Read gas that is warmer at the start by this share, and of which this share leaks out.

    With ``rng`` on a dial of class 1 whose gain is off by up to 1 % and each reading by a third of
    that, and with a thermometer that is off by up to 1 K.
    """
    gain, off_k = (0.0, 0.0) if rng is None else rng.uniform(-1.0, 1.0, 2)

    def at(share: float) -> TestPoint:
        left = math.exp(-leak_share * share)
        warm = 1.0 + warm_share * math.exp(-share * lasts_s / cools_s)
        true_pa = START_PA * left * warm * (1.0 + change_k * share / 293.15)
        each, each_k = (0.0, 0.0) if rng is None else rng.uniform(-1.0, 1.0, 2)
        return TestPoint(
            true_pa * (1.0 + 0.01 * gain) + START_PA * 0.01 / 3.0 * each,
            20.0 + change_k * share + off_k + 0.3 * each_k,
        )

    return judge_pressure_test(
        at(0.0), at(1.0), lasts_s, middle_pa=at(0.5).pressure_pa if has_middle else None
    )


def code(test: PressureTest) -> str:
    return test.reasons[1].code


def test_gas_that_cools_is_no_leak_and_is_tested_anew() -> None:
    warm = 20.0 / 293.15
    assert judged(warm_share=warm, has_middle=False).finding == "fell"
    test = judged(warm_share=warm)
    assert (test.finding, code(test)) == ("cooling", "pressure-test-cooling")
    values = test.reasons[1].values
    assert values["first_test_pa"] == pytest.approx(START_PA * 20 / 293.15 * -math.expm1(-2.5))
    assert values["first_test_pa"] > 10.0 * values["second_test_pa"]
    assert values["wait_s"] % 60.0 == 0.0
    slow = judged(warm_share=warm, cools_s=400.0)
    assert slow.finding == "cooling"
    assert slow.reasons[1].values["wait_s"] > values["wait_s"]


@pytest.mark.parametrize("leak_share", [0.04, 0.1, 0.3])
@pytest.mark.parametrize("change_k", [-6.0, 0.0, 6.0])
def test_a_straight_fall_is_a_leak(leak_share: float, change_k: float) -> None:
    assert judged(leak_share=leak_share, change_k=change_k).finding == "fell"


def test_a_leak_that_falls_on_beside_the_cooling_is_told() -> None:
    test = judged(warm_share=0.03, leak_share=0.15)
    assert (test.finding, code(test)) == ("fell", "pressure-test-fell-on")


def test_what_falls_by_more_than_gas_can_cool_is_a_leak() -> None:
    """It slows down as it empties: 11 bar to 3.3 and to 1.8, which looks like cooling."""
    test = judge_pressure_test(
        TestPoint(11e5, 20.0), TestPoint(1.8e5, 20.0), LASTS_S, middle_pa=3.3e5
    )
    assert (test.finding, code(test)) == ("fell", "pressure-test-fell-on")


def test_where_the_dial_cannot_tell_it_is_the_fall_that_counts() -> None:
    test = judged(warm_share=0.024)
    assert (test.finding, code(test)) == ("fell", "pressure-test-fell-either")
    assert code(judged(warm_share=0.024, has_middle=False)) == "pressure-test-fell"


@pytest.mark.parametrize("end_pa", [11e5, 10.5e5])
@pytest.mark.parametrize("middle_pa", [1.1e5, 2e5, 10.2e5, 51e5])
def test_a_slip_half_way_is_said_and_neither_excuses_nor_accuses(
    end_pa: float, middle_pa: float
) -> None:
    """One bar for ten was gas that cools, and fifty a leak."""
    start, end = TestPoint(START_PA, 20.0), TestPoint(end_pa, 20.0)
    test = judge_pressure_test(start, end, LASTS_S, middle_pa=middle_pa)
    assert "pressure-test-middle-outside" in {reason.code for reason in test.reasons}
    without = judge_pressure_test(start, end, LASTS_S)
    assert (test.finding, code(test)) == (without.finding, code(without))


@pytest.mark.parametrize("days", [11.0, 1000.0])
def test_after_days_nothing_is_left_to_cool(days: float) -> None:
    start, end = TestPoint(START_PA, 20.0), TestPoint(10.5e5, 20.0)
    test = judge_pressure_test(start, end, 86400.0 * days, middle_pa=10.55e5)
    assert test.reasons[1].values["wait_s"] == 60.0


def test_what_is_read_half_way_changes_nothing_where_nothing_fell() -> None:
    assert judged(change_k=5.0).finding == "no-fall-seen"
    with pytest.raises(ValueError, match="half way"):
        judge_pressure_test(
            TestPoint(11e5, 20.0), TestPoint(11e5, 20.0), LASTS_S, middle_pa=math.nan
        )


def test_shares_of_tight_and_leaking_circuits() -> None:
    rng, n = np.random.default_rng(11), 400
    told = {kind: Counter[str]() for kind in ("tight", "leak", "both")}
    for _ in range(n):
        warm, leak = float(rng.uniform(10.0, 40.0)) / 293.15, float(rng.uniform(0.03, 0.2))
        cools_s, lasts_s = float(rng.uniform(90.0, 480.0)), float(rng.choice([900, 1200, 1800]))
        for kind, (warm_share, leak_share) in {
            "tight": (warm, 0.0), "leak": (0.0, leak), "both": (warm, leak),
        }.items():  # fmt: skip
            test = judged(
                warm_share=warm_share,
                cools_s=cools_s,
                leak_share=leak_share,
                lasts_s=lasts_s,
                rng=rng,
            )
            told[kind][code(test)] += 1
    assert told["tight"]["pressure-test-cooling"] > 0.8 * n
    assert told["tight"]["pressure-test-fell-on"] <= 0.01 * n
    assert told["leak"]["pressure-test-cooling"] <= 0.01 * n
    assert told["both"]["pressure-test-no-fall"] <= 0.01 * n
    assert sum(told["both"][f"pressure-test-fell-{how}"] for how in ("either", "on")) > 0.3 * n
