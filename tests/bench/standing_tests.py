"""Random holds of known truth, made another way than ``holds``: rougher readings, odder circuits.

Rounding up to 10 micron, single wild readings, gaps, 20 Hz to one reading in 5 s, degassing by
diffusion (square root of time) or none, a valve's kick, warming that the thermometer may miss; in
``quick`` ones vapour of 15 to 80 s, which the even-out may hide; ``late`` and ``early`` ones were
marked 3 to 60 s after the valve was closed, or before it.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

Floats = NDArray[np.float64]

MICRON_PA: Final = 0.1333224
LIMIT_PA_S: Final = 100 * MICRON_PA / 600.0
KINDS: Final = (
    "tight", "quiet", "leak", "faint", "vapour", "vapour-two", "vapour-slow", "both", "warm",
    "warm-leak", "quick", "quick-leak", "late-tight", "late-leak", "late-vapour", "early-tight",
    "early-leak", "early-vapour",
)  # fmt: skip


@dataclass(frozen=True)
class StandingTest:
    """Readings, their truth, and the findings that are right or plainly wrong."""

    time_s: Floats
    pressure_pa: Floats
    temperature_c: Floats | None
    leak_pa_s: float
    vapour_pa: float
    right: frozenset[str]
    never: frozenset[str]


def make_standing_test(kind: str, seed: int) -> StandingTest:
    """Make one hold, always the same for a kind and a seed."""
    rng = np.random.default_rng([KINDS.index(kind), seed, 7])
    duration_s = float(rng.uniform(600, 1800))
    marked_s = np.arange(0.0, duration_s, float(rng.choice([0.05, 0.1, 0.5, 1.0, 2.0, 5.0])))
    t, kind = _since_closing(rng, marked_s, kind)
    start = _log(rng, 40, 400) * MICRON_PA
    limit = LIMIT_PA_S
    leak = vapour = 0.0
    taus: list[float] = []
    if kind in ("leak", "both", "warm-leak", "quick-leak"):
        leak = _log(rng, 0.3, 15) * limit
    elif kind == "faint":
        leak = _log(rng, 0.01, 0.5) * limit
    if kind in ("vapour", "both"):
        taus = [duration_s * _log(rng, 0.1, 0.5)]
    elif kind == "vapour-two":
        taus = [duration_s * _log(rng, 0.07, 0.15), duration_s * _log(rng, 0.3, 0.55)]
    elif kind == "vapour-slow":
        taus = [duration_s * _log(rng, 1.2, 3.0)]
    elif kind.startswith("quick"):
        taus = [float(rng.uniform(15, 80))]
    sizes = [_log(rng, 150, 1500) * MICRON_PA for _ in taus]
    vapour = sum(sizes)
    warm_k = float(rng.uniform(-5, 5)) if kind.startswith("warm") else 0.0
    true = start + _even_out(rng, t, start) + leak * t
    for size, tau in zip(sizes, taus, strict=True):
        true = true - size * np.expm1(-t / tau)
    if kind != "quiet":
        true = true + _degassing(rng, t)
    warmth = warm_k * -np.expm1(-2.0 * t / duration_s)
    true = true * (1 + warmth / 293.0)
    true = true + rng.uniform(0, 0.5) * start * (np.exp2(warmth / 10) - 1)
    shown = _read(rng, marked_s, true)
    celsius = np.round(20 + warmth + 0.05 * rng.standard_normal(len(t)), 1)
    knows = rng.random() < 0.7 if warm_k else rng.random() < 0.3
    keep = np.ones(len(t), dtype=bool)
    if rng.random() < 0.25:
        gap_s = rng.uniform(0.1, 0.8) * duration_s
        keep = (marked_s < gap_s) | (marked_s > gap_s + rng.uniform(10, 90))
    right, never = _verdict(
        kind, leak, vapour, taus, duration_s, warm_k if not knows else 0.0, start
    )
    return StandingTest(
        marked_s[keep], shown[keep], celsius[keep] if knows else None, leak, vapour, right, never
    )


def _since_closing(rng: np.random.Generator, marked_s: Floats, kind: str) -> tuple[Floats, str]:
    """Time since the valve was truly closed (0 before it), and the kind but for that."""
    for prefix, sign in (("late-", 1.0), ("early-", -1.0)):
        if kind.startswith(prefix):
            by_s = sign * _log(rng, 3, 60)
            return np.maximum(marked_s + by_s, 0.0), kind.removeprefix(prefix)
    return marked_s, kind


def _log(rng: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def _even_out(rng: np.random.Generator, t: Floats, start: float) -> Floats:
    """Two volumes running together, and the kick of the valve's own dead volume."""
    share, tau = rng.uniform(-0.2, 0.7), _log(rng, 8, 45)
    kick = rng.uniform(-0.1, 0.3) * start * np.exp(-t / rng.uniform(1, 4))
    return np.asarray(share * start * -np.expm1(-t / tau) + kick)


def _degassing(rng: np.random.Generator, t: Floats) -> Floats:
    """Ordinary degassing, 0.5 to 15 micron in the first 10 min."""
    size = _log(rng, 0.5, 15) * MICRON_PA
    age = _log(rng, 200, 7200)
    if rng.random() < 0.5:
        return np.asarray(size * np.log1p(t / age) / np.log1p(600 / age))
    grow = np.sqrt(t + age) - np.sqrt(age)
    return np.asarray(size * grow / (np.sqrt(600 + age) - np.sqrt(age)))


def _read(rng: np.random.Generator, t: Floats, true: Floats) -> Floats:
    """Read with white noise and wander that grow with the pressure, glitches and rounding."""
    noise = _log(rng, 0.0005, 0.01)
    memory = _log(rng, 3, 90)
    keep = float(np.exp(-(t[1] - t[0]) / memory))
    shocks = np.sqrt(1 - keep**2) * rng.standard_normal(len(t))
    shocks[0] = rng.standard_normal()
    wander = lfilter([1.0], [1.0, -keep], shocks)
    fast = rng.standard_normal(len(t)) * _log(rng, 0.3, 3)
    shown = true * (1 + noise * (rng.uniform(0, 0.7) * wander + fast))
    for place in rng.integers(5, len(t) - 5, rng.integers(0, 4)):
        shown[place] *= rng.choice([0.1, 3.0, 20.0])
    step = float(rng.choice([0.1, 1.0, 1.0, 5.0, 10.0])) * MICRON_PA
    return np.asarray(np.maximum(np.round(shown / step) * step, 0.0))


def _verdict(
    kind: str, leak: float, vapour: float, taus: list[float], duration_s: float,
    hidden_k: float, start: float,
) -> tuple[frozenset[str], frozenset[str]]:  # fmt: skip
    """Findings that are right, and those that are plainly wrong."""
    share = leak / LIMIT_PA_S
    hidden = abs(start * (np.exp2(hidden_k / 10) - 1)) / (100 * MICRON_PA)
    if kind == "vapour-slow":
        right = {"unclear", "vapour"}
        if vapour / taus[0] < LIMIT_PA_S:
            right.add("held")
        return frozenset(right), frozenset({"leak", "both"})
    if kind in ("vapour", "vapour-two"):
        return frozenset({"vapour"}), frozenset({"leak", "both", "held"})
    if kind == "quick":
        return frozenset({"vapour", "held", "unclear"}), frozenset({"leak", "both"})
    if kind in ("both", "quick-leak"):
        right = {"both", "leak"} if kind == "quick-leak" else {"both"}
        if share < 0.5:
            right.add("vapour")
        if vapour < 0.15 * leak * duration_s:
            right.add("leak")
        return frozenset(right), frozenset({"held"})
    if share > 0.4 + hidden:
        return frozenset({"leak"}), frozenset({"held", "vapour"})
    if share + hidden > 0.1:
        return frozenset({"leak", "held", "unclear"}), frozenset({"vapour", "both"})
    return frozenset({"held"}), frozenset({"leak", "both", "vapour"})
