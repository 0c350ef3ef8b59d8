"""Scenarios drawn at random, every parameter widely varied, for randomised tests."""

import math

import numpy as np

from sensors.sim.boiloff import BurstLaw, Outgassing
from sensors.sim.gauge import GaugeModel
from sensors.sim.hose import Hose
from sensors.sim.pump import Pump, fall_slope_m3_s
from sensors.sim.scenario import Scenario, ScriptedAction
from sensors.sim.water import vapour_rise_pa

MICRON_PA = 0.1333224
FALL_AT_PA = 8.0  # the pressure at which the drawn fall time holds


def random_scenario(rng: np.random.Generator, *, duration_s: float = 9000.0) -> Scenario:
    """Draw one circuit under pump and boil-off.

    Sampling 0.5 to 20 Hz with jitter, rounding 0.1 to 10 micron, falls of 3 to 200 s, first
    bursts of 2 to 100 micron, both decay laws, more and less regular than Poisson, glitches,
    stuck readings, gaps, and steps by a half-shut valve.
    """
    volume_m3 = rng.uniform(1.2e-3, 5e-3)
    pump = Pump(_spread(rng, 0.7e-3, 3.8e-3), ultimate_pa=_spread(rng, 1.0, 7.0))
    hose = _hose_for(pump, volume_m3, _spread(rng, 3.0, 200.0))
    slope = fall_slope_m3_s(pump, hose, FALL_AT_PA)
    return Scenario(
        name="random",
        about="drawn at random",
        leak_pa_m3_s=float(rng.choice([0.0, _spread(rng, 1e-6, 1e-3)])),
        duration_s=duration_s,
        volume_m3=volume_m3,
        temperature_c=rng.uniform(12.0, 35.0),
        temperature_drift_c_per_h=rng.choice([0.0, rng.uniform(-3.0, 3.0)]),
        pump=pump,
        hose=hose,
        bursts=_bursts(rng, volume_m3),
        outgassing=Outgassing(
            equilibrium_pa=_spread(rng, 20.0, 400.0),
            decay_s=_spread(rng, 60.0, 2000.0),
            conductance_m3_s=slope * _spread(rng, 0.02, 0.3),
        ),
        gauge=_gauge(rng),
        rate_hz=_spread(rng, 0.5, 20.0),
        seed=int(rng.integers(1 << 31)),
        near_share=rng.uniform(0.8, 1.0),
        script=tuple(_valve_steps(rng, duration_s)),
    )


def random_hold(rng: np.random.Generator) -> Scenario:
    """Draw one standing test that starts with closing the valve: tight or not, dry or not."""
    volume_m3 = rng.uniform(1.2e-3, 5e-3)
    duration_s = _spread(rng, 600.0, 3600.0)
    conductance_m3_s = volume_m3 / (duration_s * _spread(rng, 0.05, 0.5))
    leak_pa_s = float(rng.choice([0.0, _spread(rng, 1e-3, 1.0)]))
    start_pa = _spread(rng, 4.0, 60.0)
    vapour_pa = float(rng.choice([0.0, _spread(rng, 2.0, 200.0)]))
    return Scenario(
        name="random-hold",
        about="a standing test drawn at random",
        duration_s=duration_s,
        volume_m3=volume_m3,
        temperature_c=rng.uniform(12.0, 35.0),
        temperature_drift_c_per_h=rng.choice([0.0, rng.uniform(-3.0, 3.0)]),
        start_pa=start_pa,
        outgassing=Outgassing(equilibrium_pa=vapour_pa, conductance_m3_s=conductance_m3_s),
        leak_pa_m3_s=leak_pa_s * volume_m3,
        gauge=_gauge(rng),
        rate_hz=_spread(rng, 0.5, 20.0),
        seed=int(rng.integers(1 << 31)),
        near_share=rng.uniform(0.8, 1.0),
        near_s=_spread(rng, 10.0, 90.0),
        script=(ScriptedAction(0.0, "close-valve"), ScriptedAction(15.0, "pump-off")),
    )


def _spread(rng: np.random.Generator, low: float, high: float) -> float:
    """Draw evenly on a logarithmic scale."""
    return math.exp(rng.uniform(math.log(low), math.log(high)))


def _hose_for(pump: Pump, volume_m3: float, fall_s: float) -> Hose:
    """Find the hose, 1.2 m long, with which a bump falls as fast as wanted (or as can be)."""
    low_m, high_m = 1e-3, 3e-2
    for _ in range(40):
        middle_m = math.sqrt(low_m * high_m)
        if volume_m3 / fall_slope_m3_s(pump, Hose(middle_m, 1.2), FALL_AT_PA) > fall_s:
            low_m = middle_m
        else:
            high_m = middle_m
    return Hose(math.sqrt(low_m * high_m), 1.2)


def _bursts(rng: np.random.Generator, volume_m3: float) -> BurstLaw:
    pa_per_ug = vapour_rise_pa(1e-9, volume_m3, 20.0)
    size_ug = _spread(rng, 2.0, 100.0) * MICRON_PA / pa_per_ug
    is_power = bool(rng.random() < 0.5)
    return BurstLaw(
        kind="power" if is_power else "exponential",
        rate_per_s=_spread(rng, 1 / 60, 1 / 8),
        scale_s=_spread(rng, 60.0, 600.0) if is_power else _spread(rng, 200.0, 3000.0),
        beta=rng.uniform(0.05, 0.5),
        size_ug=size_ug,
        size_decay_s=_spread(rng, 3000.0, 40e3),
        size_spread=rng.uniform(0.1, 0.7),
        release_s=_spread(rng, 0.05, 2.0),
        regularity=_spread(rng, 0.6, 4.0),
    )


def _gauge(rng: np.random.Generator) -> GaugeModel:
    return GaugeModel(
        lag_s=_spread(rng, 0.1, 2.0),
        noise_share=_spread(rng, 0.0005, 0.01),
        noise_floor_pa=_spread(rng, 0.01, 0.5),
        wander_share=_spread(rng, 0.0005, 0.01),
        wander_s=_spread(rng, 60.0, 600.0),
        step_pa=_spread(rng, 0.1, 10.0) * MICRON_PA,
        water_factor=rng.uniform(1.0, 1.7),
        top_pa=float(rng.choice([1333.0, 3333.0, 120e3])),
        glitches_per_h=float(rng.choice([0.0, _spread(rng, 1.0, 60.0)])),
        stucks_per_h=float(rng.choice([0.0, _spread(rng, 0.5, 10.0)])),
        stuck_s=_spread(rng, 1.0, 10.0),
        gaps_per_h=float(rng.choice([0.0, _spread(rng, 0.5, 6.0)])),
        gap_s=_spread(rng, 2.0, 60.0),
        jitter=rng.uniform(0.0, 0.6),
        has_temperature=bool(rng.random() < 0.5),
    )


def _valve_steps(rng: np.random.Generator, duration_s: float) -> list[ScriptedAction]:
    times_s = np.sort(rng.uniform(0.05, 0.95, int(rng.integers(0, 3))) * duration_s)
    return [ScriptedAction(float(t), "throttle", rng.uniform(0.4, 1.0)) for t in times_s]
