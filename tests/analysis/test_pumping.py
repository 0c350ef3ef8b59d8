import math

import numpy as np
import pytest

from analysis.flow import Hose, pumped_throughput_pa_m3_s, small_fall_time_s
from analysis.pumping import PumpingMeter

MICRON = 0.133322
HOSE = Hose(0.0062, 1.2)
PUMP_M3_S = 1.2e-3


@pytest.mark.parametrize("level_micron", [60.0, 150.0, 300.0, 900.0])
@pytest.mark.parametrize("volume_l", [1.5, 4.0])
def test_speed_through_the_hose_law(level_micron: float, volume_l: float) -> None:
    level_pa, volume_m3 = level_micron * MICRON, volume_l * 1e-3
    fall_s = small_fall_time_s(volume_m3, PUMP_M3_S, HOSE, level_pa)
    true_m3_s = pumped_throughput_pa_m3_s(PUMP_M3_S, HOSE, level_pa) / level_pa
    known = PumpingMeter(volume_m3=volume_m3, hose=HOSE, pump_speed_m3_s=PUMP_M3_S)
    guessed = PumpingMeter(volume_m3=volume_m3)
    for meter in (known, guessed):
        meter.add_burst(3.0, fall_s, level_pa)
        speed = meter.state.speed_m3_s
        assert speed is not None
        assert speed.low < true_m3_s < speed.high
    assert known.state.speed_m3_s is not None
    assert known.state.speed_m3_s.best == pytest.approx(true_m3_s, rel=0.01)


def test_one_milligram_in_two_litres() -> None:
    # checks.md: 1 mg of water vapour in 2 L at 20 C is 67.65 Pa (ideal gas, IAPWS molar mass);
    # an air-calibrated gauge shows about 1.5 times that.
    meter = PumpingMeter(volume_m3=2e-3, water_gauge_factor=1.5)
    meter.add_burst(1.5 * 67.65, 30.0, 20.0)
    water = meter.state.water_kg
    assert water is not None
    assert water.best == pytest.approx(1e-6, rel=1e-3)
    assert water.low < 1e-6 < water.high


def test_one_spoilt_fall_moves_nothing() -> None:
    meter = PumpingMeter(volume_m3=2e-3)
    for fall_s in (20.0, 21.0, 19.0, 500.0, 20.0):
        meter.add_burst(3.0, fall_s, 30.0)
    assert meter.state.fall_s == 20.0


def test_without_a_volume_only_the_fall_is_told() -> None:
    meter = PumpingMeter(volume_m3=None)
    meter.add_burst(3.0, 20.0, 30.0)
    assert meter.state.fall_s == 20.0
    assert meter.state.speed_m3_s is None
    assert meter.state.water_kg is None


def test_the_interval_tightens_and_holds_the_truth_over_many_runs() -> None:
    rng = np.random.default_rng(7)
    held = 0
    for _ in range(200):
        volume_m3 = 2e-3 * math.exp(0.08 * rng.normal())
        level_pa = rng.uniform(60, 300) * MICRON
        fall_s = small_fall_time_s(volume_m3, PUMP_M3_S, HOSE, level_pa)
        meter = PumpingMeter(volume_m3=2e-3, hose=HOSE, pump_speed_m3_s=PUMP_M3_S)
        for _ in range(12):
            meter.add_burst(3.0, fall_s * math.exp(0.3 * rng.normal()), level_pa)
        true_m3_s = pumped_throughput_pa_m3_s(PUMP_M3_S, HOSE, level_pa) / level_pa
        speed = meter.state.speed_m3_s
        assert speed is not None
        held += speed.low < true_m3_s < speed.high
    assert 160 <= held
