import math
from dataclasses import replace

import numpy as np
import pytest

from sensors.sim.scenario import ScriptedAction
from sensors.sim.scenarios import SCENARIOS, scenario_named
from sensors.sim.simulation import Simulation, generate
from tests.sensors.sim.random_scenarios import random_hold, random_scenario


@pytest.mark.parametrize("name", SCENARIOS)
def test_every_scenario_gives_sound_readings(name: str) -> None:
    trace, truth = generate(name, rate_hz=1.0, duration_s=1200.0)
    assert np.all(np.diff(trace.time_s) > 0.0)
    assert trace.time_s[0] == 0.0
    assert np.all(np.isfinite(trace.pressure_pa))
    assert np.all(trace.pressure_pa >= 0.0)
    assert truth.duration_s <= 1200.0


def test_same_seed_same_readings_another_seed_others() -> None:
    first, _ = generate("glitches", 4, 2.0, 900.0)
    again, _ = generate("glitches", 4, 2.0, 900.0)
    other, _ = generate("glitches", 5, 2.0, 900.0)
    assert np.array_equal(first.time_s, again.time_s)
    assert np.array_equal(first.pressure_pa, again.pressure_pa)
    assert not np.array_equal(first.pressure_pa[:500], other.pressure_pa[:500])


def test_a_shorter_run_is_the_start_of_a_longer_one() -> None:
    short, _ = generate("wet", 1, 2.0, 600.0)
    long, _ = generate("wet", 1, 2.0, 900.0)
    assert np.array_equal(short.pressure_pa, long.pressure_pa[: short.pressure_pa.size])


def test_the_gauges_draws_leave_the_bursts_alone() -> None:
    _, slow = generate("wet", 1, 1.0, 1200.0)
    _, fast = generate("wet", 1, 10.0, 1200.0)
    a = np.array([burst.onset_s for burst in slow.bursts])
    b = np.array([burst.onset_s for burst in fast.bursts])
    assert np.allclose(a, b, atol=2.0)


def test_an_action_by_hand_equals_the_same_in_a_script() -> None:
    demo = scenario_named("demo")
    by_hand = Simulation(demo, rate_hz=2.0)
    pressures = []
    while by_hand.next_s <= 700.0:
        pressures.append(by_hand.advance().pressure_pa)
        if len(pressures) == 1000:
            by_hand.act("close-valve")
            closed_s = by_hand.circuit.time_s
    scripted = replace(demo, script=(replace(by_hand.actions[0], time_s=closed_s),))
    trace, truth = generate(scripted, rate_hz=2.0, duration_s=700.0)
    assert np.array_equal(trace.pressure_pa, np.array(pressures))
    assert truth.holds[0].closed_s == closed_s


def test_actions_at_one_time_keep_their_order() -> None:
    script = tuple(ScriptedAction(5.0, action) for action in ("close-valve", "open-valve"))
    _, truth = generate(replace(scenario_named("dry"), script=script), duration_s=10.0)
    assert [step.action for step in truth.actions] == ["close-valve", "open-valve"]


def test_a_gauge_shut_off_falls_faster_than_any_circuit_could() -> None:
    alone, _ = generate("gauge-shut-off", 1, 5.0, 60.0)
    circuit, _ = generate("dry", 1, 5.0, 60.0)
    reach_s = [float(t.time_s[np.argmax(t.pressure_pa < 200.0)]) for t in (alone, circuit)]
    assert reach_s[0] < 5.0 < 3.0 * reach_s[0] + 5.0 < reach_s[1] + 5.0
    assert np.ptp(alone.pressure_pa[alone.time_s > 30.0]) < 2.0


def test_random_holds_cover_every_finding() -> None:
    rng = np.random.default_rng(2)
    findings = set()
    for _ in range(60):
        trace, truth = generate(random_hold(rng), rate_hz=0.2)
        findings.add(truth.finding)
        assert truth.holds[0].closed_s == 0.0
        assert np.all(np.isfinite(trace.pressure_pa))
    assert {"held", "leak", "vapour", "both"} <= findings


def test_unknown_actions_and_scenarios_are_refused() -> None:
    with pytest.raises(ValueError, match="known: close-valve"):
        Simulation(scenario_named("dry")).act("shake")
    with pytest.raises(KeyError, match="known: wet"):
        scenario_named("tropical")
    with pytest.raises(ValueError, match="above zero"):
        Simulation(scenario_named("dry"), rate_hz=0.0)


@pytest.mark.parametrize("seed", range(8))
def test_random_scenarios_run_and_stay_inside_what_they_promise(seed: int) -> None:
    scenario = random_scenario(np.random.default_rng(seed), duration_s=1500.0)
    trace, truth = generate(scenario, rate_hz=min(2.0, scenario.rate_hz))
    assert 0.5 <= scenario.rate_hz <= 20.0
    assert np.all(np.isfinite(trace.pressure_pa))
    assert np.all(np.diff(trace.time_s) > 0.0)
    assert all(math.isfinite(burst.rise_pa) for burst in truth.bursts)
    assert np.median(trace.pressure_pa[trace.time_s > 1200.0]) < 1000.0
