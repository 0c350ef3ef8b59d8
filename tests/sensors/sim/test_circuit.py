import math
from dataclasses import replace

import pytest

from sensors.sim.boiloff import BurstPlan, Outgassing
from sensors.sim.circuit import Circuit
from sensors.sim.hose import Hose
from sensors.sim.ice import ColdSpot, Ice
from sensors.sim.pump import Pump, effective_speed_m3_s
from sensors.sim.scenario import Scenario
from sensors.sim.water import GAS_CONSTANT, KELVIN, WATER_MOLAR_MASS, sublimation_pa

WIDE = Hose(0.5, 0.1)  # no restriction worth the name
PLAIN = Scenario(name="plain", about="", volume_m3=2e-3, pump=Pump(1e-3, 0.0), hose=WIDE)


def run(circuit: Circuit, seconds: float, step_s: float = 0.1) -> None:
    for _ in range(round(seconds / step_s)):
        circuit.step(step_s)


def test_pump_down_follows_the_exponential() -> None:
    # Textbook: t = V/S ln(p0/p1); 2 L at 1 L/s from 1013 to 1 mbar takes 13.84 s.
    circuit = Circuit(replace(PLAIN, start_pa=101300.0))
    time_s = 0.0
    while circuit.pressure_pa > 100.0:
        circuit.step(0.01)
        time_s += 0.01
    assert math.isclose(time_s, 13.84, abs_tol=0.03)


def test_a_leak_under_the_pump_settles_where_flows_balance() -> None:
    scenario = replace(PLAIN, hose=Hose(6e-3, 1.2), leak_pa_m3_s=0.02, pump=Pump(1.5e-3, 2.0))
    circuit = Circuit(scenario)
    run(circuit, 600.0)
    pressure_pa = circuit.pressure_pa
    speed = effective_speed_m3_s(scenario.pump, scenario.hose, pressure_pa)
    assert math.isclose(speed * (pressure_pa - 2.0), 0.02, rel_tol=1e-3)


def test_an_isolated_leak_rises_straight_by_q_over_v() -> None:
    # 40 CFR 1065.644's rate of rise: Q = V dP/dt.
    circuit = Circuit(replace(PLAIN, start_pa=10.0, leak_pa_m3_s=1e-4))
    circuit.act("close-valve")
    run(circuit, 300.0)
    half = circuit.pressure_pa
    run(circuit, 300.0)
    assert math.isclose(half - 10.0, 300.0 * 1e-4 / 2e-3, rel_tol=1e-4)
    assert math.isclose(circuit.pressure_pa - half, half - 10.0, rel_tol=1e-4)


def test_isolated_vapour_levels_off_exponentially() -> None:
    out = Outgassing(equilibrium_pa=50.0, conductance_m3_s=1e-5)
    circuit = Circuit(replace(PLAIN, start_pa=10.0, outgassing=out))
    circuit.act("close-valve")
    run(circuit, 200.0)  # V/G
    assert math.isclose(circuit.pressure_pa, 10.0 + 50.0 * (1 - math.exp(-1)), rel_tol=1e-6)
    run(circuit, 4000.0)
    assert math.isclose(circuit.pressure_pa, 60.0, rel_tol=1e-6)


def test_a_burst_in_an_isolated_circuit_keeps_its_mass() -> None:
    circuit = Circuit(replace(PLAIN, start_pa=10.0))
    circuit.act("close-valve")
    circuit.start_burst(BurstPlan(0.0, 1e-6, 0.7))
    run(circuit, 30.0)
    gained_mol = (circuit.pressure_pa - 10.0) * 2e-3 / (GAS_CONSTANT * (20.0 + KELVIN))
    assert math.isclose(gained_mol * WATER_MOLAR_MASS, 1e-6, rel_tol=1e-4)


def test_what_the_pump_takes_is_what_the_burst_gave() -> None:
    # Integral of S_eff P over the bump = gas in the burst, S_eff fixed by the wide hose.
    circuit = Circuit(replace(PLAIN, start_pa=0.0))
    given_pa = circuit.start_burst(BurstPlan(0.0, 1e-7, 0.5))
    taken = 0.0
    for _ in range(6000):
        before = circuit.burst_pa
        circuit.step(0.01)
        taken += 1e-3 * 0.01 * 0.5 * (before + circuit.burst_pa)
    assert math.isclose(taken, given_pa * 2e-3, rel_tol=2e-3)


def test_a_small_bump_falls_with_the_told_time_constant() -> None:
    scenario = replace(
        PLAIN, hose=Hose(5e-3, 1.5), pump=Pump(1.5e-3, 3.0), leak_pa_m3_s=2e-3, volume_m3=3e-3
    )
    quiet, bumped = Circuit(scenario), Circuit(scenario)
    run(quiet, 1500.0)
    run(bumped, 1500.0)
    fall_s = bumped.fall_s()
    bumped.start_burst(BurstPlan(0.0, 5e-9, 0.01))
    run(quiet, 1.0)
    run(bumped, 1.0)
    first = bumped.pressure_pa - quiet.pressure_pa
    run(quiet, 20.0)
    run(bumped, 20.0)
    later = bumped.pressure_pa - quiet.pressure_pa
    assert math.isclose(20.0 / math.log(first / later), fall_s, rel_tol=0.01)


def iced(mass_kg: float, warmth_w_per_k: float) -> Circuit:
    ice = Ice(mass_kg=mass_kg, warmth_w_per_k=warmth_w_per_k)
    return Circuit(replace(PLAIN, hose=Hose(6e-3, 1.2), ice=ice))


def cold_spot(circuit: Circuit) -> ColdSpot:
    assert circuit.cold_spot is not None
    return circuit.cold_spot


def test_published_pressures_over_ice() -> None:
    # 103.239 and 259.874 Pa by IAPWS R14-08.
    assert round(sublimation_pa(-20.0), 2) == 103.24
    assert round(sublimation_pa(-10.0), 2) == 259.87


@pytest.mark.parametrize("warmth_w_per_k", [0.01, 0.05])
def test_ice_holds_its_own_pressure_where_heat_and_pump_balance(warmth_w_per_k: float) -> None:
    circuit = iced(5e-3, warmth_w_per_k)
    run(circuit, 3000.0)
    spot = cold_spot(circuit)
    assert -30.0 < spot.temperature_c < -2.0
    assert math.isclose(circuit.smooth_pa, sublimation_pa(spot.temperature_c), rel_tol=0.1)
    assert circuit.is_frozen
    assert not circuit.is_boiling
    before_kg = spot.kg
    run(circuit, 100.0)
    # 2.834 MJ/kg to sublime near 0 C [from memory]: what leaks in is what the vapour takes away.
    heat_j = warmth_w_per_k * (20.0 - spot.temperature_c) * 100.0
    assert math.isclose((before_kg - spot.kg) * 2.834e6, heat_j, rel_tol=0.02)


def test_water_stands_at_the_triple_point_while_it_freezes_and_then_cools() -> None:
    circuit = iced(8e-3, 0.02)
    frozen: list[tuple[float, float, float]] = []
    for _ in range(20000):
        circuit.step(0.1)
        spot = cold_spot(circuit)
        frozen.append((spot.frozen_kg / spot.kg, spot.temperature_c, circuit.smooth_pa))
    freezing = [pa for share, _, pa in frozen if 0.1 < share < 0.9]
    assert len(freezing) > 100
    assert 0.8 * 611.657 < min(freezing) <= max(freezing) < 611.657  # IAPWS R14-08
    assert all(celsius == 0.0 for share, celsius, _ in frozen if 0.1 < share < 0.9)
    assert frozen[-1][1] < -5.0


def test_more_warmth_makes_warmer_ice_and_it_goes_away() -> None:
    cold, warm = iced(2e-3, 0.01), iced(2e-3, 0.05)
    run(cold, 1500.0)
    run(warm, 1500.0)
    assert cold_spot(cold).temperature_c < cold_spot(warm).temperature_c < 0.0
    while cold_spot(warm).kg > 0.0:
        warm.step(0.1)
    assert not warm.is_frozen
    run(warm, 300.0)
    assert warm.pressure_pa < 20.0


def test_ice_leaves_as_fast_as_the_pump_takes_it() -> None:
    circuit = iced(5e-3, 0.02)
    run(circuit, 2000.0)
    start_kg = cold_spot(circuit).kg
    scenario = circuit.scenario
    speed = effective_speed_m3_s(scenario.pump, scenario.hose, circuit.pressure_pa)
    run(circuit, 100.0)
    taken_mol = speed * circuit.smooth_pa * 100.0 / (GAS_CONSTANT * (20.0 + KELVIN))
    gone_kg = start_kg - cold_spot(circuit).kg
    assert math.isclose(gone_kg, taken_mol * WATER_MOLAR_MASS, rel_tol=0.02)


def test_steps_of_any_length_agree() -> None:
    scenario = replace(
        PLAIN,
        hose=Hose(6e-3, 1.2),
        outgassing=Outgassing(equilibrium_pa=200.0, decay_s=300.0, conductance_m3_s=1e-5),
    )
    fine, coarse = Circuit(scenario), Circuit(scenario)
    run(fine, 300.0, 0.02)
    run(coarse, 300.0, 0.25)
    assert math.isclose(fine.pressure_pa, coarse.pressure_pa, rel_tol=5e-3)


def test_a_gas_follows_the_temperature() -> None:
    circuit = Circuit(replace(PLAIN, start_pa=100.0, temperature_drift_c_per_h=10.0))
    circuit.act("close-valve")
    run(circuit, 3600.0, 1.0)
    assert math.isclose(circuit.temperature_c, 30.0, rel_tol=1e-6)
    assert math.isclose(circuit.pressure_pa, 100.0 * 303.15 / 293.15, rel_tol=1e-4)


def test_a_stopped_pump_lets_air_back_only_through_an_open_valve() -> None:
    shut, left_open = Circuit(replace(PLAIN, start_pa=5.0)), Circuit(replace(PLAIN, start_pa=5.0))
    shut.act("close-valve")
    for circuit in (shut, left_open):
        circuit.act("pump-off")
        run(circuit, 60.0)
    assert math.isclose(shut.pressure_pa, 5.0)
    assert math.isclose(left_open.pressure_pa, 5.0 + 60.0 * 0.02 / 2e-3, rel_tol=1e-3)


def test_nitrogen_fills_up_to_its_pressure_and_is_pumped_away() -> None:
    circuit = Circuit(replace(PLAIN, start_pa=5.0))
    circuit.act("nitrogen-in")
    run(circuit, 60.0)
    assert math.isclose(circuit.pressure_pa, 115e3, rel_tol=1e-6)
    circuit.act("open-valve")
    run(circuit, 60.0)
    assert circuit.pressure_pa < 1.0
