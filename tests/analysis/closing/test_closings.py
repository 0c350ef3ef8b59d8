"""The rig alone, and whatever else is pressed, through the one door."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.rules import EvacuationRules
from analysis.sample import Silence
from sensors.events import Reading
from tests.analysis.circuit_made import Circuit
from tests.analysis.test_evacuation import numbers


def test_the_rig_alone_is_tested_and_kept() -> None:
    rules = EvacuationRules(volume_m3=2e-3, rig_volume_m3=60e-6)
    circuit = Circuit(rules=rules)
    circuit.read(60, 5.0)
    began = circuit.mark("blank-off")
    assert began.stage_reason.code == "blank-off"
    running = circuit.read(100, 5.0, 0.005)
    assert running.blank_off is not None
    assert running.blank_off.until_s is None
    assert not running.blank_off.is_long_enough
    circuit.read(220, 5.5, 0.005)
    ended = circuit.mark("valve-opened")
    test = ended.blank_off
    assert test is not None
    assert test.until_s == 380.0
    assert test.is_long_enough
    assert ended.hold is None
    assert ended.isolations == ()
    assert all(check.passed for check in test.limits)
    assert [check.name for check in test.limits] == [
        "blank-off-end",
        "blank-off-rise",
        "blank-off-load",
    ]
    # Q = V dP/dt (40 CFR 1065.644).
    assert test.load_pa_m3_s is not None
    assert test.load_pa_m3_s.best == pytest.approx(60e-6 * 0.005, rel=0.1)
    joined = circuit.read(5, 101325.0)
    assert joined.pull == 1
    assert joined.cautions == (), "the air of the circuit is no sudden rise"


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("read"), st.floats(0.0, 2e5)),
            st.tuples(st.just("over"), st.floats(0.0, 2e5)),
            st.tuples(
                st.sampled_from(
                    ["valve-closed", "valve-opened", "hold-over", "blank-off", "nitrogen-in"]
                ),
                st.floats(-500.0, 0.0),
            ),
        ),
        max_size=40,
    )
)
def test_whatever_is_pressed_no_number_is_nan(steps: list[tuple[str, float]]) -> None:
    circuit = Circuit(rules=EvacuationRules(volume_m3=2e-3, rig_volume_m3=6e-5))
    snapshot = circuit.evacuation.update(Silence(0.0))
    for what, value in steps:
        if what == "read":
            snapshot = circuit.read(20, value, 0.01 * value)
        elif what == "over":
            over = Reading(circuit.time_s, value, None, "over-range")
            snapshot = circuit.evacuation.update(over)
            circuit.time_s += 30.0
        else:
            at_s = circuit.time_s + (value if what == "valve-closed" else 0.0)
            snapshot = circuit.mark(what, at_s)
        assert all(map(math.isfinite, numbers(snapshot)))
