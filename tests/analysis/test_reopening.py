"""The fall after an isolation, on simulated circuits whose pump and hose are known."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.flow import Hose as FlowHose
from analysis.flow import pumped_throughput_pa_m3_s
from analysis.reopening import fit_reopening
from sensors.sim.boiloff import Outgassing
from sensors.sim.hose import Hose
from sensors.sim.pump import effective_speed_m3_s
from sensors.sim.scenario import ScriptedAction
from sensors.sim.scenarios import scenario_named
from sensors.sim.simulation import generate


@pytest.mark.parametrize(("diameter_m", "leak"), [(4e-3, 3e-3), (6e-3, 1e-2), (9e-3, 1e-2)])
def test_volume_over_speed_is_the_simulated_one(diameter_m: float, leak: float) -> None:
    scenario = replace(
        scenario_named("dry"),
        hose=Hose(diameter_m, 1.2),
        outgassing=Outgassing(),
        leak_pa_m3_s=leak,
        script=(ScriptedAction(1500.0, "close-valve"), ScriptedAction(1620.0, "open-valve")),
    )
    trace, _ = generate(scenario, seed=2, rate_hz=2.0, duration_s=1900.0)
    before = (trace.time_s > 1480.0) & (trace.time_s < 1500.0)
    level_pa = float(np.median(trace.pressure_pa[before]))
    after = trace.time_s >= 1620.0
    found = fit_reopening(trace.time_s[after], trace.pressure_pa[after], level_pa)
    assert found is not None
    truth_s = scenario.volume_m3 / effective_speed_m3_s(scenario.pump, scenario.hose, level_pa)
    assert found.volume_over_speed_s.best == pytest.approx(truth_s, rel=0.25)
    assert found.volume_over_speed_s.low < found.volume_over_speed_s.best
    assert found.volume_over_speed_s.best < found.volume_over_speed_s.high


def test_a_fall_by_the_handbook_s_hose_law() -> None:
    """V dP/dt = Q - S_eff P with the tube's 134.86 d4 p/l + 12.119 d3/l (ISO 3529 regimes)."""
    volume_m3, hose, pump_m3_s = 2.0e-3, FlowHose(0.0048, 1.5), 1.2e-3
    level_pa = 30.0
    gas = pumped_throughput_pa_m3_s(pump_m3_s, hose, level_pa)
    pressure_pa, step_s, times, pressures = 90.0, 0.02, [], []
    for count in range(12_000):
        if count % 25 == 0:
            times.append(count * step_s)
            pressures.append(pressure_pa)
        pumped = pumped_throughput_pa_m3_s(pump_m3_s, hose, pressure_pa)
        pressure_pa += (gas - pumped) / volume_m3 * step_s
    found = fit_reopening(np.array(times), np.array(pressures), level_pa)
    assert found is not None
    truth_s = volume_m3 * level_pa / gas
    assert found.volume_over_speed_s.low < truth_s < found.volume_over_speed_s.high
    assert 1.0 <= found.slope.best <= 2.0


def test_what_tells_nothing_is_not_fitted() -> None:
    times = np.arange(0.0, 200.0, 0.5)
    flat = np.full(len(times), 20.0)
    assert fit_reopening(times, flat, 20.0) is None  # never rose
    assert fit_reopening(times, flat + 30.0, 20.0) is None  # never fell
    assert fit_reopening(times[:3], flat[:3], 20.0) is None
    bursting = 20.0 + 30.0 * np.exp(-times / 30.0) + np.where((times % 20) < 8, 8.0, 0.0)
    assert fit_reopening(times, bursting, 20.0) is None
