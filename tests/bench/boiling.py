"""When bursts come and how big they are: a renewal process run on a falling intensity."""

from dataclasses import dataclass
from math import log

import numpy as np
from scipy.special import ndtr

from tests.bench.circuit import Floats
from tests.bench.recipes import MICRON_PA, Recipe

FLAT_RATE_PER_S = 1 / 600  # one burst per flat interval, the default


@dataclass(frozen=True)
class Boiling:
    """Intensity and size laws; ``start_s`` is when the circuit starts to burst."""

    start_s: float
    rate_per_s: float  # at the start
    law: str
    decay_s: float  # exponential: e-folding time; power: the law's own time
    power: float
    median_pa: float  # of the rises at the start, as the gauge shows them
    sigma: float
    shrink_s: float  # e-folding time of the median, inf for none
    shape: float

    def rate(self, time_s: Floats) -> Floats:
        """Intensity of all bursts, per second."""
        since_s = np.maximum(time_s - self.start_s, 0.0)
        if self.law == "exp":
            fade = np.exp(-since_s / self.decay_s)
        else:
            fade = (1 + since_s / self.decay_s) ** -self.power
        return np.where(time_s >= self.start_s, self.rate_per_s * fade, 0.0)

    def median(self, time_s: Floats) -> Floats:
        return self.median_pa * np.exp(-np.maximum(time_s - self.start_s, 0.0) / self.shrink_s)

    def visible_rate(self, time_s: Floats, noise_pa: Floats) -> Floats:
        """Intensity of the bursts that rise by at least 5 times the noise, per second."""
        share = ndtr(np.log(self.median(time_s) / (5 * noise_pa)) / self.sigma)
        return np.asarray(self.rate(time_s) * share)


def boiling(recipe: Recipe, start_s: float, noise_pa: float, rng: np.random.Generator) -> Boiling:
    """Choose the laws so that the rate of all bursts crosses the flat rate as the recipe says.

    ``noise_pa`` is what the sizes are measured against.
    """
    until_flat_s = max(recipe.flat_share * recipe.duration_s - start_s, 600.0)
    folds = log(1 / recipe.lull_s / FLAT_RATE_PER_S)
    decay_s, power = until_flat_s / folds, 0.0
    if recipe.law == "power":
        decay_s = until_flat_s * float(np.exp(rng.uniform(log(0.02), log(0.3))))
        power = folds / log(1 + until_flat_s / decay_s)
    median_pa = recipe.size_noise * noise_pa
    return Boiling(
        start_s=start_s,
        rate_per_s=1 / recipe.lull_s,
        law=recipe.law,
        decay_s=decay_s,
        power=power,
        median_pa=float(np.clip(median_pa, 2 * MICRON_PA, 150 * MICRON_PA)),
        sigma=recipe.size_sigma,
        shrink_s=until_flat_s / recipe.shrink if recipe.shrink else np.inf,
        shape=recipe.shape,
    )


def draw(law: Boiling, until_s: float, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Onsets and rises: unit-mean gamma spacings on the clock of the integrated intensity."""
    grid_s = np.linspace(law.start_s, until_s, 20001)
    rate = law.rate(grid_s)
    clock = np.concatenate(([0.0], np.cumsum((rate[1:] + rate[:-1]) / 2 * (grid_s[1] - grid_s[0]))))
    spacings = rng.gamma(law.shape, 1 / law.shape, int(3 * clock[-1] + 60))
    spacings[0] = rng.random() * spacings[0]
    ticks = np.cumsum(spacings)
    onset_s = np.interp(ticks[ticks < clock[-1]], clock, grid_s)
    rises_pa = law.median(onset_s) * np.exp(law.sigma * rng.standard_normal(onset_s.size))
    return onset_s, rises_pa


def flat_time(law: Boiling, grid_s: Floats, noise_pa: Floats) -> float | None:
    """First time after its height at which the rate of visible bursts is below the flat rate.

    Beyond the grid the laws go on and the noise stays as it was at the end.
    """
    beyond_s = grid_s[-1] + np.geomspace(1, 40 * grid_s[-1], 4000)
    times = np.concatenate((grid_s, beyond_s))
    rate = law.visible_rate(times, np.concatenate((noise_pa, np.full(4000, noise_pa[-1]))))
    height = int(np.argmax(rate))
    below = np.flatnonzero(rate[height:] < FLAT_RATE_PER_S)
    if rate[height] < FLAT_RATE_PER_S or not below.size:
        return None
    return float(times[height + below[0]])
