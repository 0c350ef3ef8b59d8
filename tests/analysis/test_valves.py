"""A valve that is turned moves the level, and the level stays: that is no burst."""

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.bursts import BurstDetector

Floats = NDArray[np.float64]
LEAD_S, AFTER_S = 500.0, 200.0


def excess(times_s: Floats, onset_s: float, size_pa: float, fall_s: float, rise_s: float) -> Floats:
    since_s = np.maximum(times_s - onset_s, 0.0)
    return size_pa * (np.exp(-since_s / fall_s) - np.exp(-since_s / rise_s))


def onsets(times_s: Floats, trace: Floats) -> list[float]:
    detector = BurstDetector()
    return [
        burst.onset_s
        for time_s, pressure_pa in zip(times_s.tolist(), trace.tolist(), strict=True)
        for burst in detector.update(time_s, pressure_pa)
        if burst.state == "confirmed"
    ]


def trace(rng: np.random.Generator, kind: str) -> tuple[Floats, Floats]:
    """Bursts that tell the circuit's fall, and then at ``LEAD_S`` a valve; its noise is 0.1 Pa."""
    fall_s, lag_s = np.exp(rng.uniform(np.log(6.0), np.log(40.0))), rng.uniform(0.2, 1.2)
    times_s = np.arange(0.0, LEAD_S + AFTER_S, rng.uniform(0.2, 1.0))
    level = 60.0 + 20.0 * np.exp(-times_s / rng.uniform(200.0, 900.0))
    onset_s = 20.0
    while onset_s < LEAD_S - 2.5 * fall_s:
        level += excess(
            times_s, onset_s, np.exp(rng.uniform(np.log(1.2), np.log(6.0))), fall_s, lag_s
        )
        onset_s += rng.uniform(1.5, 3.0) * fall_s
    size_pa = np.exp(rng.uniform(np.log(1.0), np.log(20.0)))
    size_pa *= -1.0 if kind.endswith("down") else 1.0
    constant_s = lag_s if kind.startswith("gauge") else fall_s * rng.uniform(0.7, 1.4)
    level += size_pa * -np.expm1(-np.maximum(times_s - LEAD_S, 0.0) / constant_s)
    return times_s, level + rng.normal(0.0, 0.1, times_s.size)


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("kind", ["gauge up", "gauge down", "hose up", "hose down"])
def test_a_turned_valve_is_no_burst(kind: str, seed: int) -> None:
    times_s, pressures_pa = trace(np.random.default_rng([seed, len(kind)]), kind)
    found = onsets(times_s, pressures_pa)
    assert len(found) > 2
    assert not [onset_s for onset_s in found if onset_s > LEAD_S - 5.0]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("kind", ["gauge up", "hose up", "hose down"])
def test_bursts_after_a_turned_valve_are_found(kind: str, seed: int) -> None:
    rng = np.random.default_rng([seed, len(kind), 1])
    times_s, pressures_pa = trace(rng, kind)
    pressures_pa += excess(times_s, LEAD_S + 150.0, 3.0, 15.0, 0.5)
    found = [onset_s for onset_s in onsets(times_s, pressures_pa) if onset_s > LEAD_S - 5.0]
    assert found == pytest.approx([LEAD_S + 150.0], abs=2.0)


@pytest.mark.parametrize("pace_pa_s", [0.05, 0.4, 2.0])
@pytest.mark.parametrize("seed", range(4))
def test_a_closed_valve_is_no_burst(pace_pa_s: float, seed: int) -> None:
    """The level rises for minutes, evenly; bursts have told the circuit's fall before."""
    rng = np.random.default_rng([seed, 7])
    times_s = np.arange(0.0, LEAD_S + AFTER_S, rng.uniform(0.2, 1.0))
    level = 60.0 + pace_pa_s * np.maximum(times_s - LEAD_S, 0.0)
    for onset_s in np.arange(20.0, LEAD_S - 60.0, 40.0):
        level = level + excess(times_s, onset_s, 3.0, 15.0, 0.5)
    found = onsets(times_s, level + rng.normal(0.0, 0.1, times_s.size))
    assert len(found) > 8
    assert not [onset_s for onset_s in found if onset_s > LEAD_S - 5.0]
