import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.burst.onsets import Onsets
from analysis.burst.pumpdown_filter import Drift
from analysis.gauge.thinning import Bin

Floats = NDArray[np.float64]
NOISE_PA, STEP_S, AT = 0.1, 0.5, 200  # the event's sample
TIMES_S = np.arange(260) * STEP_S
SINCE_S = np.maximum(TIMES_S - TIMES_S[AT], 0.0)


def trace(extra: Floats, seed: int = 0) -> Floats:
    rng = np.random.default_rng(seed)
    base = 60.0 - 0.01 * TIMES_S
    return np.asarray(base + extra + rng.normal(0.0, NOISE_PA, TIMES_S.size))


def explain(pressures_pa: Floats, fall_s: float = 20.0, falls: int = 9) -> Onsets:
    onsets = Onsets()
    onsets.learn_fall(fall_s, 0.1, falls)
    drift = Drift(STEP_S, NOISE_PA**2, 1e-4 * NOISE_PA**2, 1e-4 * NOISE_PA**2)
    for time_s, pressure_pa in zip(TIMES_S.tolist(), pressures_pa.tolist(), strict=True):
        onsets.update(Bin(time_s, pressure_pa, 1), NOISE_PA, drift)
    return onsets


def kinds(onsets: Onsets) -> list[str]:
    return [e.kind for e in onsets.best.events if abs(e.time_s - TIMES_S[AT]) < 3.0]


@pytest.mark.parametrize("seed", range(5))
def test_a_burst_is_a_burst(seed: int) -> None:
    burst = np.where(TIMES_S >= TIMES_S[AT], 1.0 * np.exp(-SINCE_S / 20.0), 0.0)
    onsets = explain(trace(burst, seed))
    assert kinds(onsets) == ["burst"]
    event = next(e for e in onsets.best.events if e.kind == "burst")
    assert onsets.support(event, 1.0) > 0.9


@pytest.mark.parametrize("size_pa", [-3.0, 3.0])
def test_a_step_that_never_falls_is_a_step(size_pa: float) -> None:
    step = size_pa * (1.0 - np.exp(-SINCE_S / 0.3))
    assert kinds(explain(trace(step))) == ["step"]


@pytest.mark.parametrize("size_pa", [-5.0, 5.0, 500.0])
def test_a_single_reading_is_a_glitch(size_pa: float) -> None:
    glitch = np.zeros(TIMES_S.size)
    glitch[AT] = size_pa
    assert "burst" not in kinds(explain(trace(glitch)))


def test_a_closed_valve_is_a_bend() -> None:
    found = kinds(explain(trace(2.0 * SINCE_S)))
    assert found in (["bend"], [])  # ... or the base line has long taken the slope


@pytest.mark.parametrize("sizes_pa", [(3.0, -7.0), (0.5, -14.0), (1.0, 13.0), (5.0, 5.0)])
def test_two_wild_samples_in_a_row_are_no_burst(sizes_pa: tuple[float, float]) -> None:
    wild = np.zeros(TIMES_S.size)
    wild[AT : AT + 2] = sizes_pa
    assert "burst" not in kinds(explain(trace(wild)))


@pytest.mark.parametrize("seed", range(5))
def test_noise_alone_holds_no_event(seed: int) -> None:
    onsets = explain(trace(np.zeros(TIMES_S.size), seed))
    assert not [e for e in onsets.best.events if e.kind == "burst"]


def test_the_number_of_explanations_stays_bounded() -> None:
    rng = np.random.default_rng(1)
    wild = trace(rng.choice([0.0, 5.0, -3.0, 40.0], TIMES_S.size))
    assert len(explain(wild).explanations) <= 16  # 12, and two more steps and bends


def test_settling_drops_what_contradicts() -> None:
    burst = np.where(TIMES_S >= TIMES_S[AT], 1.0 * np.exp(-SINCE_S / 20.0), 0.0)
    onsets = explain(trace(burst))
    event = next(e for e in onsets.best.events if e.kind == "burst")
    onsets.settle(event, 1.0)
    assert onsets.explanations
    assert not any(one.has(event, 1.0) for one in onsets.explanations)


@pytest.mark.parametrize("seed", range(3))
def test_one_misread_fall_hides_no_later_burst(seed: int) -> None:
    burst = np.where(TIMES_S >= TIMES_S[AT], 1.0 * np.exp(-SINCE_S / 20.0), 0.0)
    assert kinds(explain(trace(burst, seed), fall_s=2.5, falls=1)) == ["burst"]
