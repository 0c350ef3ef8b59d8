import itertools
import math

import numpy as np

from sensors.events import Reading
from sensors.sim.gauge import Gauge, GaugeModel


def readings(model: GaugeModel, pressure_pa: float, count: int = 20000) -> list[Reading]:
    gauge = Gauge(model, np.random.default_rng(5), 5.0)
    time_s, taken = 0.0, []
    for _ in range(count):
        gauge.follow(pressure_pa, 0.2)
        taken.append(gauge.read(time_s, 20.0))
        time_s += gauge.pause_s(time_s)
    return taken


def test_noise_is_what_the_model_tells() -> None:
    model = GaugeModel(noise_share=0.01, noise_floor_pa=0.3, wander_share=0.0, step_pa=1.0)
    values = np.array([r.pressure_pa for r in readings(model, 50.3)])
    # Rounding adds step^2/12 (uniform distribution) where the noise is above a third of a step.
    assert math.isclose(values.std(), model.noise_at(50.3), rel_tol=0.03)
    assert np.allclose(values, np.round(values))


def test_lag_answers_a_step_exponentially() -> None:
    gauge = Gauge(GaugeModel(lag_s=2.0), np.random.default_rng(0), 5.0)
    gauge.follow(10.0, 0.0)
    gauge.follow(110.0, 1e-9)
    gauge.follow(110.0, 2.0)
    assert math.isclose(gauge.seen_pa, 10.0 + 100.0 * (1 - math.exp(-1)), rel_tol=1e-6)


def test_glitches_come_singly_and_as_often_as_told() -> None:
    model = GaugeModel(glitches_per_h=180.0, noise_share=0.0, wander_share=0.0)
    taken = readings(model, 100.0)
    wild = [abs(r.pressure_pa - 100.0) > 20.0 for r in taken]
    expected = 180.0 * taken[-1].time_s / 3600.0
    assert abs(sum(wild) - expected) < 4.0 * math.sqrt(expected)


def test_stuck_readings_repeat() -> None:
    model = GaugeModel(stucks_per_h=30.0, stuck_s=20.0, step_pa=0.001)
    values = [r.pressure_pa for r in readings(model, 100.0)]
    repeated = sum(a == b for a, b in itertools.pairwise(values))
    assert 0.08 < repeated / len(values) < 0.25  # 30 x 20 s in 3600 s are a sixth


def test_gaps_are_noted_and_time_never_goes_back() -> None:
    model = GaugeModel(gaps_per_h=20.0, gap_s=30.0, jitter=0.9)
    gauge = Gauge(model, np.random.default_rng(1), 5.0)
    times = [0.0]
    for _ in range(20000):
        gauge.follow(10.0, 0.2)
        gauge.read(times[-1], 20.0)
        times.append(times[-1] + gauge.pause_s(times[-1]))
    pauses = np.diff(times)
    assert pauses.min() > 0.0
    assert len(gauge.gaps) > 10
    assert np.count_nonzero(pauses > 0.4) <= len(gauge.gaps)


def test_range_ends_have_their_status() -> None:
    model = GaugeModel(top_pa=1000.0, bottom_pa=5.0)
    assert {(r.status, r.pressure_pa) for r in readings(model, 2000.0, 50)} == {
        ("over-range", 1000.0)
    }
    assert {r.status for r in readings(model, 1.0, 50)} == {"under-range"}


def test_water_is_overstated_at_low_pressure_only() -> None:
    model = GaugeModel()
    assert math.isclose(model.factor_at(0.0), 1.477)  # kinetic theory, rough
    assert model.factor_at(1e5) < 1.01
