import math

import pytest

from sensors.sim.hose import Hose, transition_factor
from sensors.sim.pump import Pump, effective_speed_m3_s, fall_slope_m3_s


def test_long_tube_terms_are_those_of_the_textbooks() -> None:
    # Textbooks of vacuum technology print, for air at 20 C with cm and mbar, 135 d^4 p / l and
    # 12.1 d^3 / l in L/s.
    tube = Hose(0.01, 0.01)
    assert math.isclose(tube.viscous_m3_s_per_pa * 100 * 1000, 135.0, rel_tol=2e-3)
    assert math.isclose(tube.molecular_m3_s() * 1000, 12.1, rel_tol=2e-3)


@pytest.mark.parametrize(
    ("diameter_cm", "length_cm", "litres_per_s"), [(0.48, 150, 0.0391), (0.95, 100, 0.818)]
)
def test_service_hoses(diameter_cm: float, length_cm: float, litres_per_s: float) -> None:
    # 134.86 d^4 p / l + 12.119 d^3 / l times (1 + 192 d p)/(1 + 237 d p) at 0.667 mbar, computed
    # by hand from first principles; Knudsen's factor is from memory.
    hose = Hose(diameter_cm / 100, length_cm / 100)
    assert math.isclose(hose.conductance_m3_s(66.7) * 1000, litres_per_s, rel_tol=2e-3)


def test_knudsens_factor_runs_from_one_to_its_ratio() -> None:
    assert transition_factor(0.0) == 1.0
    assert math.isclose(transition_factor(1e6), 192 / 237, rel_tol=1e-6)


def test_effective_speed_lets_the_same_gas_through_hose_and_pump() -> None:
    pump, hose = Pump(1.5e-3), Hose(6e-3, 1.2)
    for pressure_pa in (1.0, 30.0, 1000.0, 1e5):
        speed = effective_speed_m3_s(pump, hose, pressure_pa)
        inlet_pa = pressure_pa * speed / pump.speed_m3_s
        through = hose.conductance_m3_s((pressure_pa + inlet_pa) / 2) * (pressure_pa - inlet_pa)
        assert math.isclose(through, pump.speed_m3_s * inlet_pa, rel_tol=1e-9)
        assert 0 < speed < pump.speed_m3_s


def test_a_bump_falls_faster_than_volume_over_speed() -> None:
    # The viscous term grows with pressure, so d(S_eff P)/dP is above S_eff (product rule).
    pump, hose = Pump(1.5e-3, ultimate_pa=0.0), Hose(4.8e-3, 1.5)
    for pressure_pa in (8.0, 40.0):
        slope = fall_slope_m3_s(pump, hose, pressure_pa)
        assert 1.1 < slope / effective_speed_m3_s(pump, hose, pressure_pa) < 2.0


@pytest.mark.parametrize("size", [(0.0, 1.0), (1.0, 0.0), (-1.0, 1.0)])
def test_a_hose_without_size_is_refused(size: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        Hose(*size)
