"""Flow through hoses against first principles and textbook figures (ISO 3529's regimes)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.pump.flow import (
    Hose,
    aperture_conductance_m3_s,
    conductance_m3_s,
    effective_speed_m3_s,
    molecular_conductance_m3_s,
    pump_down_time_s,
    pumped_throughput_pa_m3_s,
    small_fall_time_s,
    viscous_conductance_m3_s,
)

MICRON_PA = 0.1333224
CENTIMETRE = Hose(0.01, 0.01)  # 1 cm by 1 cm: the textbooks' constants directly


def test_textbook_constants_for_air_at_20_c() -> None:
    # 135 d^4 p / l and 12.1 d^3 / l (L/s, cm, mbar), 11.6 L/s per cm2 as printed; from first
    # principles 134.86, 12.119 and 11.573.
    assert viscous_conductance_m3_s(CENTIMETRE, 100.0) * 1e3 == pytest.approx(134.86, rel=1e-4)
    assert molecular_conductance_m3_s(CENTIMETRE) * 1e3 == pytest.approx(12.119, rel=2e-4)
    assert aperture_conductance_m3_s(1e-4) * 1e3 == pytest.approx(11.573, rel=2e-4)


@pytest.mark.parametrize(
    ("hose", "summed_l_s", "joined_l_s"),
    # Without and with Knudsen's transition factor (from memory), at 0.667 mbar.
    [(Hose(0.0048, 1.5), 0.0408, 0.0391), (Hose(0.0095, 1.0), 0.837, 0.818)],
)
def test_two_hoses_at_500_micron(hose: Hose, summed_l_s: float, joined_l_s: float) -> None:
    pressure_pa = 66.7
    summed = viscous_conductance_m3_s(hose, pressure_pa) + molecular_conductance_m3_s(hose)
    assert summed * 1e3 == pytest.approx(summed_l_s, rel=2e-3)
    assert conductance_m3_s(hose, pressure_pa) * 1e3 == pytest.approx(joined_l_s, rel=2e-3)


def test_without_pressure_the_flow_is_molecular() -> None:
    hose = Hose(0.006, 1.2)
    assert conductance_m3_s(hose, 0.0) == pytest.approx(molecular_conductance_m3_s(hose))


def test_two_litres_from_air_to_one_millibar() -> None:
    # V / S ln(p1 / p2), 2 L at 1 L/s, 1013 to 1 mbar: 13.84 s.
    assert pump_down_time_s(0.002, 0.001, 101300.0, 100.0) == pytest.approx(13.84, abs=0.005)


@given(st.floats(1e-5, 1e-2), st.floats(1e-6, 1e-1))
def test_a_hose_only_takes_speed_away(pump: float, conductance: float) -> None:
    speed = effective_speed_m3_s(pump, conductance)
    assert 0.0 < speed < min(pump, conductance)


def test_throughput_balances_at_the_pump() -> None:
    hose, pump, pressure_pa = Hose(0.0095, 1.0), 1e-3, 40.0
    flow = pumped_throughput_pa_m3_s(pump, hose, pressure_pa)
    at_pump = flow / pump
    through = conductance_m3_s(hose, 0.5 * (pressure_pa + at_pump)) * (pressure_pa - at_pump)
    assert flow == pytest.approx(through, rel=1e-6)


@pytest.mark.parametrize("micron", [60, 100, 300])
def test_small_falls_are_quicker_than_volume_over_speed(micron: float) -> None:
    # The hose's conductance grows with pressure: 1.2 to 1.65 times quicker (own integration).
    hose, pump, volume, pressure_pa = Hose(0.0048, 1.5), 1e-3, 0.002, micron * MICRON_PA
    speed = pumped_throughput_pa_m3_s(pump, hose, pressure_pa) / pressure_pa
    ratio = volume / speed / small_fall_time_s(volume, pump, hose, pressure_pa)
    assert 1.1 < ratio < 1.7


def test_a_small_fall_decays_with_its_time_constant() -> None:
    # Integrate V dP/dt = -(flow(P) - flow(P0)) after a push of 1 % and compare.
    hose, pump, volume, base = Hose(0.006, 1.0), 1e-3, 0.002, 20.0
    load = pumped_throughput_pa_m3_s(pump, hose, base)
    tau = small_fall_time_s(volume, pump, hose, base)
    pressure, step = base * 1.01, tau / 200
    for _ in range(200):
        pressure += step * (load - pumped_throughput_pa_m3_s(pump, hose, pressure)) / volume
    assert (pressure - base) / (0.01 * base) == pytest.approx(math.exp(-1.0), rel=0.01)


def test_a_hose_without_bore_is_refused() -> None:
    with pytest.raises(ValueError, match="positive"):
        Hose(0.0, 1.0)
