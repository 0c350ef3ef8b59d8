"""What happens to the plant beside boiling: leaks, air, nitrogen, valves, a shut gauge, ice."""

from collections.abc import Callable
from dataclasses import dataclass, field
from math import exp

import numpy as np

from tests.bench.circuit import Circuit, Drive, Floats, ticks
from tests.bench.gauge import Spans
from tests.bench.recipes import Recipe

_GAS_PA_L_PER_MG = 135.3  # 1 mg of water vapour at 20 C: 67.65 Pa in 2 L (ideal gas)


@dataclass
class Happening:
    """What an event leaves behind: truth for the trace, and a source of vapour."""

    cautions: list[tuple[str, float]] = field(default_factory=list)
    dead: list[tuple[float, float]] = field(default_factory=list)
    marks: list[tuple[float, str]] = field(default_factory=list)
    steps: list[tuple[float, float]] = field(default_factory=list)  # gauge offset, (s, share)
    evaporate: Callable[[float, float], float] | None = None


class Ice:
    """A pool that cools as it boils, freezes and sublimes; its load follows its own warmth."""

    def __init__(self, mass_mg: float, openness_l_s: float, warmth_w_per_k: float) -> None:
        self.mass_mg, self.openness, self.warmth = mass_mg, openness_l_s, warmth_w_per_k
        self.heat_j_per_k = mass_mg * 4.2e-3 + 2.0  # the wet spot's metal chills with it
        self.celsius = 20.0

    def saturation_pa(self) -> float:
        # Magnus forms over water and ice (WMO-No. 8), a few parts in a thousand off IAPWS.
        if self.celsius >= 0:
            return 611.2 * exp(17.62 * self.celsius / (243.12 + self.celsius))
        return 611.2 * exp(22.46 * self.celsius / (272.62 + self.celsius))

    def __call__(self, far_pa: float, step_s: float) -> float:
        load = self.openness * max(self.saturation_pa() - far_pa, 0.0)
        load = min(load, self.mass_mg * _GAS_PA_L_PER_MG / step_s)
        evaporated_mg = load * step_s / _GAS_PA_L_PER_MG
        self.mass_mg -= evaporated_mg
        heat_j = self.warmth * (20.0 - self.celsius) * step_s - 2.7 * evaporated_mg
        self.celsius += heat_j / self.heat_j_per_k
        return load


def stage(recipe: Recipe, circuit: Circuit, drive: Drive, rng: np.random.Generator) -> Happening:
    """Let the recipe's event act on ``drive`` (changed in place) and say what is true of it."""
    out = Happening()
    grid_s = ticks(drive.far_load.size, drive.step_s)
    if recipe.event == "ice":
        take = circuit.flow(rng.uniform(130, 400))  # the ice settles about where pump meets it
        out.evaporate = Ice(
            rng.uniform(300, 4000), take / 40, 2.7 * take / _GAS_PA_L_PER_MG / rng.uniform(25, 35)
        )
    elif recipe.event == "sudden_air":
        _air(recipe, circuit, drive, grid_s, rng, out)
    elif recipe.event == "nitrogen":
        _nitrogen(recipe, circuit, drive, grid_s, rng, out)
    elif recipe.event == "rising":
        from_s = recipe.duration_s * rng.uniform(0.5, 0.8)
        drive.hose_opening[grid_s >= from_s] = 0.0
        rise_pa_s = np.exp(rng.uniform(np.log(0.05), np.log(2.0)))
        drive.far_load[grid_s >= from_s] += rise_pa_s * (circuit.far_l + circuit.near_l)
        out.cautions.append(("rising", from_s))
        out.dead.append((from_s, recipe.duration_s))
    elif recipe.event == "isolations":
        _isolations(recipe, drive, grid_s, rng, out)
    count = int(rng.poisson(recipe.steps_per_h * recipe.duration_s / 3600))
    for at_s in np.sort(rng.uniform(0.1, 0.95, count)) * recipe.duration_s:
        if rng.random() < 0.5:  # a valve of the hose turned: the level moves with the fall time
            drive.hose_opening[grid_s >= at_s] *= rng.choice([0.7, 0.85, 1.2, 1.4])
            out.steps.append((float(at_s), 0.0))
        else:  # a valve beside the gauge turned: another pressure drop, at once
            share = rng.choice([-1, 1]) * np.exp(rng.uniform(np.log(0.03), np.log(0.3)))
            out.steps.append((float(at_s), float(share)))
    return out


def _air(
    recipe: Recipe,
    circuit: Circuit,
    drive: Drive,
    grid_s: Floats,
    rng: np.random.Generator,
    out: Happening,
) -> None:
    from_s = recipe.duration_s * rng.uniform(0.3, 0.7)
    stays = rng.random() < 0.3
    until_s = recipe.duration_s if stays else from_s + rng.uniform(30, 300)
    level_pa = np.exp(rng.uniform(np.log(2000), np.log(50000)))
    drive.far_load[(grid_s >= from_s) & (grid_s < until_s)] += circuit.flow(level_pa)
    out.cautions.append(("sudden-rise", from_s))
    out.dead.append((from_s, until_s))


def _nitrogen(
    recipe: Recipe,
    circuit: Circuit,
    drive: Drive,
    grid_s: Floats,
    rng: np.random.Generator,
    out: Happening,
) -> None:
    at_s = recipe.duration_s * rng.uniform(0.2, 0.5)
    is_marked = rng.random() < 0.5
    for _ in range(int(rng.integers(1, 3))):
        fill_s, stay_s = rng.uniform(20, 60), rng.uniform(300, 600)
        filling = (grid_s >= at_s) & (grid_s < at_s + fill_s)
        drive.far_load[filling] += 1.1e5 * (circuit.far_l + circuit.near_l) / fill_s
        drive.hose_opening[(grid_s >= at_s) & (grid_s < at_s + fill_s + stay_s)] = 0.0
        out.dead.append((at_s, at_s + fill_s + stay_s))
        if is_marked:
            out.marks.append((at_s, "nitrogen-in"))
        else:
            out.cautions.append(("sudden-rise", at_s))
        at_s += fill_s + stay_s + rng.uniform(0.15, 0.3) * recipe.duration_s


def _isolations(
    recipe: Recipe, drive: Drive, grid_s: Floats, rng: np.random.Generator, out: Happening
) -> None:
    """Cut the circuit off for some minutes, a few times; marked by hand or not."""
    is_marked = rng.random() < 0.5
    for share in np.sort(rng.uniform(0.3, 0.9, int(rng.integers(2, 5)))):
        from_s = float(share) * recipe.duration_s
        if out.dead and from_s < out.dead[-1][1] + 300:
            continue
        until_s = from_s + rng.uniform(60, 240)
        drive.hose_opening[(grid_s >= from_s) & (grid_s < until_s)] = 0.0
        out.dead.append((from_s, until_s))
        if is_marked:
            out.marks += [(from_s, "valve-closed"), (until_s, "valve-opened")]
        else:
            out.cautions.append(("rising", from_s))


def recovered(dead: Spans, grid_s: Floats, base_pa: Floats) -> Spans:
    """Stretch each dead time until the base line is back near where it was."""
    spans = []
    for from_s, until_s in dead:
        before_pa = base_pa[max(int(np.searchsorted(grid_s, from_s)) - 1, 0)]
        after = np.flatnonzero((grid_s >= until_s) & (base_pa < 1.5 * before_pa + 15))
        spans.append((from_s, float(grid_s[after[0]]) if after.size else float(grid_s[-1])))
    return tuple(spans)
