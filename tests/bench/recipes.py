"""What each kind of trace is made of: numbers drawn from wide ranges, then the kind's own twist."""

from dataclasses import dataclass, replace
from math import log
from typing import Literal

import numpy as np

from tests.bench.circuit import Floats

MICRON_PA = 0.133322

KINDS = (
    "clean", "fast", "slow_fall", "slow_rise", "overlap", "murky", "coarse", "noisy",
    "sparse_sampling", "fast_sampling", "wander", "glitches", "gaps", "stuck", "valve_steps",
    "hum", "none", "ice", "leak", "weak_pump", "gauge_shut", "sudden_air", "nitrogen",
    "rising", "exp_law", "power_law", "long", "isolations", "cold",
)  # fmt: skip

Event = Literal[
    "", "ice", "leak", "weak_pump", "gauge_shut", "sudden_air", "nitrogen", "rising",
    "isolations", "cold",
]  # fmt: skip


@dataclass(frozen=True)
class Recipe:
    """All the numbers of one trace; microns where the gauge's data sheet would use them."""

    duration_s: float
    interval_s: float
    jitter: float  # share of the interval, standard deviation
    drop: float  # share of the readings lost one by one
    step_micron: float
    noise_share: float
    noise_floor_micron: float
    fall_s: float
    release_s: float
    lag_s: float
    size_noise: float  # median size at first in multiples of the noise while boiling
    size_sigma: float
    shrink: float  # how many e-folds the sizes fall by the time of flat
    lull_s: float  # at the first burst
    flat_share: float  # time of flat as a share of the duration, before the visible share
    law: Literal["exp", "power"]
    shape: float  # of the gamma spacing: 1 Poisson, more is more regular
    start_pa: float
    end_micron: float
    start_ratio: float  # base line as boiling starts over base line at the end
    outgas_s: float
    is_even_release: bool  # gas at an even rate; else swelling and ebbing as half a sine
    has_bursts: bool = True
    wander: float = 0.2  # all as multiples of the noise
    hum: float = 0.0
    glitches_per_h: float = 0.0
    gaps_per_h: float = 0.0
    stuck_per_h: float = 0.0
    steps_per_h: float = 0.0
    event: Event = ""

    def noise_pa(self, pressure_pa: Floats | float) -> Floats:
        """Noise and rounding together at a pressure, Pa."""
        floor_pa2 = (self.noise_floor_micron**2 + self.step_micron**2 / 12) * MICRON_PA**2
        return np.asarray(np.sqrt((self.noise_share * pressure_pa) ** 2 + floor_pa2))


def _log(rng: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(log(low), log(high))))


def _ordinary(rng: np.random.Generator) -> Recipe:
    fall_s = _log(rng, 5, 60)
    return Recipe(
        duration_s=_log(rng, 1800, 3.5 * 3600),
        interval_s=_log(rng, 0.2, 1.2),
        jitter=float(rng.choice([0.0, 0.02, 0.15])),
        drop=float(rng.choice([0.0, 0.0, 0.03])),
        step_micron=_log(rng, 0.1, 2),
        noise_share=_log(rng, 0.0005, 0.005),
        noise_floor_micron=_log(rng, 0.05, 0.8),
        fall_s=fall_s,
        release_s=_log(rng, 0.2, 2),
        lag_s=_log(rng, 0.1, 1.5),
        size_noise=_log(rng, 12, 50),
        size_sigma=rng.uniform(0.3, 0.8),
        shrink=float(rng.choice([0.0, 0.5, 1.2])),
        lull_s=max(8.0, fall_s * rng.uniform(1.5, 4)),
        flat_share=rng.uniform(0.5, 1.4),
        law="exp" if rng.random() < 0.6 else "power",
        shape=_log(rng, 0.5, 4),
        start_pa=float(rng.choice([101325.0, _log(rng, 2000, 1e5), 2000 * MICRON_PA])),
        end_micron=_log(rng, 50, 500),
        start_ratio=rng.uniform(1.3, 5),
        outgas_s=_log(rng, 300, 3000),
        is_even_release=bool(rng.random() < 0.6),
    )


def _twist(kind: str, rng: np.random.Generator, r: Recipe) -> Recipe:
    match kind:
        case "clean":
            return replace(r, size_noise=_log(rng, 25, 80), noise_share=0.0005, step_micron=0.1)
        case "fast":
            fall_s = rng.uniform(3, 6)
            return replace(r, fall_s=fall_s, lull_s=_log(rng, 6, 20), interval_s=0.2, lag_s=0.2)
        case "slow_fall":
            fall_s = _log(rng, 80, 250)
            lull_s = fall_s * rng.uniform(1, 2)
            return replace(r, fall_s=fall_s, lull_s=lull_s, duration_s=_log(rng, 7200, 21600))
        case "slow_rise":
            return replace(r, release_s=rng.uniform(2, 8), lag_s=rng.uniform(0.5, 3),
                           fall_s=_log(rng, 15, 80), interval_s=_log(rng, 0.2, 1))  # fmt: skip
        case "overlap":
            fall_s = _log(rng, 15, 80)
            return replace(r, fall_s=fall_s, lull_s=max(4.0, fall_s * rng.uniform(0.3, 0.8)))
        case "murky":
            return replace(r, size_noise=5, size_sigma=0.25, shrink=0.0,
                           noise_floor_micron=_log(rng, 0.6, 2))  # fmt: skip
        case "coarse":
            return replace(r, step_micron=float(rng.choice([2.0, 5.0, 10.0])),
                           size_noise=_log(rng, 8, 25), noise_share=0.001)  # fmt: skip
        case "noisy":
            return replace(r, noise_share=_log(rng, 0.004, 0.01), size_noise=_log(rng, 8, 25),
                           noise_floor_micron=_log(rng, 0.5, 2))  # fmt: skip
        case "sparse_sampling":
            fall_s = _log(rng, 10, 60)
            return replace(r, interval_s=2.0, fall_s=fall_s, lull_s=max(15.0, 2 * fall_s))
        case "fast_sampling":
            return replace(r, interval_s=_log(rng, 0.05, 0.1), duration_s=_log(rng, 1200, 3600))
        case "wander":
            return replace(r, wander=rng.uniform(2, 6))
        case "glitches":
            return replace(r, glitches_per_h=_log(rng, 10, 60))
        case "gaps":
            return replace(r, gaps_per_h=rng.uniform(2, 8), duration_s=_log(rng, 3600, 14400))
        case "stuck":
            return replace(r, stuck_per_h=rng.uniform(4, 20))
        case "valve_steps":
            return replace(r, steps_per_h=rng.uniform(3, 10))
        case "hum":
            return replace(r, hum=rng.uniform(0.5, 2.5))
        case "long":
            return replace(r, duration_s=_log(rng, 6, 30) * 3600, interval_s=rng.uniform(0.7, 2),
                           fall_s=_log(rng, 10, 90), lull_s=_log(rng, 40, 200))  # fmt: skip
        case "exp_law" | "power_law":
            law: Literal["exp", "power"] = "exp" if kind == "exp_law" else "power"
            return replace(r, law=law, size_noise=_log(rng, 20, 60), shrink=0.0,
                           shape=_log(rng, 0.8, 1.5), flat_share=rng.uniform(0.7, 1.0))  # fmt: skip
        case "none":
            return replace(r, has_bursts=False)
        case "ice" | "leak" | "weak_pump":
            has_bursts = kind != "ice" and bool(rng.random() < 0.5)
            return replace(r, has_bursts=has_bursts, event=kind, flat_share=0.5,
                           end_micron=_log(rng, 800, 4000), start_ratio=1.2)  # fmt: skip
        case "gauge_shut":
            return replace(r, has_bursts=False, event=kind, end_micron=_log(rng, 30, 150),
                           fall_s=_log(rng, 0.3, 3), start_ratio=1.1)  # fmt: skip
        case "cold":
            return replace(r, event=kind)
        case "sudden_air" | "nitrogen" | "rising" | "isolations":
            return replace(r, event=kind, duration_s=_log(rng, 3600, 10800))
    raise ValueError(f"unknown kind {kind!r}; one of {', '.join(KINDS)}")


def recipe(kind: str, rng: np.random.Generator) -> Recipe:
    """Draw the numbers of one trace of ``kind``."""
    return _twist(kind, rng, _ordinary(rng))
