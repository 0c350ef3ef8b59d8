"""Isolations, forgotten closings, blank-offs and breaks, through the one door."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.evacuation import Evacuation
from analysis.rules import MICRON_PA, EvacuationRules
from analysis.sample import Mark, Silence
from analysis.snapshot import Snapshot
from sensors.events import Reading
from sensors.sim.simulation import generate
from tests.analysis.test_evacuation import numbers


class Circuit:
    """Readings once a second at a level that the test moves, with a little noise."""

    def __init__(self, *, rules: EvacuationRules | None = None, seed: int = 1) -> None:
        self.evacuation = Evacuation(rules=rules)
        self.time_s = 0.0
        self._rng = np.random.default_rng(seed)

    def read(self, seconds: int, level_pa: float, rate_pa_s: float = 0.0) -> Snapshot:
        for second in range(seconds):
            pressure_pa = level_pa + rate_pa_s * second + self._rng.normal(0.0, 0.02)
            snapshot = self.evacuation.update(Reading(self.time_s, max(pressure_pa, 0.0)))
            self.time_s += 1.0
        return snapshot

    def mark(self, kind: str, at_s: float | None = None) -> Snapshot:
        time_s = self.time_s if at_s is None else at_s
        return self.evacuation.update(Mark(time_s, kind))  # type: ignore[arg-type]

    def isolate(self, seconds: int, rate_pa_s: float, level_pa: float = 20.0) -> Snapshot:
        self.mark("valve-closed")
        self.read(seconds, level_pa, rate_pa_s)
        return self.mark("valve-opened")


def test_an_isolation_is_set_beside_the_one_before() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    first = circuit.isolate(180, 0.10)
    assert first.isolation is not None
    assert first.isolation.comparison is not None
    assert first.isolation.comparison.code == "isolation-first"
    circuit.read(300, 20.0)
    circuit.mark("valve-closed")
    running = circuit.read(150, 20.0, 0.05)
    assert running.isolation is not None
    assert running.isolation.until_s is None
    second = circuit.mark("valve-opened").isolation
    assert second is not None
    assert second.until_s is not None
    assert second.rate is not None
    assert second.rate.low < 0.05 < second.rate.high
    assert second.comparison is not None
    assert second.comparison.code == "isolation-slower"
    assert second.comparison.values["ratio"] == pytest.approx(0.5, rel=0.05)
    after = circuit.read(5, 20.0)
    assert [i.from_s for i in after.isolations] == [300.0, 780.0]


def test_a_rise_that_levels_off_is_compared_over_equal_times() -> None:
    # 120 s of the same levelling rise rise faster on average than 300 s of it.
    circuit = Circuit()
    circuit.read(300, 20.0)
    for seconds in (300, 120):
        circuit.mark("valve-closed")
        for second in range(seconds):
            circuit.read(1, 20.0 + 10.0 * (1.0 - math.exp(-second / 100.0)))
        snapshot = circuit.mark("valve-opened")
        circuit.read(200, 20.0)
    assert snapshot.isolation is not None
    assert snapshot.isolation.comparison is not None
    assert snapshot.isolation.comparison.code == "isolation-same"


def test_a_hold_is_no_isolation() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    circuit.isolate(180, 0.1)
    circuit.read(100, 20.0)
    circuit.mark("valve-closed")
    circuit.read(150, 20.0, 0.001)
    done = circuit.mark("hold-over")
    assert done.stage == "done"
    assert done.isolation is not None
    assert done.isolation.from_s == 300.0
    assert len(done.isolations) == 1


def test_the_isolations_kept_are_bounded() -> None:
    circuit = Circuit()
    for _ in range(70):
        circuit.read(12, 20.0)
        snapshot = circuit.isolate(12, 0.1)
    assert len(snapshot.isolations) == 64


@pytest.mark.parametrize(("rate_pa_s", "flat_after_s"), [(0.0125, 1350), (0.1, 1830)])
def test_an_isolation_shortens_the_quiet_that_a_clean_circuit_needs(
    rate_pa_s: float, flat_after_s: float
) -> None:
    # 0.0222 Pa/s are the hold's 100 micron in 10 min: half of that asks for half of the rest.
    circuit = Circuit()
    circuit.read(60, 20.0)
    circuit.isolate(130, rate_pa_s)
    watched_s = 60
    snapshot = circuit.read(1, 20.0)
    while snapshot.stage != "flat" and watched_s < 2200:
        snapshot = circuit.read(10, 20.0)
        watched_s += 10
    assert watched_s == pytest.approx(flat_after_s, abs=140)
    expected = "quiet-start" if rate_pa_s == 0.1 else "isolation-proves"
    assert snapshot.stage_reason.code == expected


def test_a_forgotten_closing_is_confirmed_with_all_its_readings() -> None:
    """Told late the hold is the same as told in time."""
    told, late = Circuit(), Circuit()
    told.read(150, 20.0)
    told.mark("valve-closed")
    late.read(150, 20.0)
    told.read(120, 20.0, 0.1)
    offered = late.read(120, 20.0, 0.1).offered
    assert offered is not None
    assert offered.from_s == pytest.approx(150.0, abs=4.0)
    late.mark("valve-closed", 150.0)
    in_time, afterwards = told.read(40, 32.0, 0.1), late.read(40, 32.0, 0.1)
    assert afterwards.stage == "holding"
    assert (afterwards.hold_from_s, in_time.hold_from_s) == (150.0, 150.0)
    assert afterwards.offered is None
    assert afterwards.hold is not None
    assert in_time.hold is not None
    # Judged anew every 5 s, not at the same seconds.
    assert afterwards.hold.duration_s == pytest.approx(in_time.hold.duration_s, abs=5.0)
    assert afterwards.hold.finding == in_time.hold.finding
    assert afterwards.hold.leak_pa_s is not None
    assert in_time.hold.leak_pa_s is not None
    assert afterwards.hold.leak_pa_s.best == pytest.approx(in_time.hold.leak_pa_s.best, rel=0.05)


def test_an_offer_stands_longer_than_the_memory() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    snapshot = circuit.read(1500, 20.0, 0.05)
    assert snapshot.offered is not None
    confirmed = circuit.mark("valve-closed", snapshot.offered.from_s)
    assert confirmed.hold_from_s == snapshot.offered.from_s
    confirmed = circuit.read(3, 95.0)
    assert confirmed.hold is not None
    assert confirmed.hold.duration_s > 1450.0
    assert confirmed.hold.finding == "leak"


def test_a_closing_cannot_lie_before_what_is_remembered() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    circuit.isolate(120, 0.1)
    circuit.read(60, 20.0)
    assert circuit.mark("valve-closed", 50.0).hold_from_s == 420.0
    with pytest.raises(ValueError, match="goes back"):
        circuit.mark("valve-opened", 100.0)


def test_a_break_begins_a_new_pull_marked_or_not() -> None:
    for is_marked in (True, False):
        circuit = Circuit()
        circuit.read(30, 101325.0)
        circuit.read(300, 20.0)
        if is_marked:
            circuit.mark("nitrogen-in")
        assert circuit.read(300, 111e3).pull == 2
        if not is_marked:
            assert circuit.mark("nitrogen-in").pull == 2, "told late it is the same break"
        snapshot = circuit.read(600, 15.0)
        first, second = snapshot.pulls
        assert (first.number, first.until_s is not None) == (1, True)
        assert second.from_s == pytest.approx(629.0, abs=1.5)
        assert second.reached[-1].pressure_pa == pytest.approx(250 * MICRON_PA)
        assert second.reached[-1].after_s < 5.0
        assert second.lowest_pa == pytest.approx(15.0, abs=0.2)
        assert snapshot.stage == "pulling-down"


def test_a_gauge_that_ends_below_sees_the_break_by_its_range() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    for pull, seconds in ((1, 40), (2, 40)):
        for _ in range(seconds):
            over = Reading(circuit.time_s, 2600.0, None, "over-range")
            snapshot = circuit.evacuation.update(over)
            circuit.time_s += 1.0
        assert snapshot.pull == pull
    assert circuit.read(100, 20.0).pull == 2


def test_air_that_rushes_in_is_no_break() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    circuit.read(5, 3000.0)
    assert circuit.read(300, 20.0).pull == 1


def test_a_hose_that_comes_off_in_a_hold_stays_in_the_hold() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    circuit.mark("valve-closed")
    circuit.read(60, 20.0)
    blown = circuit.read(10, 101325.0)
    assert (blown.stage, blown.pull) == ("holding", 1)


def test_nitrogen_behind_a_closed_valve_is_no_isolation() -> None:
    circuit = Circuit()
    circuit.read(300, 20.0)
    circuit.mark("valve-closed")
    circuit.read(60, 20.0)
    circuit.read(60, 115e3)
    opened = circuit.mark("valve-opened")
    assert opened.isolations == ()
    assert circuit.read(3, 115e3).pull == 2


def test_the_simulated_break_keeps_the_forecast() -> None:
    trace, truth = generate("nitrogen-break", seed=5, rate_hz=1.0, duration_s=3000.0)
    evacuation = Evacuation()
    for time_s, pressure_pa in zip(trace.time_s.tolist(), trace.pressure_pa.tolist(), strict=True):
        snapshot = evacuation.update(Reading(time_s, pressure_pa))
    broken_s = next(a.time_s for a in truth.actions if a.action == "nitrogen-in")
    assert snapshot.pull == 2
    assert snapshot.pulls[0].until_s == pytest.approx(broken_s, abs=10.0)
    assert snapshot.flat.why is None or snapshot.flat.why.code != "too-few-bursts"


def test_the_rig_alone_is_tested_and_kept() -> None:
    rules = EvacuationRules(volume_m3=2e-3, rig_volume_m3=60e-6)
    circuit = Circuit(rules=rules)
    circuit.read(60, 5.0)
    began = circuit.mark("blank-off")
    assert began.stage_reason.code == "blank-off"
    running = circuit.read(100, 5.0, 0.005)
    assert running.blank_off is not None
    assert running.blank_off.until_s is None
    assert not running.blank_off.is_long_enough
    circuit.read(220, 5.5, 0.005)
    ended = circuit.mark("valve-opened")
    test = ended.blank_off
    assert test is not None
    assert test.until_s == 380.0
    assert test.is_long_enough
    assert ended.hold is None
    assert ended.isolations == ()
    assert all(check.passed for check in test.limits)
    assert [check.name for check in test.limits] == [
        "blank-off-end",
        "blank-off-rise",
        "blank-off-load",
    ]
    # Q = V dP/dt (40 CFR 1065.644).
    assert test.load_pa_m3_s is not None
    assert test.load_pa_m3_s.best == pytest.approx(60e-6 * 0.005, rel=0.1)
    joined = circuit.read(5, 101325.0)
    assert joined.pull == 1
    assert joined.cautions == (), "the air of the circuit is no sudden rise"


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("read"), st.floats(0.0, 2e5)),
            st.tuples(st.just("over"), st.floats(0.0, 2e5)),
            st.tuples(
                st.sampled_from(
                    ["valve-closed", "valve-opened", "hold-over", "blank-off", "nitrogen-in"]
                ),
                st.floats(-500.0, 0.0),
            ),
        ),
        max_size=40,
    )
)
def test_whatever_is_pressed_no_number_is_nan(steps: list[tuple[str, float]]) -> None:
    circuit = Circuit(rules=EvacuationRules(volume_m3=2e-3, rig_volume_m3=6e-5))
    snapshot = circuit.evacuation.update(Silence(0.0))
    for what, value in steps:
        if what == "read":
            snapshot = circuit.read(20, value, 0.01 * value)
        elif what == "over":
            over = Reading(circuit.time_s, value, None, "over-range")
            snapshot = circuit.evacuation.update(over)
            circuit.time_s += 30.0
        else:
            at_s = circuit.time_s + (value if what == "valve-closed" else 0.0)
            snapshot = circuit.mark(what, at_s)
        assert all(map(math.isfinite, numbers(snapshot)))
