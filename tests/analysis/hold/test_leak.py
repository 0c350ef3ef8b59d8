"""Throughput and refrigerant a year against published sums and CoolProp."""

import pytest
from CoolProp.CoolProp import PropsSI

from analysis.hold.leak import (
    AIR_KG_PER_MOL,
    LAWS,
    REFRIGERANTS,
    SECONDS_PER_YEAR,
    FlowLaw,
    Refrigerant,
    loss_g_per_yr,
    losses_g_per_yr,
    molar_flow_mol_s,
    outward_factor,
    rise_rate_pa_s,
    throughput_interval,
    throughput_pa_m3_s,
)
from analysis.reason import Interval

MICRON_PA = 0.1333224
MBAR_L_PA_M3 = 0.1
R134A = REFRIGERANTS["R-134a"]


def test_vacuum_side_leak_of_40_cfr_1065_644() -> None:
    # 40 CFR 1065.644: 2.0000 L, 25.300 to 50.600 kPa in 70 s at 293.15 K (printed);
    # the flow 2.9657e-4 mol/s is computed from them.
    rate_pa_s = (50600.0 - 25300.0) / 70.0
    flow = molar_flow_mol_s(throughput_pa_m3_s(rate_pa_s, 0.002), 20.0)
    assert flow == pytest.approx(2.9657e-4, rel=2e-5)


def test_500_micron_in_10_minutes_in_2_litres() -> None:
    through = throughput_pa_m3_s(500 * MICRON_PA / 600, 0.002)
    assert through / MBAR_L_PA_M3 == pytest.approx(2.222e-3, rel=1e-3)  # mbar L/s


@pytest.mark.parametrize(("name", "mbar_l_s"), [("R-134a", 7.570e-6), ("R-1234yf", 6.773e-6)])
def test_one_gram_a_year(name: str, mbar_l_s: float) -> None:
    # At 20 C, by molar mass and the ideal gas law.
    molar = molar_flow_mol_s(mbar_l_s * MBAR_L_PA_M3, 20.0)
    grams = molar * REFRIGERANTS[name].kg_per_mol * 1e3 * SECONDS_PER_YEAR
    assert grams == pytest.approx(1.0, rel=2e-4)


@pytest.mark.parametrize(
    ("law", "factor"), [("laminar", 48.6), ("molecular", 2.47), ("choked", 2.86)]
)
def test_air_in_to_r134a_out(law: FlowLaw, factor: float) -> None:
    # Computed from the flow laws at 20 C, 5.717 bar absolute.
    assert outward_factor(R134A, law) == pytest.approx(factor, rel=3e-3)


@pytest.mark.parametrize(
    ("law", "micron"), [("laminar", 1.4), ("molecular", 27.5), ("choked", 23.9)]
)
def test_rise_of_a_leak_at_the_type_approval_figure(law: FlowLaw, micron: float) -> None:
    # Directive 2006/40/EC: at most 40 g/yr with one evaporator (printed); in 2 L, 10 min.
    rise_pa = 600 * rise_rate_pa_s(40.0, 0.002, R134A, law)
    assert rise_pa / MICRON_PA == pytest.approx(micron, rel=0.02)


@pytest.mark.parametrize(
    ("name", "fluid"), [("R-134a", "R134a"), ("R-1234yf", "R1234yf"), ("R-744", "CO2")]
)
def test_constants_agree_with_coolprop(name: str, fluid: str) -> None:
    known = REFRIGERANTS[name]
    saturation_pa = PropsSI("P", "T", 293.15, "Q", 1, fluid)
    assert known.saturation_pa == pytest.approx(saturation_pa, rel=1e-4)
    assert known.kg_per_mol == pytest.approx(PropsSI("M", fluid), rel=1e-4)
    thick = PropsSI("V", "T", 293.15, "P", 0.999 * saturation_pa, fluid)
    thin = PropsSI("V", "T", 293.15, "P", 101325, fluid)
    assert known.viscosity_pa_s == pytest.approx(0.5 * (thick + thin), rel=3e-3)
    assert pytest.approx(PropsSI("M", "Air"), rel=1e-4) == AIR_KG_PER_MOL


@pytest.mark.parametrize("refrigerant", REFRIGERANTS.values(), ids=lambda r: r.name)
def test_a_laminar_leak_loses_most(refrigerant: Refrigerant) -> None:
    losses = {law: loss_g_per_yr(1e-6, refrigerant, law) for law in LAWS}
    assert losses["laminar"] > 5 * losses["molecular"]
    assert losses["choked"] == pytest.approx(losses["molecular"], rel=0.25)


def test_loss_and_rise_undo_each_other() -> None:
    rate = rise_rate_pa_s(12.0, 0.003, R134A, "choked")
    assert loss_g_per_yr(throughput_pa_m3_s(rate, 0.003), R134A, "choked") == pytest.approx(12.0)


def test_an_interval_goes_over_whole() -> None:
    through = throughput_interval(Interval(1.0, 2.0, 4.0), 0.5)
    assert (through.low, through.best, through.high) == (0.5, 1.0, 2.0)


def test_a_leaks_losses_span_the_laws_and_its_interval() -> None:
    # checks.md: 40 g/yr raises 2 L by 27.5 micron in 10 min if molecular, 23.9 if choked, 1.4 if
    # laminar [computed]: so 27.5 micron mean 40, 46 and some 790 g/yr.
    air = 0.002 * 27.5 * MICRON_PA / 600
    losses = losses_g_per_yr(Interval(0.5 * air, air, 2.0 * air), R134A)
    assert losses["molecular"].best == pytest.approx(40.0, rel=0.01)
    assert losses["choked"].best == pytest.approx(40.0 * 27.5 / 23.9, rel=0.01)
    assert losses["laminar"].best == pytest.approx(40.0 * 27.5 / 1.4, rel=0.02)
    for loss in losses.values():
        assert loss.high == pytest.approx(2.0 * loss.best)
        assert loss.low == pytest.approx(0.5 * loss.best)
