"""Water's saturation pressures against IAPWS's own tables and the packages that carry them."""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from iapws._iapws import _Sublimation_Pressure
from iapws.iapws97 import _PSat_T, _TSat_P

from analysis.water import (
    TRIPLE_POINT_PA,
    boiling_pressure_pa,
    boiling_temperature_c,
    pressure_over_ice_pa,
    pressure_over_liquid_pa,
    vapour_mass_kg,
)

MICRON_PA = 0.1333224


@pytest.mark.parametrize(
    ("kelvin", "mpa"),
    # IAPWS R7-97, table 35 (300 K from the project's list of checks, the others from memory).
    [(300.0, 0.353658941e-2), (500.0, 0.263889776e1), (600.0, 0.123443146e2)],
)
def test_liquid_meets_the_table_of_r7_97(kelvin: float, mpa: float) -> None:
    assert pressure_over_liquid_pa(kelvin - 273.15) == pytest.approx(mpa * 1e6, rel=1e-8)


def test_ice_meets_the_check_value_of_r14_08() -> None:
    # IAPWS R14-08, table 3: 230 K, 8.94735 Pa (printed digits from memory).
    assert pressure_over_ice_pa(230.0 - 273.15) == pytest.approx(8.94735, rel=1e-6)


@pytest.mark.parametrize("celsius", [-60.0, -20.0, -15.0, -10.0, -5.0, -0.5])
def test_ice_agrees_with_the_iapws_package(celsius: float) -> None:
    expected = _Sublimation_Pressure(celsius + 273.15) * 1e6
    assert pressure_over_ice_pa(celsius) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("celsius", [0.01, 10.0, 20.0, 30.0, 40.0, 60.0, 200.0])
def test_liquid_agrees_with_the_iapws_package(celsius: float) -> None:
    expected = _PSat_T(celsius + 273.15) * 1e6
    assert pressure_over_liquid_pa(celsius) == pytest.approx(expected, rel=1e-9)
    assert boiling_temperature_c(expected) == pytest.approx(_TSat_P(expected / 1e6) - 273.15)


@pytest.mark.parametrize("celsius", [1.0, 10.0, 20.0, 30.0, 60.0])
def test_liquid_agrees_with_coolprop(celsius: float) -> None:
    # CoolProp follows IAPWS R6-95; the industrial equation differs by less than 2 in 10 000.
    expected = PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
    assert boiling_pressure_pa(celsius) == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize(("micron", "celsius"), [(500, -24.48), (1000, -17.31), (2000, -9.71)])
def test_ice_inverse(micron: float, celsius: float) -> None:
    # Computed from IAPWS R14-08 with the iapws package.
    assert boiling_temperature_c(micron * MICRON_PA) == pytest.approx(celsius, abs=0.006)


def test_ice_and_liquid_meet_at_the_triple_point() -> None:
    assert pressure_over_ice_pa(0.01) == pytest.approx(TRIPLE_POINT_PA, rel=1e-12)
    assert pressure_over_liquid_pa(0.01) == pytest.approx(TRIPLE_POINT_PA, rel=1e-8)


@given(st.floats(-100.0, 370.0))
def test_the_inverse_undoes_the_pressure(celsius: float) -> None:
    assert boiling_temperature_c(boiling_pressure_pa(celsius)) == pytest.approx(celsius, abs=1e-5)


@given(st.floats(-100.0, 300.0), st.floats(0.001, 50.0))
def test_warmer_water_boils_under_more_pressure(celsius: float, more: float) -> None:
    assert boiling_pressure_pa(celsius + more) > boiling_pressure_pa(celsius)


def test_a_milligram_of_water_in_two_litres() -> None:
    # Ideal gas, 1 mg in 2 L at 20 C: 67.65 Pa = 507 micron.
    assert vapour_mass_kg(67.65, 0.002, 20.0) == pytest.approx(1e-6, rel=1e-3)


@pytest.mark.parametrize("pressure_pa", [0.0, -1.0, 3e7, math.nan])
def test_no_boiling_temperature_outside_waters_range(pressure_pa: float) -> None:
    with pytest.raises(ValueError, match="no boiling temperature"):
        boiling_temperature_c(pressure_pa)


def test_temperatures_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="no liquid"):
        pressure_over_liquid_pa(400.0)
    with pytest.raises(ValueError, match="no ice"):
        pressure_over_ice_pa(5.0)
