"""Holds whose valve was opened before the button was pressed, and what must not pass for that."""

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.hold.finding import analyse_hold
from analysis.hold.length import LEAST_HOLDS, hold_end, opened
from analysis.hold.rules import MICRON_PA
from analysis.snapshot import HoldResult
from tests.analysis.circuit_made import Circuit

T = np.arange(900.0)
LEAK = 60.0 + 0.15 * T  # micron
HELD = 60.0 + 6.0 * (1.0 - np.exp(-T / 60.0))


def judged(micron: NDArray[np.float64], seed: int) -> HoldResult:
    noise = np.random.default_rng(seed).normal(0.0, 0.3, len(micron))
    return analyse_hold(T[: len(micron)], np.round(micron + noise) * MICRON_PA)


def codes(result: HoldResult) -> set[str]:
    return {reason.code for reason in result.reasons}


@pytest.mark.parametrize("late_s", [10.0, 15.0, 40.0, 59.0])
@pytest.mark.parametrize(("rise", "finding"), [(LEAK, "leak"), (HELD, "held")])
def test_a_mark_that_comes_after_the_valve_changes_no_finding(
    rise: NDArray[np.float64], finding: str, late_s: float
) -> None:
    """V dP/dt = -S (P - P_ultimate) with V/S = 4 s towards 40 micron, or air through a valve."""
    since_s = np.maximum(T - (900.0 - late_s), 0.0)
    to_pump = judged(40.0 + (rise - 40.0) * np.exp(-since_s / 4.0), 1)
    assert to_pump.finding == finding
    assert "opened-to-pump" in codes(to_pump)
    to_air = judged(rise + 7e5 * (1.0 - np.exp(-since_s / 5.0)), 2)
    assert to_air.finding == finding
    assert {"opened-to-air", "do-not-charge"} <= codes(to_air)
    assert not all(check.passed for check in to_air.limits)
    plain = judged(rise, 1)
    assert to_pump.rise_pa == pytest.approx(plain.rise_pa, abs=0.07 * plain.rise_pa + 0.5)


@pytest.mark.parametrize(
    ("level", "code", "over"),
    [(7e5, "opened-to-air", "hold-rushed-in"), (30.0, "opened-to-pump", "hold-opened")],
)
def test_a_hold_that_was_opened_may_end(level: float, code: str, over: str) -> None:
    since_s = np.maximum(T - 850.0, 0.0)
    result = judged(HELD + (level - HELD) * (1.0 - np.exp(-since_s / 5.0)), 4)
    reason = opened(result)
    assert reason is not None
    assert reason.code == code
    end = hold_end(result, LEAST_HOLDS["long"])
    assert end.may_end
    assert end.reason.code == over
    assert opened(judged(HELD, 4)) is None


def test_a_few_seconds_late_bend_no_leak() -> None:
    since_s = np.maximum(T - 895.0, 0.0)
    assert judged(40.0 + (LEAK - 40.0) * np.exp(-since_s / 4.0), 1).finding == "leak"


def test_what_boils_or_evens_out_is_no_opening() -> None:
    boils = 60.0 + 3000.0 * (1.0 - np.exp(-T / 25.0))
    cools = 300.0 + 500.0 * np.exp(-T / 20.0) - 0.02 * T
    burst = 60.0 + np.where(T > 400.0, 300.0 * (1.0 - np.exp(-(T - 400.0) / 3.0)), 0.0)
    for seed, rise in enumerate((boils, cools, burst)):
        assert not codes(judged(rise, seed)) & {"opened-to-pump", "opened-to-air"}


def test_wild_readings_at_the_end_are_no_opening() -> None:
    for value in (0.0, 9000.0):
        wild = HELD.copy()
        wild[-2:] = value
        result = judged(wild, 3)
        assert result.finding == "held"
        assert not codes(result) & {"opened-to-pump", "opened-to-air"}


def test_an_isolation_whose_opening_is_marked_late_rose_all_the_same() -> None:
    circuit = Circuit()
    circuit.read(100, 50 * MICRON_PA)
    circuit.mark("valve-closed")
    circuit.read(180, 50 * MICRON_PA, 0.2 * MICRON_PA)
    circuit.read(15, 45 * MICRON_PA)
    isolation = circuit.mark("valve-opened").isolations[-1]
    assert isolation.rise_pa == pytest.approx(36 * MICRON_PA, rel=0.1)
    assert isolation.rate is not None
    assert isolation.rate.best == pytest.approx(0.2 * MICRON_PA, rel=0.02)
