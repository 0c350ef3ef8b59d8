from dataclasses import replace

import pytest

from analysis.reason import Interval, Reason
from analysis.rules import EvacuationRules
from analysis.snapshot import Isolation
from analysis.stage import Evidence, StageMachine, shows_quiet

QUIET = Evidence(
    time_s=0.0,
    level_pa=20.0,
    fall_per_s=0.0,
    burst_count=0,
    bursts_lately=0,
    has_boiled=False,
    quiet_s=0.0,
    is_proven=False,
    has_trend=False,
    is_rate_below=False,
    is_rate_above=False,
    is_disturbed=False,
)


def machine() -> StageMachine:
    stages = StageMachine(EvacuationRules())
    stages.start(0.0)
    return stages


def after(*seen: Evidence) -> StageMachine:
    stages = machine()
    for evidence in seen:
        stages.update(evidence)
    return stages


def test_falling_quickly_is_pulling_down() -> None:
    # Halving in five minutes is quick: a flat interval is ten.
    stages = after(replace(QUIET, fall_per_s=0.0023, quiet_s=5000.0))
    assert (stages.stage, stages.reason.code) == ("pulling-down", "pump-down")


def test_a_gauge_that_reads_too_rarely_is_told_so_while_no_burst_came() -> None:
    rare = replace(QUIET, spacing_s=60.0, quiet_s=5000.0)
    for evidence in (rare, replace(rare, fall_per_s=0.0023)):
        stages = after(evidence)
        assert (stages.stage, stages.reason.code) == ("pulling-down", "reads-too-rarely")
    assert after(replace(rare, spacing_s=10.0)).stage == "flat"
    assert after(replace(rare, spacing_s=None), rare).stage == "flat", "it was seen before"
    assert after(replace(rare, burst_count=1)).reason.code != "reads-too-rarely"


def test_a_burst_is_boiling_off_at_once() -> None:
    assert after(replace(QUIET, time_s=1.0, burst_count=1)).stage == "boiling-off"


def test_a_trend_is_easing() -> None:
    stages = after(replace(QUIET, time_s=1.0, burst_count=9, has_boiled=True, has_trend=True))
    assert (stages.stage, stages.reason.code) == ("easing", "lulls-lengthen")


def test_the_rate_below_one_is_flat() -> None:
    stages = after(replace(QUIET, time_s=9.0, burst_count=9, has_boiled=True, is_rate_below=True))
    assert (stages.stage, stages.since_s, stages.reason.code) == ("flat", 9.0, "rate-below-one")


@pytest.mark.parametrize(("quiet_s", "stage"), [(1799.0, "pulling-down"), (1800.0, "flat")])
def test_what_never_boiled_needs_half_an_hour_of_quiet(quiet_s: float, stage: str) -> None:
    assert after(replace(QUIET, quiet_s=quiet_s)).stage == stage


def test_flat_is_not_called_through_a_caution_nor_too_high() -> None:
    ready = replace(QUIET, burst_count=9, has_boiled=True, is_rate_below=True)
    disturbed = after(replace(ready, is_disturbed=True))
    assert (disturbed.stage, disturbed.reason.code) == ("easing", "caution-stands")
    high = after(replace(ready, level_pa=80.0))
    assert (high.stage, high.reason.code) == ("easing", "stands-too-high")
    assert after(replace(ready, level_pa=None)).stage == "easing"


def test_going_back_takes_a_minute_of_evidence() -> None:
    stages = after(replace(QUIET, time_s=0.0, burst_count=9, has_boiled=True, is_rate_below=True))
    again = replace(QUIET, burst_count=10, has_boiled=True, bursts_lately=2)
    for second in range(1, 61):
        stages.update(replace(again, time_s=float(second)))
        assert stages.stage == "flat"
    stages.update(replace(again, time_s=61.0))
    assert (stages.stage, stages.reason.code) == ("easing", "bursts-again")


def test_a_lapse_shorter_than_a_minute_is_forgotten() -> None:
    flat = replace(QUIET, burst_count=9, has_boiled=True, is_rate_below=True)
    stages = after(flat)
    for second in range(1, 300):
        seen = (
            replace(QUIET, burst_count=10, has_boiled=True, bursts_lately=2)
            if second % 50
            else flat
        )
        stages.update(replace(seen, time_s=float(second)))
    assert stages.stage == "flat"


def test_a_hold_is_left_only_by_the_technician() -> None:
    stages = machine()
    stages.force("holding", 5.0, Reason("valve-closed"))
    stages.update(replace(QUIET, time_s=6.0, burst_count=3))
    assert (stages.stage, stages.since_s) == ("holding", 5.0)
    stages.force("boiling-off", 7.0, Reason("valve-opened"))
    stages.update(replace(QUIET, time_s=8.0, burst_count=3, has_boiled=True, is_rate_below=True))
    assert stages.stage == "flat"


def test_a_lone_burst_does_not_end_flat_but_two_do() -> None:
    flat = replace(QUIET, burst_count=9, has_boiled=True, is_rate_below=True)
    lone = replace(flat, burst_count=10, bursts_lately=1, is_rate_below=False)
    stages = after(flat, *(replace(lone, time_s=float(s)) for s in range(1, 200)))
    assert stages.stage == "flat"
    for second in range(200, 270):
        stages.update(replace(lone, time_s=float(second), bursts_lately=2))
    assert (stages.stage, stages.reason.code) == ("easing", "bursts-again")


def test_a_mark_or_two_in_hours_is_no_boil_off() -> None:
    few = replace(QUIET, burst_count=2, quiet_s=1800.0)
    assert (after(few).stage, after(few).reason.code) == ("flat", "quiet-start")
    assert after(replace(few, quiet_s=1700.0)).stage == "boiling-off"
    assert after(replace(few, quiet_s=1700.0, is_rate_below=True)).stage == "boiling-off"


@pytest.mark.parametrize(("bursts", "needed_s"), [(5, 1800.0), (20, 1800.0), (403, 3599.5)])
def test_after_many_bursts_a_longer_quiet_is_asked_for(bursts: int, needed_s: float) -> None:
    # T ln n: among n lulls at the flat rate fewer than one is longer.
    boiled = replace(QUIET, burst_count=bursts, has_boiled=True)
    assert after(replace(boiled, quiet_s=needed_s - 1.0)).stage == "boiling-off"
    long_enough = replace(boiled, quiet_s=needed_s + 1.0)
    assert after(long_enough).stage == "flat"
    assert after(replace(long_enough, is_rate_above=True)).stage == "boiling-off"


def test_an_isolation_that_hardly_rose_makes_ten_quiet_minutes_enough() -> None:
    assert after(replace(QUIET, quiet_s=601.0)).stage == "pulling-down"
    assert after(replace(QUIET, quiet_s=601.0, is_proven=True)).stage == "flat"


def test_what_an_isolation_proves() -> None:
    rules = EvacuationRules()
    limit_pa_s = rules.hold.rise_pa / rules.hold.rise_window_s
    half_pa_s = 0.5 * limit_pa_s
    rate = Interval(0.0, half_pa_s, 1.8 * half_pa_s)
    good = Isolation(1000.0, 1180.0, 1.0, half_pa_s, True, rate)
    assert shows_quiet(good, 0.0, rules)
    assert not shows_quiet(None, 0.0, rules)
    fast = Interval(0.0, half_pa_s, 2.2 * half_pa_s)
    assert not shows_quiet(replace(good, rate=fast), 0.0, rules)
    assert not shows_quiet(replace(good, rate=None), 0.0, rules), "how fast it rose is not known"
    assert not shows_quiet(replace(good, until_s=1060.0), 0.0, rules), "too short"
    assert not shows_quiet(good, 1500.0, rules), "of the pull before"


def test_bursts_of_an_earlier_pull_do_not_move_this_one_on() -> None:
    boiled = replace(QUIET, burst_count=9, bursts_before=9, has_boiled=True, has_trend=True)
    falling = after(replace(boiled, fall_per_s=None))
    assert (falling.stage, falling.reason.code) == ("pulling-down", "pump-down")
    still = after(replace(boiled, quiet_s=60.0))
    assert (still.stage, still.reason.code) == ("pulling-down", "no-burst-yet")
    assert after(replace(boiled, burst_count=10)).stage == "easing"
    assert after(replace(boiled, quiet_s=1801.0)).stage == "flat"
