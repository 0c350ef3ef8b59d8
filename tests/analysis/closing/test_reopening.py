"""The fall after an isolation, on simulated circuits whose pump and hose are known."""

from dataclasses import replace

import numpy as np
import pytest

from analysis.closing.reopening import fit_reopening
from analysis.pump.flow import Hose as FlowHose
from analysis.pump.flow import pumped_throughput_pa_m3_s
from sensors.sim.boiloff import Outgassing
from sensors.sim.hose import Hose
from sensors.sim.pump import effective_speed_m3_s
from sensors.sim.scenario import ScriptedAction
from sensors.sim.scenarios import scenario_named
from sensors.sim.simulation import generate
from tests.bench.circuit import Circuit, Drive, integrate, ticks


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


@pytest.mark.parametrize(("noise_pa", "step_pa"), [(0.0, 0.0), (0.04, 0.0), (0.0, 0.133)])
@pytest.mark.parametrize("bursts_s", [(), (25.0,), (12.0, 70.0)])
def test_bursts_rounding_and_noise_leave_it_a_fall(
    noise_pa: float, step_pa: float, bursts_s: tuple[float, ...]
) -> None:
    """Molecular flow, 2 Pa: dx/dt = -x / 30 s, and each burst adds to x; V / S_eff is 30 s."""
    times = np.arange(0.0, 240.0, 0.5)
    level = 2.0 + 4.0 * np.exp(-times / 30.0)
    for onset_s in bursts_s:
        since_s = np.maximum(times - onset_s, 0.0)
        level += 1.2 * (times > onset_s) * np.exp(-since_s / 30.0)
    level += noise_pa * np.random.default_rng(4).standard_normal(len(times))
    if step_pa:
        level = np.round(level / step_pa) * step_pa
    found = fit_reopening(times, level, 2.0)
    assert found is not None
    assert found.volume_over_speed_s.low < 30.0 < found.volume_over_speed_s.high
    assert found.volume_over_speed_s.best == pytest.approx(30.0, rel=0.35)


def test_the_independent_circuits_v_over_s_is_told() -> None:
    """Two volumes, a hose and a pump of ``tests.bench.circuit``, which knows its own speed."""
    circuit = Circuit(1.8, 0.3, 1.2, 10.0, 0.5, 120.0, 1.2, 3.0, 0.4, gauge_at_far=False)
    grid_s = ticks(12_000, 0.1)
    opening = np.where((grid_s > 700.0) & (grid_s < 860.0), 0.0, 1.0)
    load = np.full(grid_s.size, circuit.flow(25.0))
    rows = integrate(circuit, Drive(0.1, load, 0.0 * load, opening), (2e3, 2e3, 2e3, 2e3))
    gauge_pa, near_pa = rows[1:, 2], float(rows[6990, 1])
    after = grid_s >= 860.0
    found = fit_reopening(grid_s[after][::5], gauge_pa[after][::5], float(gauge_pa[6990]))
    assert found is not None
    volume_l = circuit.far_l + circuit.near_l
    truth_s = volume_l * (near_pa - circuit.ultimate_pa) / circuit.flow(near_pa)
    assert found.volume_over_speed_s.low < truth_s < found.volume_over_speed_s.high


def test_what_tells_nothing_is_not_fitted() -> None:
    times = np.arange(0.0, 200.0, 0.5)
    flat = np.full(len(times), 20.0)
    assert fit_reopening(times, flat, 20.0) is None  # never rose
    assert fit_reopening(times, flat + 30.0, 20.0) is None  # never fell
    assert fit_reopening(times[:3], flat[:3], 20.0) is None
    bursting = 20.0 + 30.0 * np.exp(-times / 30.0) + np.where((times % 20) < 8, 8.0, 0.0)
    assert fit_reopening(times, bursting, 20.0) is None
