from dataclasses import replace

import pytest

from analysis.reason import Reason
from analysis.rules import EvacuationRules
from analysis.stage import Evidence, StageMachine

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
    stages.update(replace(QUIET, time_s=8.0, burst_count=3, is_rate_below=True))
    assert stages.stage == "flat"
