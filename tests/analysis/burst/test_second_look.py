import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.burst.detector import BurstDetector
from analysis.burst.rivals import fit_or_rival
from analysis.snapshot import Burst
from tests.analysis.sure_forecast import certain

Floats = NDArray[np.float64]
NOISE_PA, FALL_S = 0.1, 20.0
TIMES_S = np.arange(0.0, 900.0, 0.5)


def burst(onset_s: float, size: float, boil_s: float, lag_s: float) -> Floats:
    """Gas that comes evenly for ``boil_s`` and is pumped away, behind a lagging gauge."""
    step_s = TIMES_S[1] - TIMES_S[0]
    true = shown = 0.0
    path = []
    for time_s in TIMES_S.tolist():
        inflow = size / boil_s if onset_s <= time_s < onset_s + boil_s else 0.0
        true += (inflow - true / FALL_S) * step_s
        shown += (true - shown) * -np.expm1(-step_s / lag_s)
        path.append(shown)
    return np.array(path)


def told(extra: Floats, seed: int = 0, noise_pa: float = NOISE_PA) -> list[Burst]:
    rng = np.random.default_rng(seed)
    pressures = 60.0 - 0.004 * TIMES_S + extra + rng.normal(0.0, noise_pa, TIMES_S.size)
    detector, bursts = BurstDetector(), []
    for time_s, pressure_pa in zip(TIMES_S.tolist(), pressures.tolist(), strict=True):
        bursts += [b for b in detector.update(time_s, pressure_pa) if b.state == "confirmed"]
    return bursts


@pytest.mark.parametrize("seed", range(3))
def test_a_slow_burst_is_one_burst(seed: int) -> None:
    onsets_s = (200.0, 320.0, 440.0, 560.0, 680.0, 800.0)
    extra = np.sum([burst(onset_s, 5.0, 7.0, 2.0) for onset_s in onsets_s], axis=0)
    found = told(extra, seed)
    assert [b.onset_s for b in found] == pytest.approx(onsets_s, abs=3.0)


def test_a_burst_that_boils_for_eight_seconds_is_told_from_its_onset_and_mostly_once() -> None:
    # They peak after some 12 s, slower than the explanations know.
    onsets_s = np.arange(100.0, 880.0, 52.0)
    found: list[float] = []
    for size in (4.0, 6.0, 8.0, 10.0, 12.0):
        bursts = told(np.sum([burst(onset_s, size, 8.0, 2.75) for onset_s in onsets_s], axis=0))
        # The first few, before fall and rise are known, are told as they come.
        found += [b.onset_s for b in bursts if b.onset_s > 250.0]
    off_s = [min(abs(onset_s - true_s) for true_s in onsets_s) for onset_s in found]
    assert sum(off < 3.0 for off in off_s) >= 60  # each of five times twelve
    assert len(found) <= 66  # 81 before what one burst explains was told as one


@pytest.mark.parametrize("size", [4.0, 13.0])
def test_a_large_burst_that_boils_evenly_for_six_seconds_is_no_bend(size: float) -> None:
    # 30 and 100 micron read by a quiet gauge: a straight rise, until it ends. None was told at 100.
    onsets_s = np.arange(100.0, 880.0, 52.0)
    extra = np.sum([burst(onset_s, size, 6.0, 2.0) for onset_s in onsets_s], axis=0)
    found = [b.onset_s for b in told(extra, noise_pa=0.01) if b.onset_s > 250.0]
    near = [any(abs(onset_s - at_s) < 3.0 for at_s in found) for onset_s in onsets_s[3:]]
    assert all(near)
    assert len(found) <= 13


@pytest.mark.parametrize("seed", range(3))
def test_two_quick_bursts_close_together_stay_two(seed: int) -> None:
    onsets_s = (200.0, 320.0, 440.0, 446.0, 560.0, 566.0)
    extra = np.sum([burst(onset_s, 3.0, 0.5, 0.5) for onset_s in onsets_s], axis=0)
    found = told(extra, seed)
    assert [b.onset_s for b in found] == pytest.approx(onsets_s, abs=2.0)


@pytest.mark.parametrize("seed", range(5))
def test_a_new_balance_is_a_turn_and_a_burst_is_none(seed: int) -> None:
    times_s = np.arange(0.0, 40.0, 0.5)
    since_s, noise = np.maximum(times_s - 8.0, 0.0), np.random.default_rng(seed)
    turned = 3.0 * -np.expm1(-since_s / FALL_S) + noise.normal(0.0, NOISE_PA, times_s.size)
    fallen = np.interp(times_s, TIMES_S, burst(8.0, 3.0, 2.0, 1.0))
    fallen = fallen + noise.normal(0.0, NOISE_PA, times_s.size)
    assert fit_or_rival(certain(times_s, turned, NOISE_PA**2), 8.0, FALL_S, 0.5)[1]
    assert not fit_or_rival(certain(times_s, fallen, NOISE_PA**2), 8.0, FALL_S, 0.5)[1]
