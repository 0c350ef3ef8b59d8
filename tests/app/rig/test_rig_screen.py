"""Pressure and blank-off test in the window's words."""

import pytest

from app.rig.rig_screen import judge_typed

TYPED = {"start_bar": 10.0, "start_c": 20.0, "end_bar": 10.0, "end_c": 20.0, "minutes": 20.0}


def test_the_dial_counts_from_the_air_outside() -> None:
    # p/T stays (ideal gas): 11.01325 bar absolute at 20 C become 11.3889 bar at 30 C
    warmer = judge_typed({**TYPED, "end_c": 30.0, "end_bar": 11.3889 - 1.01325})
    assert warmer.start.pressure_pa == pytest.approx(1_101_325.0)
    assert warmer.expected_pa == pytest.approx(1_138_890.0, rel=1e-4)
    assert warmer.finding == "no-fall-seen"
    assert judge_typed({**TYPED, "end_bar": 8.0}).finding == "fell"
    assert warmer.duration_s == 1200.0


def test_over_the_lowest_rated_component_is_said() -> None:
    codes = [reason.code for reason in judge_typed({**TYPED, "rated_bar": 9.0}).reasons]
    assert "pressure-over-rated" in codes


def test_a_coarse_dial_is_told_by_what_it_can_be_read_to() -> None:
    typed = {**TYPED, "end_bar": 9.5}
    assert judge_typed(typed).finding == "fell"
    assert judge_typed({**typed, "step_bar": 0.5}).finding == "no-fall-seen"


def test_what_was_read_half_way_tells_cooling_gas_from_a_leak() -> None:
    fell = {**TYPED, "end_bar": 9.2}
    assert judge_typed(fell).finding == "fell"
    cooling = judge_typed({**fell, "middle_bar": 9.3})
    assert cooling.middle_pa == pytest.approx(1_031_325.0)
    assert cooling.finding == "cooling"
    assert judge_typed({**fell, "middle_bar": 9.6}).finding == "fell"


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="temperature"):
        judge_typed({**TYPED, "end_c": 900.0})
