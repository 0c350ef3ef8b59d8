"""What nobody watched for long is no drying, and what is told comes back on the caller's clock."""

from dataclasses import dataclass

import numpy as np
import pytest

from analysis.flat.drying_clock import COUNTED_S, DryingForecast

NIGHT_S = 15.0 * 3600.0


@dataclass
class Seen:
    """A detector that sees bursts of 1 Pa."""

    smallest_burst_pa: float | None = 1.0
    apart_s: float = 3.0


def onsets_s(until_s: float, seed: int = 0) -> list[float]:
    """Give bursts whose rate halves each twenty minutes: one in half a minute at first."""
    rng, time_s, out = np.random.default_rng(seed), 60.0, []
    while time_s < until_s:
        out.append(time_s)
        time_s += 30.0 * 2.0 ** (time_s / 1200.0) * rng.gamma(4.0, 0.25)
    return out


def pumped(forecast: DryingForecast, from_s: float, until_s: float, bursts: list[float]) -> None:
    due = sorted(onset_s for onset_s in bursts if from_s <= onset_s < until_s)
    for second in range(int(from_s), int(until_s)):
        forecast.watch(float(second), Seen(), True, is_drawing=True)
        while due and due[0] <= second - 10.0:
            forecast.add_burst(due.pop(0), 3.0, 1.0)
        forecast.estimate(float(second))


def rested(forecast: DryingForecast, from_s: float, until_s: float) -> None:
    for second in range(int(from_s), int(until_s), 10):
        forecast.watch(float(second), Seen(None), False, is_drawing=False)
        forecast.estimate(float(second))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_night_without_readings_dries_nothing(seed: int) -> None:
    bursts, dawn_s = onsets_s(6000.0, seed), 2400.0 + NIGHT_S
    night, day = DryingForecast(), DryingForecast()
    pumped(day, 0, 3600, bursts)
    pumped(night, 0, 2400, bursts)
    rested(night, 2400, dawn_s)
    at_dawn = night.estimate(dawn_s)
    shifted = [onset_s + NIGHT_S for onset_s in bursts if onset_s > 2400.0]
    pumped(night, dawn_s, dawn_s + 1200, shifted)
    told, through = night.estimate(dawn_s + 1200), day.estimate(3600.0)
    assert told.flat_at_s is not None
    assert through.flat_at_s is not None
    # Ten minutes of the night count, the rest does not; before, flat was long past.
    left_s, left_by_day_s = told.flat_at_s - dawn_s - 1200.0, through.flat_at_s - 3600.0
    assert 0.5 * left_by_day_s < left_s < 2.0 * left_by_day_s
    assert at_dawn.flat_probability is None or at_dawn.flat_probability < 0.5
    assert not night.is_flat(dawn_s + 1200.0)


def test_the_curve_steps_over_the_night() -> None:
    bursts, dawn_s = onsets_s(6000.0), 2400.0 + NIGHT_S
    forecast = DryingForecast()
    pumped(forecast, 0, 2400, bursts)
    rested(forecast, 2400, dawn_s)
    pumped(forecast, dawn_s, dawn_s + 1200, [onset + NIGHT_S for onset in bursts if onset > 2400.0])
    times_s = np.array([point.time_s for point in forecast.estimate(dawn_s + 1200.0).curve])
    assert np.all(np.diff(times_s) > 0.0)
    assert not np.any((times_s > 2401.0 + COUNTED_S) & (times_s < dawn_s))


@pytest.mark.parametrize("pause_s", [0.0, 60.0, 500.0])
def test_short_pauses_change_nothing(pause_s: float) -> None:
    bursts = [onset_s for onset_s in onsets_s(3600.0) if not 1500.0 <= onset_s < 1500.0 + pause_s]
    forecast = DryingForecast()
    pumped(forecast, 0, 1500, bursts)
    rested(forecast, 1500, 1500 + pause_s)
    pumped(forecast, 1500 + pause_s, 3600, bursts)
    estimate = forecast.estimate(3600.0)
    assert estimate is forecast.estimate(3600.0)
    assert estimate is forecast._forecast.estimate(3600.0)
