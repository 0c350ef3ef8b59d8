import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.events import Connected, Lost, Reading, Rejected, SensorEvent
from sensors.quality import Quality, QualityReport, noise_of, step_of
from sensors.sim.simulation import generate
from sensors.units import PA_PER_UNIT

MICRON = PA_PER_UNIT["micron"]


def report_of(events: list[SensorEvent]) -> QualityReport:
    quality = Quality()
    for event in events:
        quality.take(event)
    return quality.report


def readings(values: "np.ndarray | list[float]", rate_hz: float = 10.0) -> list[SensorEvent]:
    return [Reading(n / rate_hz, float(value)) for n, value in enumerate(values)]


@pytest.mark.parametrize("step", [0.1, 1.0, 5.0, MICRON, 10 * MICRON])
@pytest.mark.parametrize("noise_in_steps", [0.4, 1.0, 8.0])
def test_the_step_of_rounded_noise_is_found(step: float, noise_in_steps: float) -> None:
    rng = np.random.default_rng(5)
    trace = 300 * step + np.arange(128) * 0.2 * step + rng.normal(0, noise_in_steps * step, 128)
    found = step_of((np.round(trace / step) * step).tolist())
    assert found == pytest.approx(step, rel=1e-6)


@given(st.integers(0, 500))
def test_an_unrounded_trace_has_no_step(seed: int) -> None:
    values = np.random.default_rng(seed).normal(66, 1, 128).tolist()
    assert step_of(values) is None


@pytest.mark.parametrize("slope", [0.0, -3.0])
def test_noise_is_that_put_in_whatever_the_slope(slope: float) -> None:
    rng = np.random.default_rng(7)
    estimates = [
        noise_of((500 + slope * np.arange(128) + rng.normal(0, 0.7, 128)).tolist(), None)
        for _ in range(50)
    ]
    assert np.mean([e for e in estimates if e is not None]) == pytest.approx(0.7, rel=0.05)


def test_noise_under_the_step_is_the_rounding() -> None:
    values = [66.0] * 30 + [67.0]
    assert noise_of(values, 1.0) == pytest.approx(1 / math.sqrt(12))
    assert noise_of(values[:10], 1.0) is None


@pytest.mark.parametrize("rate_hz", [0.1, 1.0, 20.0, 50.0])
def test_the_rate(rate_hz: float) -> None:
    assert report_of(readings([1.0, 2.0] * 20, rate_hz)).rate_hz == pytest.approx(rate_hz)


def test_the_rate_of_parcels() -> None:
    events: list[SensorEvent] = [Reading(float(n // 10), n % 3) for n in range(100)]
    assert report_of(events).rate_hz == pytest.approx(10, rel=0.15)


def noisy(seconds: float, sigma: float, step: float = 1.0) -> "np.ndarray":
    rng = np.random.default_rng(11)
    return np.round((500 + rng.normal(0, sigma, int(10 * seconds))) / step) * step


def test_a_noisy_value_that_freezes_is_stuck() -> None:
    values = noisy(60, 2.0)
    assert not report_of(readings(values)).is_stuck
    frozen = report_of(readings(np.concatenate([values, np.full(400, values[-1])])))
    assert frozen.is_stuck
    assert frozen.unchanged_s == pytest.approx(40, abs=0.2)
    assert not report_of(readings(np.concatenate([values, np.full(250, values[-1])]))).is_stuck


def test_a_quiet_trace_on_a_coarse_step_is_not_stuck() -> None:
    times = np.arange(0, 3600, 0.1)
    falling = np.round((50 + 2000 * np.exp(-times / 200)) / 10) * 10
    report = report_of(readings(falling))
    assert not report.is_stuck
    assert report.unchanged_s > 1000
    # Toggling between two steps while it crosses, then resting between them.
    rng = np.random.default_rng(3)
    drifting = np.round(500.5 - 0.05 * np.arange(600) / 10 + rng.normal(0, 0.1, 600))
    assert not report_of(readings(np.concatenate([drifting, np.full(6000, 497.0)]))).is_stuck


def test_loss_and_range_ends_begin_anew() -> None:
    events = readings(noisy(60, 2.0))
    end_s = events[-1].time_s
    for between in (Connected(end_s), Lost(end_s, "x"), Reading(end_s, 1e5, None, "over-range")):
        same: list[SensorEvent] = [Reading(end_s + n / 10, 500.0) for n in range(1000)]
        assert not report_of([*events, between, *same]).is_stuck


def test_bad_frames_are_counted() -> None:
    report = report_of([Reading(0, 1.0), Rejected(1, b"x", "no"), Reading(2, 1.0)])
    assert (report.readings, report.rejected) == (2, 1)
    assert report.rejected_share == pytest.approx(1 / 3)
    assert report_of([]).rejected_share == 0


@pytest.mark.parametrize("scenario", ["wet", "clean", "ice", "leak", "glitches"])
@pytest.mark.parametrize("step", [None, MICRON, 5 * MICRON])
def test_no_simulated_evacuation_is_called_stuck(scenario: str, step: float | None) -> None:
    trace, _ = generate(scenario, seed=2, rate_hz=2.0, duration_s=1800)
    values = trace.pressure_pa if step is None else np.round(trace.pressure_pa / step) * step
    quality = Quality()
    for n, (time_s, value) in enumerate(zip(trace.time_s, values, strict=True)):
        quality.take(Reading(float(time_s), float(value)))
        if n % 20 == 0:
            assert not quality.report.is_stuck, time_s


events_strategy = st.lists(
    st.one_of(
        st.builds(Reading, st.floats(0, 1e5), st.floats(0, 1e6)),
        st.builds(Rejected, st.floats(0, 1e5), st.just(b"x"), st.just("no")),
        st.builds(Connected, st.floats(0, 1e5)),
        st.builds(Lost, st.floats(0, 1e5), st.just("why")),
    ),
    max_size=80,
)


@given(events_strategy)
def test_numbers_are_finite_or_none(events: list[SensorEvent]) -> None:
    report = report_of(sorted(events, key=lambda event: event.time_s))
    for value in (report.rate_hz, report.step_pa, report.noise_pa, report.unchanged_s):
        assert value is None or (math.isfinite(value) and value >= 0)
