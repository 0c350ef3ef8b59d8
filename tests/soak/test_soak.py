"""Nothing lost, nothing doubled, and nothing that grows or slows down, over days."""

import sys
from pathlib import Path

import pytest

from tests.soak.soak import Outcome, Plan, soak

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="counts descriptors in /proc")


def check(outcome: Outcome, *, least_readings: int) -> None:
    """What holds for any length."""
    assert outcome.faults_told == []
    assert outcome.sent.readings >= least_readings
    assert outcome.recorded == outcome.sent.readings
    assert outcome.is_every_reading_once
    assert outcome.rejected == outcome.sent.rejected
    assert outcome.resumed == 0  # a wall clock that is set does not touch a running job
    assert outcome.is_whole
    assert outcome.sent.faults >= 4
    assert outcome.times_unsaved >= 1
    first, last = outcome.parts[0], outcome.parts[-1]
    assert last.threads == first.threads
    assert last.descriptors <= first.descriptors + 3  # fonts and the like, opened when first used


def test_twenty_minutes_with_every_fault(tmp_path: Path) -> None:
    plan = Plan(
        cycles=2, cycle_s=600.0, rate_hz=10, fault_every_min=3, disk_every_min=6, paint_every_min=3
    )
    check(soak(tmp_path, plan), least_readings=5_000)


@pytest.mark.slow
@pytest.mark.timeout(4 * 3600)
def test_three_days_at_twenty_a_second(tmp_path: Path) -> None:
    outcome = soak(tmp_path, Plan(cycles=6))
    check(outcome, least_readings=4_500_000)
    first, last = outcome.parts[0], outcome.parts[-1]
    assert last.sensor_us < 1.5 * first.sensor_us
    assert last.update_us < 1.5 * first.update_us
    assert last.frame_ms < 2.0 * first.frame_ms
    # Each cycle's bursts, gaps and stages are kept for the charts: some megabytes in all.
    assert last.memory_bytes < first.memory_bytes + (40 << 20)
