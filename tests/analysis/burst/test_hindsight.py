"""The look back at the beginning, on crowded starts of circuits whose fall is not known yet."""

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.burst.hindsight import Hindsight
from analysis.snapshot import Burst
from tests.analysis.bursts_made import bursts_pa

Floats = NDArray[np.float64]
FALL_S, NOISE_PA, CROWDED_S = 25.0, 0.05, 150.0


def crowded_start(seed: int) -> tuple[Floats, Floats, Floats]:
    """Times, readings and onsets: a burst each 5 s on the steep start, then each 50 s."""
    rng = np.random.default_rng(seed)
    lulls_s = np.concatenate([rng.uniform(4.0, 7.0, 23), rng.uniform(35.0, 65.0, 16)])
    onsets_s = 20.0 + np.cumsum(lulls_s)
    time_s = np.arange(0.0, onsets_s[-1] + 120.0, 0.5)
    pressure_pa = 30.0 + 300.0 * np.exp(-time_s / 40.0) + rng.normal(0.0, NOISE_PA, time_s.size)
    sizes_pa = NOISE_PA * rng.uniform(10.0, 60.0, onsets_s.size)
    return time_s, pressure_pa + bursts_pa(time_s, onsets_s, sizes_pa, FALL_S, 0.8), onsets_s


def _run(time_s: Floats, pressure_pa: Floats) -> tuple[list[Burst], list[Burst]]:
    """Give what both looks tell, and the first alone."""
    both = Hindsight()
    told = [
        burst
        for time, pressure in zip(time_s.tolist(), pressure_pa.tolist(), strict=True)
        for burst in both.update(time, pressure)
        if burst.state == "confirmed"
    ]
    alone = [a for a in told if not _is_late(a)]
    return told, alone


def _is_late(burst: Burst) -> bool:
    return burst.seen_s > burst.onset_s + 100.0


def test_it_finds_some_that_the_first_look_could_not_tell_and_nothing_else() -> None:
    late, wrong, early_missed = 0, 0, 0
    for seed in range(4):
        time_s, pressure_pa, onsets_s = crowded_start(seed)
        told, alone = _run(time_s, pressure_pa)
        crowded_s = onsets_s[onsets_s < CROWDED_S]
        early_missed += crowded_s.size - sum(a.onset_s < CROWDED_S for a in alone)
        for burst in told:
            late += _is_late(burst)
            wrong += bool(np.abs(onsets_s - burst.onset_s).min() > 3.0)
    assert early_missed > 15
    assert late > 0.2 * early_missed
    assert wrong <= 2  # each the first of the crowd, on the steepest, begun 3.5 s early


@pytest.mark.parametrize("seed", range(3))
def test_no_burst_is_told_twice_and_what_was_told_stays(seed: int) -> None:
    time_s, pressure_pa, _ = crowded_start(seed)
    told, _ = _run(time_s, pressure_pa)
    assert len({burst.number for burst in told}) == len(told)
    assert all(a.seen_s <= b.seen_s for a, b in pairwise(told))
    onsets_s = sorted(burst.onset_s for burst in told)
    assert min(np.diff(onsets_s)) >= 2.5
    cut = int(np.searchsorted(time_s, 500.0))
    until_then, _ = _run(time_s[:cut], pressure_pa[:cut])
    assert until_then == [burst for burst in told if burst.seen_s < 500.0]


def test_a_disturbance_then_disturbs_the_look_back_as_well() -> None:
    time_s, pressure_pa, _ = crowded_start(4)
    pressure_pa = pressure_pa + np.where(time_s > 100.0, 6.0, 0.0)
    both = Hindsight()
    late_s: list[float] = []
    for time, pressure in zip(time_s.tolist(), pressure_pa.tolist(), strict=True):
        if time == 100.5:
            both.interrupt(time)
        late_s += [b.onset_s for b in both.update(time, pressure) if _is_late(b)]
    assert late_s
    assert not any(99.0 < onset_s < 104.0 for onset_s in late_s)
