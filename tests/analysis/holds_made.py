"""Holds as a gauge would show them, made of even-out, degassing, leak and vapour."""

import math

import numpy as np

from analysis.snapshot import HoldResult

MICRON_PA = 0.1333224
LIMIT_PA_S = 100 * MICRON_PA / 600


def times(minutes: float = 15.0, interval_s: float = 0.5) -> np.ndarray:
    return np.arange(0.0, minutes * 60.0, interval_s)


def read(true_pa: np.ndarray, seed: int = 0, noise: float = 0.003) -> np.ndarray:
    rng = np.random.default_rng(seed)
    shown = true_pa * (1 + noise * rng.standard_normal(len(true_pa)))
    return np.round(shown / MICRON_PA) * MICRON_PA


def start(t: np.ndarray, micron: float = 200.0) -> np.ndarray:
    """Even out from 200 to 240 micron with 20 s, and 4 micron of degassing in 10 min."""
    even = 0.2 * micron * -np.expm1(-t / 20.0)
    return (micron + even + 4 * np.log1p(t / 600) / math.log(2)) * MICRON_PA


def vapour(t: np.ndarray, micron: float, tau_s: float) -> np.ndarray:
    return micron * MICRON_PA * -np.expm1(-t / tau_s)


def codes(result: HoldResult) -> set[str]:
    return {reason.code for reason in result.reasons}
