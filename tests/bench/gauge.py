"""From the pressure at the gauge to its readings: clock, noise, wander, rounding, and mishaps."""

from dataclasses import dataclass

import numpy as np

from tests.bench.circuit import Floats
from tests.bench.recipes import MICRON_PA, Recipe

Spans = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Readings:
    time_s: Floats
    pressure_pa: Floats
    gaps: Spans
    stuck: Spans
    glitch_s: tuple[float, ...]


def clock(recipe: Recipe, rng: np.random.Generator) -> Floats:
    """Reading times from 0: jittered, some lost, never going back."""
    time_s = np.arange(0.0, recipe.duration_s, recipe.interval_s)
    time_s = time_s + recipe.interval_s * recipe.jitter * rng.standard_normal(time_s.size)
    time_s = np.maximum.accumulate(time_s[rng.random(time_s.size) >= recipe.drop])
    return np.asarray(np.round(time_s - time_s[0], 3))


def slow_noise(time_s: Floats, rng: np.random.Generator) -> Floats:
    """About 1/f, of unit standard deviation: four wanderers, 40 s to 43 min."""
    grid_s = np.arange(0.0, time_s[-1] + 10, 5.0)
    total = np.zeros(grid_s.size)
    for memory_s in (40.0, 160.0, 640.0, 2560.0):
        keep = float(np.exp(-5.0 / memory_s))
        shocks = (np.sqrt(1 - keep**2) * rng.standard_normal(grid_s.size)).tolist()
        level, path = float(rng.standard_normal()), []
        for shock in shocks:
            level = keep * level + shock
            path.append(level)
        total += np.array(path)
    return np.asarray(np.interp(time_s, grid_s, total / 2))


def _spans(
    rng: np.random.Generator, count: int, until_s: float, low_s: float, high_s: float
) -> Spans:
    """Random spans that do not touch, log-uniform in length."""
    spans: list[tuple[float, float]] = []
    for from_s in np.sort(rng.uniform(0.05 * until_s, 0.97 * until_s, count)).tolist():
        length_s = float(np.exp(rng.uniform(np.log(low_s), np.log(high_s))))
        if not spans or from_s > spans[-1][1] + 30:
            spans.append((from_s, from_s + length_s))
    return tuple(spans)


def _count(rng: np.random.Generator, per_h: float, duration_s: float) -> int:
    return max(1, int(rng.poisson(per_h * duration_s / 3600))) if per_h else 0


def read(recipe: Recipe, grid_s: Floats, gauge_pa: Floats, rng: np.random.Generator) -> Readings:
    """The readings of a gauge that stands at ``gauge_pa`` on ``grid_s``."""
    time_s = clock(recipe, rng)
    time_s = time_s[time_s <= grid_s[-1]]
    gaps = _spans(
        rng, _count(rng, recipe.gaps_per_h, recipe.duration_s), recipe.duration_s, 5, 1200
    )
    for from_s, until_s in gaps:
        time_s = time_s[(time_s <= from_s) | (time_s >= until_s)]
    true_pa = np.interp(time_s, grid_s, gauge_pa)
    floor_pa = recipe.noise_floor_micron * MICRON_PA
    white_pa = np.hypot(recipe.noise_share * true_pa, floor_pa)
    noise_pa = recipe.noise_pa(true_pa)
    shown = true_pa + white_pa * rng.standard_normal(time_s.size)
    shown += recipe.wander * noise_pa * slow_noise(time_s, rng)
    if recipe.hum:
        period_s = float(np.exp(rng.uniform(0, np.log(30))))
        phase = 2 * np.pi * time_s / period_s + 0.3 * slow_noise(time_s, rng)
        shown += recipe.hum * noise_pa * np.sin(phase)
    hit = rng.choice(time_s.size, _count(rng, recipe.glitches_per_h, recipe.duration_s))
    size_micron = np.exp(rng.uniform(np.log(10), np.log(10000), hit.size))
    shown[hit] += rng.choice([-1.0, 1.0], hit.size) * size_micron * MICRON_PA
    step_pa = recipe.step_micron * MICRON_PA
    shown = np.maximum(np.round(shown / step_pa) * step_pa, 0.0)
    stuck = _spans(
        rng, _count(rng, recipe.stuck_per_h, recipe.duration_s), recipe.duration_s, 5, 60
    )
    for from_s, until_s in stuck:
        inside = np.flatnonzero((time_s >= from_s) & (time_s <= until_s))
        if inside.size:
            shown[inside] = shown[inside[0]]
    return Readings(time_s, shown, gaps, stuck, tuple(np.sort(time_s[hit]).tolist()))
