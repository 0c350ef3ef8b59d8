import math

import pytest
from CoolProp.CoolProp import PropsSI
from iapws._iapws import _Sublimation_Pressure

from sensors.sim.water import TRIPLE_PA, boiling_pa, sublimation_pa, vapour_rise_pa


@pytest.mark.parametrize("celsius", [-40.0, -20.0, -15.0, -10.0, -5.0, -0.5])
def test_ice_agrees_with_the_iapws_package(celsius: float) -> None:
    # IAPWS R14-08, as the package iapws computes it (MPa).
    expected_pa = _Sublimation_Pressure(celsius + 273.15) * 1e6
    assert math.isclose(sublimation_pa(celsius), expected_pa, rel_tol=1e-6)


@pytest.mark.parametrize("celsius", [0.5, 10.0, 20.0, 30.0, 40.0, 60.0])
def test_liquid_agrees_with_coolprop(celsius: float) -> None:
    # CoolProp solves IAPWS R6-95; the auxiliary equation used here stays within 0.01 %.
    expected_pa = PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
    assert math.isclose(boiling_pa(celsius), expected_pa, rel_tol=1e-4)


def test_values_printed_by_the_standards() -> None:
    # R14-08's check value at 230 K, and the triple point (both from memory of the print).
    assert math.isclose(sublimation_pa(230.0 - 273.15), 8.94735, rel_tol=1e-5)
    assert math.isclose(sublimation_pa(0.01), TRIPLE_PA, rel_tol=1e-7)
    assert math.isclose(boiling_pa(0.01), TRIPLE_PA, rel_tol=1e-4)


def test_a_milligram_of_vapour_in_two_litres() -> None:
    # Ideal gas law with CODATA's gas constant: 67.65 Pa, 507 micron at 20 C.
    assert math.isclose(vapour_rise_pa(1e-6, 2e-3, 20.0), 67.65, abs_tol=0.01)
    assert math.isclose(vapour_rise_pa(1e-6, 2e-3, 20.0) / 0.1333224, 507.0, abs_tol=0.5)
