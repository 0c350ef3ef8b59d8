"""Invented boil-offs at the level of bursts (no pressure trace), with the true time of flat known.

Every figure drawn here is invented; the ranges cover common practice (20 min to 30 h) and more.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

Array = NDArray[np.float64]
FLAT_INTERVAL_S = 600.0
OFTEN_S, SELDOM_S = (4.0, 20.0), (15.0, 200.0)
"""Ranges of the first lull: circuits with hundreds of bursts, and with a handful to dozens."""


@dataclass(frozen=True, slots=True)
class BoilOff:
    """One invented run: what could be seen of it, and the truth."""

    law: str
    spacing: float  # shape of the gamma lulls in operational time
    flat_s: float  # true first time the rate of visible bursts falls below one per flat interval
    onset_s: Array  # of the visible bursts
    rise_pa: Array
    told_s: Array  # when the detector confirms each
    seen: NDArray[np.bool_]  # False where the detector misses it
    false_onset_s: Array
    dead: tuple[tuple[float, float], ...]
    grid_s: Array
    smallest_pa: Array  # on the grid


def draw(
    rng: np.random.Generator,
    *,
    law: str | None = None,
    spoilt: float = 0.02,
    first_lull_s: tuple[float, float] = OFTEN_S,
) -> BoilOff:
    """Draw one run; ``spoilt`` is the share of bursts missed, and of false ones."""
    law = law or str(rng.choice(["exponential", "power"]))
    aim_s = float(np.exp(rng.uniform(np.log(1200.0), np.log(108000.0))))
    start_s = float(min(rng.uniform(20.0, 180.0), 0.08 * aim_s))
    span_s = aim_s - start_s
    spacing = float(rng.choice([0.5, 1.0, 2.0, 4.0]))
    farthest_s = float(rng.choice([0.03 * span_s + 4.0, 0.3 * span_s]))
    origin_s = float(np.exp(rng.uniform(np.log(2.0), np.log(farthest_s))))
    shrinks_in_time = bool(rng.random() < 0.5)
    lull_s = float(np.exp(rng.uniform(*np.log(first_lull_s))))
    share_at_flat = float(rng.uniform(0.25, 0.95))
    sigma = float(rng.uniform(0.4, 0.9))
    shrink = float(rng.uniform(0.6, 2.5))

    grid_s = start_s + np.linspace(0.0, 1.0, 20001) ** 2 * 2.2 * span_s
    since_s = grid_s - start_s
    if law == "exponential":
        clock = since_s / span_s
    else:
        clock = np.log1p(since_s / origin_s) / np.log1p(span_s / origin_s)
    fall = np.log(FLAT_INTERVAL_S / lull_s) + np.log(share_at_flat)
    log_rate = -np.log(FLAT_INTERVAL_S * share_at_flat) + fall * (1.0 - clock)
    wander = np.interp(since_s / span_s, np.linspace(0, 2.2, 23), rng.normal(0.0, 0.1, 23))
    early = rng.uniform(0.0, 1.0) * (1.0 + since_s / (0.05 * span_s)) ** -0.7
    log_smallest = np.log(rng.uniform(0.3, 3.0)) + wander + early
    at_flat = np.interp(aim_s, grid_s, log_smallest)
    size_clock = since_s / span_s if shrinks_in_time else clock
    mean = at_flat + sigma * norm.ppf(share_at_flat) + shrink * (1.0 - size_clock)

    share = norm.cdf((mean - log_smallest) / sigma)
    below = np.flatnonzero(np.exp(log_rate) * share < 1.0 / FLAT_INTERVAL_S)
    operational = np.concatenate([[0.0], np.cumsum(np.diff(grid_s) * np.exp(log_rate[:-1]))])
    gaps = rng.gamma(spacing, 1.0 / spacing, int(operational[-1] * 1.5) + 60)
    onset = np.interp(np.cumsum(gaps), operational, grid_s, right=np.inf)
    onset = onset[np.isfinite(onset)]
    rise = np.exp(np.interp(onset, grid_s, mean) + sigma * rng.normal(size=onset.size))
    smallest = np.exp(np.interp(onset, grid_s, log_smallest))
    visible = rise >= smallest
    onset, rise = onset[visible], rise[visible]
    false_count = rng.poisson(spoilt * onset.size)
    lengths = rng.uniform(0.005, 0.03, 4) * span_s
    starts = start_s + rng.uniform(0.05, 1.0, 4) * span_s
    return BoilOff(
        law=law,
        spacing=spacing,
        flat_s=float(grid_s[below[0]]) if below.size else float(grid_s[-1]),
        onset_s=onset,
        rise_pa=rise,
        told_s=np.maximum.accumulate(onset + rng.uniform(3.0, 30.0, onset.size)),
        seen=rng.random(onset.size) >= spoilt,
        false_onset_s=np.sort(rng.uniform(start_s, 1.3 * aim_s, false_count)),
        dead=tuple((float(a), float(a + b)) for a, b in zip(np.sort(starts), lengths, strict=True)),
        grid_s=grid_s,
        smallest_pa=np.exp(log_smallest),
    )
