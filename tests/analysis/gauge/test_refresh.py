"""Gauges that are read more often than they measure, and traces that only look like it."""

import numpy as np
import pytest

from analysis.burst.detector import BurstDetector
from analysis.gauge.refresh import Refresh
from tests.analysis.bursts_made import bursts_pa
from tests.analysis.read_by_gauge import MICRON_PA, Floats, told_after


def _dropped(time_s: Floats, pressure_pa: Floats) -> list[bool]:
    refresh = Refresh()
    return [
        refresh.is_repeat(t, p) for t, p in zip(time_s.tolist(), pressure_pa.tolist(), strict=True)
    ]


def _shown(time_s: Floats, every_s: float, step_pa: float, seed: int = 0) -> Floats:
    values = 40.0 + np.random.default_rng(seed).normal(0.0, 0.3, int(time_s[-1] / every_s) + 1)
    shown: Floats = np.round(values[(time_s / every_s).astype(int)] / step_pa) * step_pa
    return shown


@pytest.mark.parametrize("every_s", [0.5, 0.7, 2.0])
def test_each_value_is_taken_once(every_s: float) -> None:
    time_s = np.arange(0.0, 300.0, 0.1)
    dropped = np.array(_dropped(time_s, _shown(time_s, every_s, 1e-3)))
    late = time_s > 60.0
    assert (~dropped[late]).sum() == pytest.approx(240.0 / every_s, rel=0.05)


@pytest.mark.parametrize("step_pa", [0.1, 0.5])
def test_rounding_does_not_hide_it(step_pa: float) -> None:
    time_s = np.arange(0.0, 300.0, 0.1)
    dropped = np.array(_dropped(time_s, _shown(time_s, 1.0, step_pa)))
    # A value that is measured twice in a row may be taken a little late, and so once too seldom.
    assert 160 < (~dropped[time_s > 60.0]).sum() < 280


@pytest.mark.parametrize("share", [0.1, 0.2, 0.5, 1.0, 3.0])
def test_a_still_trace_under_rounding_is_no_repeat(share: float) -> None:
    """Noise of a tenth of a step up to three."""
    rng = np.random.default_rng(1)
    time_s = np.arange(0.0, 600.0, 0.2)
    trace = 40.0 - 0.01 * time_s + rng.normal(0.0, share, time_s.size)
    assert not any(_dropped(time_s, np.round(trace)))


def test_a_value_that_stays_is_told_again_and_again() -> None:
    time_s = np.arange(0.0, 120.0, 0.1)
    pressure_pa = _shown(time_s, 0.5, 1e-3)
    pressure_pa[time_s > 60.0] = pressure_pa[600]
    dropped = np.array(_dropped(time_s, pressure_pa))
    assert 60.0 < (~dropped[time_s > 60.0]).sum() <= 120.0


@pytest.mark.parametrize("every_s", [0.5, 1.0, 2.0])
def test_bursts_are_told_and_nothing_else(every_s: float) -> None:
    """Twenty readings a second of a finely rounded gauge: it is neither stuck nor boiling."""
    rng = np.random.default_rng(7)
    time_s = np.arange(0.0, 1200.0, 0.05)
    level_pa = MICRON_PA * (120.0 + 1500.0 * np.exp(-time_s / 40.0))
    noise_pa = _shown(time_s, every_s, 1e-3, seed=3) - 40.0
    onsets_s = np.arange(300.0, 1170.0, 40.0) + rng.uniform(0.0, 10.0, 22)
    boiled_pa = bursts_pa(time_s, onsets_s, 5.0, 12.0, 0.5)
    taken = np.searchsorted(time_s, np.floor(time_s / every_s + 1e-9) * every_s - 1e-9)
    quiet = np.round((level_pa[taken] + noise_pa) / 1e-3) * 1e-3
    boiling = np.round((level_pa[taken] + noise_pa + boiled_pa[taken]) / 1e-3) * 1e-3
    assert told_after(time_s, quiet, 60.0) <= 1
    assert 20 <= told_after(time_s, boiling, 290.0) <= 23


def test_a_gauge_that_shows_values_for_long_is_watched() -> None:
    time_s = np.arange(0.0, 300.0, 0.05)
    detector, seen = BurstDetector(), 0
    for at_s, pa in zip(time_s.tolist(), _shown(time_s, 1.0, 1e-3).tolist(), strict=True):
        detector.update(at_s, pa)
        seen += at_s > 100.0 and detector.is_observing
    assert seen > 0.9 * 200.0 / 0.05
