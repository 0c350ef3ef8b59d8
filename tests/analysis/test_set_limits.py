"""Limits that change during a run: the next hold has them, the one that runs keeps its own."""

import numpy as np

from analysis.evacuation import Evacuation
from analysis.hold.rules import HoldRules
from analysis.rules import EvacuationRules
from analysis.sample import Mark, MarkKind
from analysis.snapshot import Snapshot
from sensors.events import Reading

MAKERS = HoldRules(rise_pa=2.0, rise_source="maker's manual, page 7")


class Trace:
    """A circuit that holds at 20 Pa but for a steady rise while it is cut off."""

    def __init__(self, rise_pa_s: float = 1 / 120) -> None:
        self.evacuation, self.time_s, self._rise_pa_s = Evacuation(), 0.0, rise_pa_s
        self._noise = np.random.default_rng(1)
        self.snapshot: Snapshot | None = None
        self.closed_s: float | None = None

    def go_on(self, for_s: int) -> Snapshot:
        for _ in range(for_s):
            self.time_s += 1.0
            closed_s = 0.0 if self.closed_s is None else self.time_s - self.closed_s
            level_pa = 20.0 + self._rise_pa_s * closed_s + self._noise.normal(0.0, 0.03)
            self.snapshot = self.evacuation.update(Reading(self.time_s, level_pa))
        assert self.snapshot is not None
        return self.snapshot

    def mark(self, kind: MarkKind) -> None:
        self.closed_s = self.time_s if kind == "valve-closed" else None
        self.evacuation.update(Mark(self.time_s, kind))

    def take(self, hold: HoldRules = MAKERS, flat_below_pa: float = 50.0) -> None:
        self.evacuation.set_limits(hold, flat_below_pa)


def rise_limit(snapshot: Snapshot) -> tuple[float, str]:
    assert snapshot.hold is not None
    [check] = [check for check in snapshot.hold.limits if check.name == "rise"]
    return check.limit, check.source


def test_a_hold_keeps_its_limits_and_the_next_has_the_new_ones() -> None:
    trace = Trace()
    trace.go_on(60)
    trace.mark("valve-closed")
    trace.go_on(150)
    trace.take()
    trace.go_on(30)
    trace.mark("hold-over")
    assert rise_limit(trace.go_on(1))[0] == HoldRules().rise_pa
    trace.mark("valve-opened")
    trace.go_on(60)
    trace.mark("valve-closed")
    assert rise_limit(trace.go_on(150)) == (2.0, "maker's manual, page 7")


def test_a_hold_that_nobody_marked_is_judged_by_the_new_ones() -> None:
    """It is followed from the offer on, under the limits of that time, until it is confirmed."""
    trace = Trace(rise_pa_s=0.1)
    trace.go_on(200)
    trace.closed_s = trace.time_s
    offered = trace.go_on(120).offered
    assert offered is not None
    trace.take()
    trace.evacuation.update(Mark(offered.from_s, "valve-closed"))
    assert rise_limit(trace.go_on(2))[0] == 2.0


def test_an_isolation_proves_quiet_by_the_new_limit() -> None:
    """5 Pa in ten minutes is within the usual 13.3, and not within 2."""
    trace = Trace()
    trace.go_on(60)
    trace.mark("valve-closed")
    trace.go_on(300)
    trace.mark("valve-opened")
    trace.go_on(30)
    assert trace.evacuation._judging.is_proven
    trace.take()
    trace.go_on(30)
    assert not trace.evacuation._judging.is_proven


def test_flat_is_called_by_the_new_limit() -> None:
    trace = Trace()
    assert trace.go_on(2400).stage == "flat"  # at 20 Pa, under the usual 66.7 (500 micron)
    trace.take(HoldRules(), 10.0)
    after = trace.go_on(120)
    assert (after.stage, after.stage_reason.code) == ("pulling-down", "stands-too-high")


def test_the_same_limits_again_change_nothing() -> None:
    left, right = Trace(), Trace()
    for trace in (left, right):
        trace.go_on(300)
    right.take(HoldRules(), EvacuationRules().flat_below_pa)
    one, other = left.go_on(400), right.go_on(400)
    assert one == other
