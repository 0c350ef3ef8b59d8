"""A gauge that got stuck during a hold, and one that never moved, are no circuit that stands."""

import numpy as np
import pytest

from analysis.hold.finding import analyse_hold
from analysis.hold.stuck import StuckGauge
from analysis.hold.watch import HoldWatch
from tests.analysis.holds_made import LIMIT_PA_S, MICRON_PA, codes, start, times


def shown(t: np.ndarray, leak_pa_s: float, *, noise: float, step: float, seed: int) -> np.ndarray:
    """What a gauge of this noise and step shows, both in micron."""
    rng = np.random.default_rng(seed)
    true = start(t) / MICRON_PA + leak_pa_s / MICRON_PA * t + noise * rng.standard_normal(t.size)
    return np.asarray(np.round(true / step) * step * MICRON_PA)


@pytest.mark.parametrize("step", [0.1, 1.0])
@pytest.mark.parametrize("frozen_s", [300.0, 600.0])
def test_a_leak_is_told_by_what_came_before_the_gauge_got_stuck(
    step: float, frozen_s: float
) -> None:
    t = times()
    p = shown(t, 2 * LIMIT_PA_S, noise=0.8, step=step, seed=0)
    p[t >= frozen_s] = p[t < frozen_s][-1]
    result = analyse_hold(t, p)
    assert result.finding == "leak"
    assert result.leak_pa_s is not None
    assert result.leak_pa_s.best == pytest.approx(2 * LIMIT_PA_S, rel=0.1)
    assert result.duration_s == pytest.approx(frozen_s, abs=5.0)
    assert "gauge-stuck" in codes(result)


def test_a_gauge_stuck_from_the_first_minute_on_tells_nothing() -> None:
    t = times()
    p = shown(t, LIMIT_PA_S, noise=0.5, step=0.1, seed=2)
    p[t >= 60.0] = p[t < 60.0][-1]
    result = analyse_hold(t, p)
    assert result.finding == "unclear"
    assert codes(result) == {"too-short", "gauge-stuck"}
    assert result.hold_longer_s is None, "while it is stuck no time helps"
    watch = HoldWatch()
    for time_s, pressure_pa in zip(t.tolist(), p.tolist(), strict=True):
        watch.update(time_s, pressure_pa, None)
    live = watch.result(float(t[-1]), is_final=True)
    assert live is not None
    assert live.reasons == result.reasons
    assert live.duration_s == result.duration_s


@pytest.mark.parametrize("pressure_pa", [0.0, 20.0])
def test_a_reading_that_never_moved_tells_nothing(pressure_pa: float) -> None:
    t = times()
    result = analyse_hold(t, np.full(t.size, pressure_pa))
    assert result.finding == "unclear"
    assert codes(result) == {"never-moved"}
    assert result.smallest_leak_seen_pa_s is None
    assert result.hold_longer_s is None


@pytest.mark.parametrize("noise", [0.02, 0.1, 0.2, 0.3])
@pytest.mark.parametrize("seed", range(4))
def test_a_trace_that_stands_within_a_rounding_step_is_not_stuck(noise: float, seed: int) -> None:
    t = times(20)
    # Near an edge of the step for half of the hold, where the noise turns it; then in its middle.
    true = 150.45 + np.interp(t, [0.0, 600.0, 660.0], [0.0, 0.0, 0.55])
    rng = np.random.default_rng(seed)
    p = np.round(true + noise * rng.standard_normal(t.size)) * MICRON_PA
    p[: t.size // 20] += np.linspace(-30, 0, t.size // 20).round() * MICRON_PA
    assert "gauge-stuck" not in codes(analyse_hold(t, p))


def test_what_chance_repeats_is_not_stuck() -> None:
    rng = np.random.default_rng(5)
    for noise in (0.3, 0.5, 1.0, 3.0):
        gauge, told = StuckGauge(), 0
        for tick, value in enumerate(np.round(noise * rng.standard_normal(20000)) + 1000):
            gauge.add(float(tick), float(value))
            told += gauge.since_s is not None
        assert told <= 2


def test_air_let_in_while_the_gauge_is_at_its_end_is_still_over_the_limits() -> None:
    t = times()
    p = shown(t, 0.0, noise=0.5, step=0.1, seed=3)
    p[t >= 800.0] = 1.0e5
    checks = {check.name: check.passed for check in analyse_hold(t, p).limits}
    assert not checks["charge"]
    assert not checks["highest"]
