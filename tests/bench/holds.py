"""Made-up standing tests whose truth is known.

The gas loads into a closed volume are summed: even-out between the volumes, degassing as log or
1/t, air through a leak, vapour that comes towards equilibrium, and the gas laws' warming.
"""

from dataclasses import dataclass
from zlib import crc32

import numpy as np

from tests.bench.circuit import Floats, ticks
from tests.bench.recipes import MICRON_PA

HOLD_KINDS = (
    "held", "leak", "vapour", "vapour_two", "vapour_slow", "both", "warming", "faint",
)  # fmt: skip
# Common practice, no source: a hold rises at most 100 micron in 10 minutes.
LIMIT_PA_PER_S = 100 * MICRON_PA / 600
_PA_L_PER_MBAR_L = 100.0


@dataclass(frozen=True)
class HoldTrace:
    """A hold and its truth. The first reading is the moment the valve was closed.

    ``right`` are the findings that are right, ``never`` those that are plainly wrong.
    """

    kind: str
    seed: int
    time_s: Floats
    pressure_pa: Floats
    temperature_c: Floats | None
    volume_l: float
    leak_pa_s: float
    vapour_pa: float
    vapour_tau_s: tuple[float, ...]
    degassing_pa: float  # by the end
    even_out_s: float
    noise_pa: float
    right: frozenset[str]
    never: frozenset[str]

    @property
    def leak_pa_m3_s(self) -> float:
        return self.leak_pa_s * self.volume_l / 1000


def _log(rng: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


@dataclass
class _Loads:
    leak_pa_s: float = 0.0
    vapour: tuple[tuple[float, float], ...] = ()  # (Pa, time constant in s)
    warming_k: float = 0.0


def _loads(kind: str, rng: np.random.Generator, duration_s: float, volume_l: float) -> _Loads:
    def leak(low_mbar_l_s: float, high_mbar_l_s: float) -> float:
        return _log(rng, low_mbar_l_s, high_mbar_l_s) * _PA_L_PER_MBAR_L / volume_l

    def vapour(low: float, high: float) -> tuple[float, float]:
        return _log(rng, 40, 1500) * MICRON_PA, duration_s * _log(rng, low, high)

    match kind:
        case "held":
            return _Loads()
        case "leak":
            return _Loads(leak(5e-4, 1e-2))
        case "faint":
            return _Loads(leak(1e-6, 5e-4))
        case "vapour":
            return _Loads(vapour=(vapour(0.08, 0.35),))
        case "vapour_two":
            return _Loads(vapour=(vapour(0.03, 0.1), vapour(0.2, 0.6)))
        case "vapour_slow":
            return _Loads(vapour=(vapour(1.0, 4.0),))
        case "both":
            return _Loads(leak(1e-3, 1e-2), vapour=(vapour(0.08, 0.25),))
        case "warming":
            sign = float(rng.choice([-1, 1]))
            return _Loads(leak(5e-4, 5e-3) if rng.random() < 0.5 else 0.0, (),
                          sign * rng.uniform(1, 5))  # fmt: skip
    raise ValueError(f"unknown kind {kind!r}; one of {', '.join(HOLD_KINDS)}")


def _verdict(kind: str, loads: _Loads, rise_pa: float, duration_s: float, noise_pa: float) -> tuple[
    set[str], set[str]
]:  # fmt: skip
    """Findings that are right and those plainly wrong; what lies within the limit may be held."""
    leak_share = loads.leak_pa_s / LIMIT_PA_PER_S
    vapour_pa = sum(pa for pa, _ in loads.vapour)
    if kind == "vapour_slow":
        right, never = {"unclear", "vapour"}, {"leak", "both"}
        if rise_pa / duration_s < LIMIT_PA_PER_S:
            right.add("held")
        return right, never
    if not loads.vapour:
        if leak_share > 1.2:
            return {"leak"}, {"held", "vapour"}
        if leak_share > 0.2:
            return {"leak", "held", "unclear"}, {"vapour"}
        seen = loads.leak_pa_s * duration_s > 10 * noise_pa + 20 * MICRON_PA
        return {"held", "leak"} if seen else {"held"}, {"vapour", "both"}
    # What comes in the first two minutes cannot be told from the even-out.
    late_pa = sum(pa * np.exp(-120 / tau_s) for pa, tau_s in loads.vapour)
    small = late_pa < LIMIT_PA_PER_S * duration_s
    if not loads.leak_pa_s:
        return {"vapour", "held"} if small else {"vapour"}, {"leak", "both"}
    right = {"both"}
    if vapour_pa < max(0.15 * loads.leak_pa_s * duration_s, 20 * noise_pa):
        right.add("leak")
    if loads.leak_pa_s * duration_s < 0.15 * vapour_pa:
        right.add("vapour")
    if leak_share < 1.2:
        right |= {"vapour", "held"} if small else {"vapour"}
    return right, ({"held"} if not small or leak_share > 1.2 else set())


def make_hold(kind: str, seed: int) -> HoldTrace:
    """Make the hold of one kind and seed, always the same one.

    Raises
    ------
    ValueError
        If ``kind`` is not one of ``HOLD_KINDS``.
    """
    rng = np.random.default_rng([crc32(b"hold" + kind.encode()), seed])
    duration_s, volume_l = float(rng.choice([600, 900, 1200, 1800])), rng.uniform(1.5, 4)
    loads = _loads(kind, rng, duration_s, volume_l)
    interval_s = _log(rng, 0.2, 2)
    time_s = ticks(int(duration_s / interval_s) + 1, interval_s)
    time_s += rng.choice([0.0, 0.05]) * interval_s * rng.standard_normal(time_s.size)
    time_s = np.asarray(np.maximum.accumulate(time_s - time_s[0]), dtype=np.float64)

    start_pa, even_out_s = _log(rng, 50, 450) * MICRON_PA, rng.uniform(20, 120) / 3
    degassing_pa = _log(rng, 2, 50) * MICRON_PA * min(duration_s / 1200, 1)
    age_s = _log(rng, 60, 1200)
    shape = np.log1p(time_s / age_s)  # load as 1/(t + age)
    if rng.random() < 0.4:  # load as 1/(t + age)^2
        shape = 1 - 1 / (1 + time_s / age_s)
    even = rng.uniform(-0.1, 0.6) * start_pa * -np.expm1(-time_s / even_out_s)
    total = start_pa + even + degassing_pa * shape / shape[-1] + loads.leak_pa_s * time_s
    for vapour_pa, tau_s in loads.vapour:
        total += vapour_pa * -np.expm1(-time_s / tau_s)
    rise_pa = float(total[-1] - start_pa - even[-1])
    warmth_k = loads.warming_k * time_s / duration_s
    total *= 1 + warmth_k / 293.15  # Charles' law; the degassing's own warmth comes on top:
    total += degassing_pa * 0.05 * warmth_k * time_s / duration_s

    noise_pa = _log(rng, 0.1, 1.5) * MICRON_PA + _log(rng, 0.0003, 0.003) * start_pa
    shown = total + _wandering(time_s, noise_pa, rng)
    step_pa = _log(rng, 0.1, 2) * MICRON_PA
    shown = np.maximum(np.round(shown / step_pa) * step_pa, 0)
    celsius = 20 + warmth_k + 0.03 * rng.standard_normal(time_s.size)
    keep = np.ones(time_s.size, dtype=bool)
    if rng.random() < 0.2:
        gap_s = rng.uniform(0.2, 0.8) * duration_s
        keep = (time_s < gap_s) | (time_s > gap_s + rng.uniform(5, 60))
    has_temperature = rng.random() < (0.6 if kind == "warming" else 0.3)
    right, never = _verdict(kind, loads, rise_pa, duration_s, noise_pa)
    return HoldTrace(
        kind=kind,
        seed=seed,
        time_s=np.round(time_s[keep], 3),
        pressure_pa=shown[keep],
        temperature_c=celsius[keep] if has_temperature else None,
        volume_l=volume_l,
        leak_pa_s=loads.leak_pa_s,
        vapour_pa=sum(pa for pa, _ in loads.vapour),
        vapour_tau_s=tuple(tau_s for _, tau_s in loads.vapour),
        degassing_pa=degassing_pa,
        even_out_s=3 * even_out_s,
        noise_pa=noise_pa,
        right=frozenset(right),
        never=frozenset(never),
    )


def _wandering(time_s: Floats, noise_pa: float, rng: np.random.Generator) -> Floats:
    """AR(1) over the readings, with memory in seconds, and white noise, both of ``noise_pa``."""
    memory_s = _log(rng, 2, 60)
    keeps = np.exp(-np.diff(time_s, prepend=time_s[0]) / memory_s)
    shocks = np.sqrt(1 - keeps**2) * rng.standard_normal(time_s.size)
    level, path = float(rng.standard_normal()), []
    for keep, shock in zip(keeps.tolist(), shocks.tolist(), strict=True):
        level = keep * level + shock
        path.append(level)
    white = rng.standard_normal(time_s.size)
    return np.asarray(noise_pa * (rng.uniform(0, 1) * np.array(path) + white))
