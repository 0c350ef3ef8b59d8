"""Breaks of the vacuum and the pulls between them, through the one door."""

import pytest

from analysis.evacuation import Evacuation
from analysis.rules import MICRON_PA
from analysis.sample import Mark
from sensors.events import Reading
from sensors.sim.simulation import generate
from tests.analysis.circuit_made import Circuit


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


def test_a_pull_that_boiled_before_pulls_down_again_until_it_bursts() -> None:
    """What the last pull's lulls showed holds of the water, not of how far this pull is down."""
    trace, truth = generate("nitrogen-break", seed=5, rate_hz=1.0, duration_s=3000.0)
    broken_s = next(a.time_s for a in truth.actions if a.action == "nitrogen-in")
    evacuation, stages, is_marked, has_burst = Evacuation(), [], False, False
    for time_s, pressure_pa in zip(trace.time_s.tolist(), trace.pressure_pa.tolist(), strict=True):
        if not is_marked and time_s >= broken_s:
            before = evacuation.update(Mark(time_s, "nitrogen-in"))
            assert before.burst_count > 20
            is_marked = True
        snapshot = evacuation.update(Reading(time_s, pressure_pa))
        has_burst = has_burst or (is_marked and snapshot.burst_count > before.burst_count)
        if is_marked and not has_burst:
            stages.append(snapshot.stage)
    assert len(stages) > 60
    assert set(stages) == {"pulling-down"}
    assert has_burst
    assert snapshot.stage in ("boiling-off", "easing", "flat")
