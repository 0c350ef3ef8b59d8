"""What the pump is said to take, beside circuits whose flow is known."""

import numpy as np
import pytest

from analysis.evacuation import Evacuation
from analysis.pump.flow import Hose
from analysis.pump.pumping import PumpingMeter
from analysis.pump.rig import Rig
from analysis.reason import Interval
from analysis.rules import EvacuationRules
from sensors.sim.pump import effective_speed_m3_s
from sensors.sim.scenarios import scenario_named
from sensors.sim.simulation import generate
from tests.bench.circuit import Circuit, Drive, integrate
from tests.bench.ours import Shown

MICRON_PA = 0.133322


def plant(rng: np.random.Generator, restriction_cm: float) -> Circuit:
    """A circuit of the bench's own: hoses of 3 to 9 mm, pumps of 0.7 to 3.8 L/s."""
    return Circuit(
        far_l=rng.uniform(1.2, 3.5), near_l=rng.uniform(0.15, 0.5),
        restriction_d_cm=restriction_cm, restriction_l_cm=20.0,
        hose_d_cm=rng.uniform(0.3, 0.9), hose_l_cm=rng.uniform(80, 180),
        pump_l_s=rng.uniform(0.7, 3.8), ultimate_pa=0.0, lag_s=0.3, gauge_at_far=True,
    )  # fmt: skip


def fall_s(circuit: Circuit, level_pa: float, bump_pa: float) -> float:
    """How long a bump of the far volume takes to its e-th part, by integration."""
    count, step_s = 20000, 0.05
    load, none = np.full(count, circuit.flow(level_pa)), np.zeros(count)
    start = (level_pa, level_pa, level_pa, level_pa)
    rest = integrate(circuit, Drive(step_s, load, none, np.ones(count)), start)[:, 0]
    load = load.copy()
    load[int(count / 2)] += bump_pa * circuit.far_l / step_s
    bump = integrate(circuit, Drive(step_s, load, none, np.ones(count)), start)[:, 0] - rest
    after = bump[int(np.argmax(bump)) :]
    return float(np.argmax(after < after[0] / np.e)) * step_s


@pytest.mark.parametrize("knows_rig", [False, True])
def test_speed_of_the_benchs_own_circuits(knows_rig: bool) -> None:
    # An open link between the volumes: one volume, as the method takes it.
    held, off = 0, []
    for seed in range(12):
        rng = np.random.default_rng(seed)
        circuit, level_pa = plant(rng, 2.0), rng.uniform(60, 300) * MICRON_PA
        hose = Hose(circuit.hose_d_cm * 1e-2, circuit.hose_l_cm * 1e-2)
        rig = Rig(circuit.pump_l_s * 1e-3, hose, has_core=False)
        meter = PumpingMeter(
            volume_m3=(circuit.far_l + circuit.near_l) * 1e-3, rig=rig if knows_rig else None
        )
        meter.add_burst(2.0, fall_s(circuit, level_pa, 2.0), level_pa)
        speed, true_m3_s = meter.state.speed_m3_s, circuit.flow(level_pa) / level_pa * 1e-3
        assert speed is not None
        held += speed.low < true_m3_s < speed.high
        off.append(abs(np.log(speed.best / true_m3_s)))
    assert held >= 11
    assert np.median(off) < (0.1 if knows_rig else 0.25)


def _boil_off(seed: int) -> tuple[Interval, float, Interval, float]:
    """Give the speed told and true, m3/s, and the water told and given, kg."""
    scenario = scenario_named("clean")
    trace, truth = generate(scenario, seed=seed, rate_hz=2.0, duration_s=900.0)
    evacuation = Evacuation(
        rules=EvacuationRules(
            volume_m3=scenario.volume_m3,
            water_gauge_factor=scenario.gauge.water_factor,
            pump_speed_m3_s=scenario.pump.speed_m3_s,
            hose_bore_m=scenario.hose.diameter_m,
            hose_length_m=scenario.hose.length_m,
        )
    )
    for time_s, pressure_pa in zip(trace.time_s.tolist(), trace.pressure_pa.tolist(), strict=True):
        pumping = evacuation.update(Shown(time_s, pressure_pa)).pumping
    assert pumping.speed_m3_s is not None
    assert pumping.level_pa is not None
    assert pumping.water_kg is not None
    true_m3_s = effective_speed_m3_s(scenario.pump, scenario.hose, pumping.level_pa)
    given_kg = sum(burst.mass_kg for burst in truth.bursts if burst.is_visible)
    return pumping.speed_m3_s, true_m3_s, pumping.water_kg, given_kg


def test_speed_and_water_of_simulated_boil_offs() -> None:
    """From bursts alone the speed comes out a third too large: the falls are cut short."""
    told = [_boil_off(seed) for seed in range(20)]
    off = [abs(np.log(speed.best / true)) for speed, true, _, _ in told]
    assert np.median(off) < 0.4
    assert sum(speed.low < true < speed.high for speed, true, _, _ in told) >= 13
    assert np.median([abs(np.log(water.best / kg)) for _, _, water, kg in told]) < 0.25
