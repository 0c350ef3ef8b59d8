"""A gauge for the mishaps: lag, noise, hum, wander, rounding, the top of its range."""

from math import exp, log

import numpy as np

from analysis.sample import Status
from tests.bench.plant import Floats

MICRON_PA = 0.133322
_MOST_READINGS = 30_000


def log_uniform(rng: np.random.Generator, low: float, high: float) -> float:
    """Draw evenly in the logarithm."""
    return float(exp(rng.uniform(log(low), log(high))))


def read(
    shown: Floats, step_s: float, duration_s: float, rng: np.random.Generator
) -> tuple[Floats, Floats, list[Status]]:
    """The readings of a gauge with lag, noise, hum, wander and rounding."""
    keep = exp(-step_s / log_uniform(rng, 0.1, 1.5))
    value, lagged = float(shown[0]), []
    for pressure_pa in shown.tolist():
        value = pressure_pa + (value - pressure_pa) * keep
        lagged.append(value)
    interval_s = max(log_uniform(rng, 0.05, 2.0), duration_s / _MOST_READINGS)
    time_s = np.arange(0.0, duration_s - 2 * step_s, interval_s)
    time_s += rng.uniform(0, 0.2) * interval_s * rng.random(time_s.size)
    true_pa = np.interp(time_s, np.arange(shown.size) * step_s, lagged)
    noise_pa = np.hypot(
        log_uniform(rng, 5e-4, 5e-3) * true_pa, log_uniform(rng, 0.05, 0.8) * MICRON_PA
    )
    slow = np.cumsum(rng.standard_normal(int(duration_s / 30) + 3))
    slow = (slow - np.linspace(0, slow[-1], slow.size)) / max(float(slow.std()), 1e-9)
    wander = np.interp(time_s, np.arange(slow.size) * 30.0, slow)
    seen = true_pa * (1 + rng.uniform(0, 0.006) * wander) + noise_pa * rng.standard_normal(
        time_s.size
    )
    if rng.random() < 0.25:
        seen += (
            rng.uniform(0.3, 2) * noise_pa * np.sin(2 * np.pi * time_s / log_uniform(rng, 1.5, 40))
        )
    step_pa = log_uniform(rng, 0.1, 10) * MICRON_PA
    seen = np.maximum(np.round(seen / step_pa) * step_pa, 0.0)
    top_pa = float(rng.choice([2666.0, 1e7, 1e7]))
    status: list[Status] = ["over-range" if over else "ok" for over in (seen > top_pa).tolist()]
    return time_s, np.minimum(seen, top_pa), status
