"""How water leaves the oil: bursts of random size and time, and a smooth outgassing."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstLaw:
    """A point process whose rate and sizes decay with the drying time.

    The drying time runs only while water can boil. Rate: ``exponential`` r exp(-u/tau), or
    ``power`` r (u/u0)^(beta - 1) (both as in the NIST/SEMATECH e-Handbook, 8.1.7). Bursts are
    spaced by gamma-distributed steps of the cumulated rate (Berman, Biometrika 68 (1981) 143):
    shape 1 is Poisson, more is more regular, less is more clustered. Sizes are log-normal.

    Attributes
    ----------
    rate_per_s
        Rate at u = 0 (``exponential``) or at u = ``scale_s`` (``power``).
    scale_s
        tau or u0, s.
    beta
        Exponent of the power law, 0 < beta < 1.
    size_ug
        Median mass of water in a burst at u = 0, in micrograms.
    size_decay_s
        Sizes shrink as exp(-u / size_decay_s); ``inf`` for not at all.
    size_spread
        Standard deviation of the logarithm of the size.
    release_s
        Median time constant with which a burst lets its vapour go.
    release_spread
        Standard deviation of the logarithm of the release time.
    regularity
        Gamma shape of the spacing.
    """

    kind: Literal["exponential", "power"] = "exponential"
    rate_per_s: float
    scale_s: float
    beta: float = 0.3
    size_ug: float
    size_decay_s: float = math.inf
    size_spread: float = 0.4
    release_s: float = 0.3
    release_spread: float = 0.3
    regularity: float = 1.0

    def rate_at(self, drying_s: float) -> float:
        """Rate of all bursts, 1/s, at one drying time."""
        if self.kind == "exponential":
            return self.rate_per_s * math.exp(-drying_s / self.scale_s)
        return float(self.rate_per_s * (max(drying_s, 1e-3) / self.scale_s) ** (self.beta - 1.0))

    def median_ug_at(self, drying_s: float) -> float:
        """Median mass of a burst at one drying time."""
        return self.size_ug * math.exp(-drying_s / self.size_decay_s)

    def drying_time_of(self, cumulated: float) -> float:
        """Drying time at which ``cumulated`` bursts are expected; ``inf`` when never."""
        if self.kind == "exponential":
            share = cumulated / (self.rate_per_s * self.scale_s)
            return -self.scale_s * math.log1p(-share) if share < 1.0 else math.inf
        unit = self.rate_per_s * self.scale_s / self.beta
        exponent = math.log(cumulated / unit) / self.beta if cumulated > 0.0 else -math.inf
        return self.scale_s * math.exp(exponent) if exponent < 600.0 else math.inf


@dataclass(frozen=True, slots=True)
class BurstPlan:
    """One burst to come: when (drying time), how much, how quickly let go."""

    drying_s: float
    mass_kg: float
    release_s: float


NO_BURST = BurstPlan(math.inf, 0.0, 1.0)


def plan_bursts(law: BurstLaw | None, rng: np.random.Generator) -> Iterator[BurstPlan]:
    """Draw burst after burst, for ever; when no more will come the last one is at infinity."""
    if law is None:
        return
    cumulated = 0.0
    while True:
        cumulated += float(rng.gamma(law.regularity)) / law.regularity
        drying_s = law.drying_time_of(cumulated)
        if math.isinf(drying_s):
            return
        size = law.median_ug_at(drying_s) * math.exp(law.size_spread * rng.standard_normal())
        release_s = law.release_s * math.exp(law.release_spread * rng.standard_normal())
        yield BurstPlan(drying_s, size * 1e-9, release_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outgassing:
    """Water dissolved in oil and metal, seeking its own equilibrium with the vapour above.

    Flow into the circuit is G (P_eq - P_water): under the pump a slowly falling base line, and
    with the valve closed a rise that levels off at P_eq with the time constant V / G. P_eq falls
    as (1 + u / decay_s)^-1, the 1/t law of outgassing metal and oil surfaces.

    Attributes
    ----------
    equilibrium_pa
        P_eq at the start.
    decay_s
        Drying time after which P_eq is halved; ``inf`` for a store that does not run out.
    conductance_m3_s
        G; zero for none.
    """

    equilibrium_pa: float = 0.0
    decay_s: float = math.inf
    conductance_m3_s: float = 0.0

    def equilibrium_at(self, drying_s: float) -> float:
        """P_eq at one drying time, Pa."""
        return self.equilibrium_pa / (1.0 + drying_s / self.decay_s)
