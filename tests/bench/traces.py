"""Made-up evacuations whose truth is known, apart from anything the program itself uses.

A circuit of two volumes is pumped down, releases gas in bursts, and is read by a gauge with its
faults. Each burst's rise is the gauge's pressure with it over the same run without it.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from zlib import crc32

import numpy as np

from tests.bench import boiling as law_of
from tests.bench import events, gauge
from tests.bench.circuit import Circuit, Drive, Floats, State, integrate, ticks
from tests.bench.gauge import Spans
from tests.bench.recipes import KINDS, MICRON_PA, Recipe, recipe

__all__ = ["KINDS", "MICRON_PA", "Trace", "TrueBurst", "make_trace"]


@dataclass(frozen=True)
class TrueBurst:
    """One release of gas. ``is_visible``: at least 5 times the noise, outside dead times."""

    onset_s: float
    peak_s: float
    rise_pa: float
    fall_s: float
    noise_pa: float
    is_visible: bool


@dataclass(frozen=True)
class Trace:
    """Readings and their truth. Times in seconds from the first reading."""

    kind: str
    seed: int
    time_s: Floats
    pressure_pa: Floats
    temperature_c: Floats | None
    bursts: tuple[TrueBurst, ...]
    true_flat_s: float | None  # within the trace
    law_flat_s: float | None  # ... or beyond it, by the law
    cautions: tuple[tuple[str, float], ...]  # kind and the earliest time it is true
    gaps: Spans
    dead_times: Spans  # stuck readings, air, nitrogen, valve closed
    glitch_s: tuple[float, ...]
    step_s: tuple[float, ...]  # valve steps
    marks: tuple[tuple[float, str], ...]
    recipe: Recipe
    grid_s: Floats
    base_pa: Floats  # the gauge had there been no bursts
    true_pa: Floats  # the gauge without its noise
    visible_rate_per_s: Floats

    def __post_init__(self) -> None:
        # One made trace is handed to all who ask for it.
        for array in (self.time_s, self.pressure_pa, self.grid_s, self.base_pa, self.true_pa):
            array.flags.writeable = False

    def noise_pa(self, time_s: float) -> float:
        """Noise and rounding together at a time, Pa."""
        return float(self.recipe.noise_pa(float(np.interp(time_s, self.grid_s, self.true_pa))))

    def rate_per_s(self, time_s: float) -> float:
        """Intensity of visible bursts at a time."""
        return float(np.interp(time_s, self.grid_s, self.visible_rate_per_s))

    @property
    def reading_s(self) -> float:
        return float(np.median(np.diff(self.time_s)))


def _circuit(r: Recipe, rng: np.random.Generator) -> Circuit:
    """A plant whose small falls take about the recipe's time at its middle pressure."""
    shut, weak = r.event == "gauge_shut", r.event == "weak_pump"
    far_l = 0.02 if shut else rng.uniform(1.2, 3.5)
    near_l = 0.08 if shut else rng.uniform(0.15, 0.5)
    restriction_cm = 0.8 if shut else rng.uniform(0.45, 1.0)
    ultimate_micron = min(rng.uniform(15, 50), 0.6 * r.end_micron)
    if weak:
        ultimate_micron = 0.9 * r.end_micron
    low_cm, high_cm = 0.05, 4.0
    for _ in range(40):  # bisection on the hose's bore
        hose_cm = sqrt(low_cm * high_cm)
        built = Circuit(far_l, near_l, restriction_cm, 20.0, hose_cm, 120.0,
                        max(1.5, 3 * (far_l + near_l) / r.fall_s), ultimate_micron * MICRON_PA,
                        r.lag_s, bool(rng.integers(2)) if shut else True)  # fmt: skip
        if built.fall_s(max(r.end_micron, 150.0) * MICRON_PA) > r.fall_s:
            low_cm = hose_cm
        else:
            high_cm = hose_cm
    return Circuit(**{**built.__dict__, "gauge_at_far": bool(rng.random() < 0.6)})


def _drive(r: Recipe, circuit: Circuit) -> Drive:
    """The smooth load: outgassing that fades as 1/t, and a leak where there is one."""
    step_s = 0.25 if r.duration_s > 4 * 3600 else 0.05 if r.interval_s < 0.12 else 0.1
    grid_s = ticks(int(r.duration_s / step_s), step_s)
    end, start = (circuit.flow(m * r.end_micron * MICRON_PA) for m in (1.0, r.start_ratio))
    load = end + (start - end) / (1 + grid_s / r.outgas_s)
    if r.event == "ice":
        load = load * 0.1  # the ice gives the rest
    return Drive(step_s, load, np.zeros(grid_s.size), np.ones(grid_s.size))


def _pulse(
    r: Recipe, drive: Drive, onset_s: float, release_s: float, gas_pa_l: float
) -> tuple[int, Floats]:
    """A release as load on the grid, its gas kept exactly.

    Half a sine starts too gently for its first moment to be an onset: there the onset is a tenth
    of the release later, when 2 in 100 of the gas are out.
    """
    start_s = onset_s if r.is_even_release else max(onset_s - 0.1 * release_s, 0.0)
    first = int(start_s / drive.step_s)
    edges_s = (first + np.arange(int(release_s / drive.step_s) + 3)) * drive.step_s - start_s
    share = np.clip(edges_s / release_s, 0, 1)
    released = share if r.is_even_release else (1 - np.cos(np.pi * share)) / 2
    pulse = np.diff(gas_pa_l * released) / drive.step_s
    return first, pulse[: max(drive.far_load.size - first, 0)]


def _answer(
    circuit: Circuit, drive: Drive, first: int, pulse: Floats, rows: Floats, reach_s: float
) -> tuple[float, float, float]:
    """Peak time after ``first``, rise and fall time of one pulse: ``rows`` with it less without."""
    last = min(first + int(reach_s / drive.step_s), drive.far_load.size)
    without = drive.far_load[first:last].copy()
    used = pulse[: without.size]
    without[: used.size] -= used
    opening = drive.hose_opening[first:last]
    local = Drive(drive.step_s, without, drive.near_load[first:last], opening)
    start: State = tuple(rows[first].tolist())
    more = rows[first : last + 1, 2] - integrate(circuit, local, start)[:, 2]
    peak = int(np.argmax(more))
    low = np.flatnonzero(more[peak:] < more[peak] / np.e)
    if low.size:
        fall_s = float(low[0]) * drive.step_s
    else:
        folds = max(float(np.log(more[peak] / max(float(more[-1]), 1e-12))), 1e-3)
        fall_s = (last - first - peak + 1) * drive.step_s / folds
    return peak * drive.step_s, float(more[peak]), fall_s


def _inside(time_s: float, spans: Spans) -> bool:
    return any(from_s <= time_s <= until_s for from_s, until_s in spans)


def _gas_per_pa(r: Recipe, circuit: Circuit, drive: Drive, base: Floats, start_s: float) -> Floats:
    """On the grid: gas (Pa L) that makes the gauge rise 1 Pa, probed along the burst-free run."""
    reach_s = r.release_s + 5 * r.lag_s + r.fall_s
    last_s = r.duration_s - reach_s
    probes_s, gas = np.linspace(min(start_s, last_s - 1), last_s, 10), []
    for probe_s in probes_s.tolist():
        first, pulse = _pulse(r, drive, probe_s, r.release_s, circuit.far_l)
        last = min(first + int(reach_s / drive.step_s), drive.far_load.size)
        loaded = drive.far_load[first:last].copy()
        loaded[: pulse.size] += pulse
        opening = drive.hose_opening[first:last]
        local = Drive(drive.step_s, loaded, drive.near_load[first:last], opening)
        more = integrate(circuit, local, tuple(base[first].tolist()))[:, 2]
        gas.append(circuit.far_l / float(np.max(more - base[first : last + 1, 2])))
    return np.asarray(np.interp(ticks(drive.far_load.size, drive.step_s), probes_s, gas))


def _bursts(
    r: Recipe, circuit: Circuit, drive: Drive, rows: Floats, pulses: list[tuple[float, int, Floats]]
) -> list[tuple[float, float, float, float]]:
    """Onset, peak time, rise and fall time of each pulse as the gauge's true pressure has it."""
    found = []
    for onset_s, first, pulse in pulses:
        room_s = r.release_s + 6 * r.lag_s + 2.5 * r.fall_s + 5
        peak_s, rise_pa, fall_s = _answer(circuit, drive, first, pulse, rows, room_s)
        found.append((onset_s, first * drive.step_s + peak_s, rise_pa, fall_s))
    return found


@lru_cache(maxsize=32)
def make_trace(kind: str, seed: int) -> Trace:
    """Make the trace of one kind and seed, always the same one.

    Raises
    ------
    ValueError
        If ``kind`` is not one of ``KINDS``.
    """
    rng = np.random.default_rng([crc32(kind.encode()), seed])
    r = recipe(kind, rng)
    circuit = _circuit(r, rng)
    drive = _drive(r, circuit)
    happening = events.stage(r, circuit, drive, rng)
    grid_s = ticks(drive.far_load.size + 1, drive.step_s)
    start_pa = max(r.start_pa, 1.5 * r.start_ratio * r.end_micron * MICRON_PA)
    start: State = (start_pa, start_pa, start_pa, start_pa)
    base = rows = integrate(circuit, drive, start, happening.evaporate)
    dead = events.recovered(tuple(happening.dead), grid_s, base[:, 2])
    rate, found = np.zeros(grid_s.size), []
    flat_s: float | None = None
    boils_pa = np.exp(rng.uniform(np.log(200), np.log(800)))
    start_s = float(grid_s[np.argmax(base[:, 0] < max(boils_pa, 1.6 * base[-1, 0]))])
    if r.has_bursts:
        noise = _noise_outside(r, grid_s, base[:, 2], dead)
        boils = (grid_s >= start_s) & (grid_s <= r.flat_share * r.duration_s)
        law = law_of.boiling(r, start_s, float(np.median(noise[boils])), rng)
        gas = _gas_per_pa(r, circuit, drive, base, start_s)
        pulses = []
        for onset_s, rise_pa in zip(*law_of.draw(law, r.duration_s - 2, rng), strict=True):
            index = int(onset_s / drive.step_s)
            release_s = r.release_s * rng.uniform(0.8, 1.25)
            first, pulse = _pulse(r, drive, float(onset_s), release_s, rise_pa * gas[index])
            pulses.append((float(onset_s), first, pulse))
            drive.far_load[first : first + pulse.size] += pulse
        rows = integrate(circuit, drive, start)
        found = _bursts(r, circuit, drive, rows, pulses)
        rate = law.visible_rate(grid_s, noise)
        flat_s = law_of.flat_time(law, grid_s, noise)
    true_pa = rows[:, 2].copy()
    for at_s, share in happening.steps:
        settle = 1 - np.exp(-np.maximum(grid_s - at_s, 0) / r.lag_s)
        true_pa *= 1 + share * settle
    readings = gauge.read(r, grid_s, true_pa, rng)
    dead += readings.stuck
    bursts = tuple(
        TrueBurst(onset_s, peak_s, rise_pa, fall_s, noise_pa,
                  rise_pa >= 5 * noise_pa and not _inside(onset_s, dead + readings.gaps))
        for onset_s, peak_s, rise_pa, fall_s in found
        for noise_pa in [float(r.noise_pa(np.interp(onset_s, grid_s, true_pa)))]
    )  # fmt: skip
    thin = slice(None, None, max(1, round(1.0 / drive.step_s)))
    return Trace(
        kind=kind,
        seed=seed,
        time_s=readings.time_s,
        pressure_pa=readings.pressure_pa,
        temperature_c=_warmth(r, readings.time_s, rng),
        bursts=bursts,
        true_flat_s=flat_s if flat_s is not None and flat_s <= readings.time_s[-1] else None,
        law_flat_s=flat_s,
        cautions=tuple(happening.cautions) + _standing(r, grid_s, base[:, 2], readings.gaps),
        gaps=readings.gaps,
        dead_times=tuple(sorted(dead)),
        glitch_s=readings.glitch_s,
        step_s=tuple(at_s for at_s, _ in happening.steps),
        marks=tuple(happening.marks),
        recipe=r,
        grid_s=grid_s[thin],
        base_pa=base[thin, 2],
        true_pa=true_pa[thin],
        visible_rate_per_s=rate[thin],
    )


def _noise_outside(r: Recipe, grid_s: Floats, base_pa: Floats, dead: Spans) -> Floats:
    """The noise on the burst-free curve, carried straight across dead times."""
    alive = np.ones(grid_s.size, dtype=bool)
    for from_s, until_s in dead:
        alive &= (grid_s < from_s) | (grid_s > until_s)
    return np.asarray(np.interp(grid_s, grid_s[alive], r.noise_pa(base_pa[alive])))


def _warmth(r: Recipe, time_s: Floats, rng: np.random.Generator) -> Floats | None:
    """The gauge's thermometer, where it has one: slowly drifting tenths of a degree."""
    start_c, drift_k = rng.uniform(15, 32), rng.uniform(-2, 2)
    if r.event == "cold":
        start_c, drift_k = rng.uniform(-3, 3.5), rng.uniform(-1, 1)
    elif rng.random() < 0.6:
        return None
    celsius = start_c + drift_k * time_s / r.duration_s + 0.05 * rng.standard_normal(time_s.size)
    return np.asarray(np.round(celsius, 1))


def _standing(
    r: Recipe, grid_s: Floats, base_pa: Floats, gaps: Spans
) -> tuple[tuple[str, float], ...]:
    """Cautions that follow from the state of the plant, with the earliest time they are true."""
    kinds = {"ice": "ice", "leak": "not-pulling-down", "weak_pump": "not-pulling-down",
             "gauge_shut": "gauge-shut-off"}  # fmt: skip
    found = [("no-signal", from_s + 30) for from_s, until_s in gaps if until_s > from_s + 30]
    if r.event == "cold":
        found.append(("cold", 0.0))
    elif r.event in kinds:
        level_pa = float(np.median(base_pa[base_pa.size // 2 :]))
        settled = np.flatnonzero(np.abs(base_pa / level_pa - 1) < 0.15)
        found.append((kinds[r.event], float(grid_s[settled[0]])))
    elif not r.has_bursts:
        found.append(("no-bursts-seen", 0.0))
    return tuple(found)
