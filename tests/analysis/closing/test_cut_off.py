"""Closings that nobody marked: seen in made traces and in the simulated circuit's."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.closing.cut_off import CutOff, CutOffWatch
from analysis.gauge.noise import NoiseEstimator
from sensors.sim.scenario import Scenario, ScriptedAction
from sensors.sim.simulation import generate
from tests.sensors.sim.random_scenarios import random_scenario


def watched(times: np.ndarray, pressures: np.ndarray) -> list[tuple[float, CutOff | None]]:
    """Every change of the offer, and when."""
    watch, noise = CutOffWatch(), NoiseEstimator()
    changes: list[tuple[float, CutOff | None]] = []
    last: CutOff | None = None
    next_s = float(times[0])
    for time_s, pressure_pa in zip(times.tolist(), pressures.tolist(), strict=True):
        noise.update(time_s, pressure_pa)
        watch.update(time_s, pressure_pa)
        if time_s >= next_s:
            next_s += 1.0
            watch.look(noise.noise_pa)
            if watch.offer is not last:
                last = watch.offer
                changes.append((time_s, last))
    return changes


def trace(rise: np.ndarray, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Two minutes falling slowly at 20 Pa, then what rises, two readings a second."""
    times = np.arange(240 + len(rise)) * 0.5
    level = np.concatenate([20.0 + 2.0 * np.exp(-times[:240] / 60.0), 20.3 + rise])
    return times, level + np.random.default_rng(seed).normal(0.0, 0.03, len(level))


@pytest.mark.parametrize("per_s", [0.05, 0.2, 2.0])
def test_a_steady_rise_is_offered_with_its_time_zero(per_s: float) -> None:
    changes = watched(*trace(per_s * np.arange(360) * 0.5))
    assert len(changes) == 1
    seen_s, offer = changes[0]
    assert offer is not None
    assert offer.from_s == pytest.approx(120.0, abs=4.0)
    assert offer.kind == "steady"
    assert seen_s - 120.0 < 100.0


def test_a_rise_that_levels_off_is_offered_as_such() -> None:
    since = np.arange(360) * 0.5
    changes = watched(*trace(15.0 * (1.0 - np.exp(-since / 20.0))))
    assert changes[0][1] is not None
    assert changes[0][1].kind == "levelling"
    assert changes[0][1].from_s == pytest.approx(120.0, abs=4.0)


def test_the_offer_lapses_when_the_valve_is_opened_again() -> None:
    since = np.arange(720) * 0.5
    rise = np.where(since < 120.0, 0.2 * since, 24.0 * np.exp(-(since - 120.0) / 15.0))
    changes = watched(*trace(rise))
    assert [offer is None for _, offer in changes] == [False, True]
    assert 240.0 < changes[1][0] < 300.0


@pytest.mark.parametrize("fall_s", [5.0, 30.0, 150.0])
def test_bursts_are_no_closing(fall_s: float) -> None:
    rng = np.random.default_rng(3)
    times = np.arange(0.0, 1800.0, 0.5)
    level = 20.0 + rng.normal(0.0, 0.03, len(times))
    for onset_s in np.cumsum(rng.exponential(25.0, 60)):
        since = times - onset_s
        shape = (1.0 - np.exp(-np.maximum(since, 0.0))) * np.exp(-np.maximum(since, 0.0) / fall_s)
        level += rng.exponential(3.0) * np.where(since > 0, shape, 0.0)
    assert watched(times, level) == []


@pytest.mark.parametrize("name", ["wet", "nitrogen-break", "sudden-air", "glitches"])
def test_nothing_is_offered_on_a_pumped_circuit(name: str) -> None:
    made, _ = generate(name, seed=3, rate_hz=2.0, duration_s=3000.0)
    assert watched(made.time_s, made.pressure_pa) == []


def closed_in_between(seed: int) -> tuple[Scenario, float]:
    rng = np.random.default_rng(seed)
    scenario = random_scenario(rng, duration_s=1500.0)
    at_s = float(rng.uniform(900.0, 1200.0))
    script = (ScriptedAction(at_s, "close-valve"), ScriptedAction(at_s + 240.0, "open-valve"))
    return replace(scenario, script=script), at_s


def check_random(seeds: range, least_share: float) -> None:
    """Most closings are found, to within seconds, and hardly anything else is offered."""
    errors, false = [], 0
    for seed in seeds:
        scenario, at_s = closed_in_between(seed)
        made, _ = generate(scenario, seed=seed)
        fit = np.array([status == "ok" for status in made.status])
        offers = [o for _, o in watched(made.time_s[fit], made.pressure_pa[fit]) if o is not None]
        found = [o for o in offers if at_s - 60.0 < o.from_s < at_s + 240.0]
        false += len(offers) - len(found)
        errors += [abs(found[0].from_s - at_s)] if found else []
    assert len(errors) >= least_share * len(seeds)
    assert np.median(errors) < 2.5
    assert false <= 0.05 * len(seeds)


def test_random_circuits() -> None:
    check_random(range(100, 106), 0.3)


@pytest.mark.slow
def test_many_random_circuits() -> None:
    check_random(range(200, 260), 0.5)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(0.0, 40.0), st.floats(0.0, 1e6)), min_size=1, max_size=120))
def test_odd_input_does_no_harm(steps: list[tuple[float, float]]) -> None:
    watch, time_s = CutOffWatch(), 0.0
    for wait_s, pressure_pa in steps:
        time_s += wait_s
        watch.update(time_s, pressure_pa)
        watch.look(0.01)
        if watch.offer is not None:
            assert np.isfinite([watch.offer.from_s, watch.offer.rise_pa]).all()
            assert watch.offer.from_s <= time_s
