"""What can go wrong under a pump, and what is healthy: traces whose cautions are known.

Every number is drawn anew from wide ranges [chosen]; the physics is ``tests.bench.plant``.
"""

from dataclasses import dataclass, field
from math import exp, log
from zlib import crc32

import numpy as np

from analysis.sample import Status
from tests.bench import plant
from tests.bench.caution_score import Due
from tests.bench.mishap_gauge import MICRON_PA, log_uniform, read
from tests.bench.plant import Course, Day, Floats, Rig, play

KINDS = (
    "dry", "wet", "quick", "slow", "soaked", "valve_steps", "valve_marked", "nitrogen_marked",
    "ice_pool", "ice_body", "leak", "weak_pump", "thin_hose", "gauge_shut", "pump_stopped",
    "air_back", "valve_closed", "leak_opens", "sudden_air", "nitrogen", "cold", "cold_untold",
    "dead",
)  # fmt: skip


@dataclass
class Mishap:
    """Readings and what should be said of them."""

    kind: str
    seed: int
    time_s: Floats
    pressure_pa: Floats
    status: list[Status]
    celsius: float | None
    circuit_c: float
    marks: list[tuple[float, str]]
    due: list[Due]
    allowed: frozenset[str]  # no mistake, nor asked for
    end_s: float  # the clock goes on so far, readings or not


@dataclass
class _Plan:
    """What is being drawn; arrays on the grid, changed by each kind in turn."""

    kind: str
    rng: np.random.Generator
    duration_s: float
    fall_s: float
    level_pa: float  # in the end
    ratio: float  # the load at first over that in the end
    fade_s: float
    power: float
    has_bursts: bool
    water_factor: float
    ambient_c: float
    step_s: float
    day: Day
    marks: list[tuple[float, str]] = field(default_factory=list)
    due: list[Due] = field(default_factory=list)
    allowed: set[str] = field(default_factory=set)
    silent: tuple[float, float] | None = None
    has_thermometer: bool = False

    @property
    def grid_s(self) -> Floats:
        return np.arange(self.day.air_in.size, dtype=np.float64) * self.step_s

    def flow_at(self, pressure_pa: float) -> float:
        return self.day.rig.speed_m3_s(pressure_pa) * pressure_pa

    def moment_s(self, low: float = 0.3, high: float = 0.8) -> float:
        return float(self.duration_s * self.rng.uniform(low, high))


def _plan(kind: str, rng: np.random.Generator) -> _Plan:
    is_shut = kind == "gauge_shut"
    volume = log_uniform(rng, 5e-6, 6e-5) if is_shut else rng.uniform(1.2e-3, 4.5e-3)
    low_s, high_s = {
        "quick": (2.5, 6), "slow": (60, 200), "gauge_shut": (0.1, 2), "thin_hose": (150, 500),
    }.get(kind, (4, 90))  # fmt: skip
    fall_s = log_uniform(rng, low_s, high_s)
    duration_s = log_uniform(rng, 1200, 3 * 3600)
    if kind in ("ice_pool", "ice_body", "leak", "weak_pump", "thin_hose", "soaked", "slow"):
        duration_s = log_uniform(rng, 2400, 4 * 3600)
    bend = rng.uniform(0.2, 2.5)  # viscous over molecular at 20 Pa
    molecular = volume / (fall_s * (1 + 2 * bend))
    pump = max(log_uniform(rng, 0.7e-3, 3.8e-3), 3 * molecular * (1 + bend))
    rig = Rig(pump, molecular, molecular * bend / 12.0)
    step_s = 0.05 if is_shut else 0.2 if fall_s < 10 else 0.5
    count = int(duration_s / step_s)
    level_pa = log_uniform(rng, 40, 380) * MICRON_PA
    has_bursts = kind in ("wet", "soaked") or (kind != "dry" and bool(rng.random() < 0.5))
    return _Plan(
        kind=kind, rng=rng, duration_s=duration_s, fall_s=fall_s, level_pa=level_pa,
        ratio=rng.uniform(1.1, 6), fade_s=log_uniform(rng, 60, 2400), power=rng.uniform(0.6, 1.3),
        has_bursts=has_bursts and not is_shut, water_factor=float(rng.choice([1.0, 1.48, 1.6])),
        ambient_c=rng.uniform(12, 34), step_s=step_s,
        day=Day(step_s, volume, rig, float(rng.choice([101325.0, 2e4, 1500.0])),
                np.full(count, min(rng.uniform(2, 6.5), 0.6 * level_pa)),
                np.zeros(count), np.zeros(count), np.ones(count)),
    )  # fmt: skip


def _load(plan: _Plan) -> None:
    """Outgassing that fades as a power of time, water by two thirds, and bursts of water."""
    day, rng = plan.day, plan.rng
    end = max(plan.flow_at(plan.level_pa) - plan.day.rig.speed_m3_s(plan.level_pa)
              * float(day.ultimate_pa[-1]), 0.0)  # fmt: skip
    load = end * (1 + (plan.ratio - 1) * (1 + plan.grid_s / plan.fade_s) ** -plan.power)
    day.air_in += load / 3
    day.water_in += load * 2 / 3 / plan.water_factor
    if not plan.has_bursts:
        return
    lull_s, flat_s = log_uniform(rng, 8, 60), plan.duration_s * rng.uniform(0.4, 1.2)
    decay_s = max(flat_s, 900.0) / log(600.0 / lull_s)
    day.burst_in = np.zeros(plan.grid_s.size)
    time_s = rng.uniform(30, 180) + rng.exponential(lull_s)
    while time_s < plan.duration_s - 5:
        rise_pa = log_uniform(rng, 4, 60) * MICRON_PA
        first, last = int(time_s / plan.step_s), int((time_s + rng.uniform(0.3, 2)) / plan.step_s)
        day.burst_in[first : last + 1] += rise_pa * day.volume_m3 / (last + 1 - first) / plan.step_s
        lull_now_s = lull_s * exp(time_s / decay_s)
        time_s += rng.gamma(2.0, lull_now_s / 2.0)


def _stuck(plan: _Plan, kind: str) -> None:
    plan.level_pa = log_uniform(plan.rng, 620, 4000) * MICRON_PA
    plan.ratio = 1.0 + (plan.ratio - 1.0) / 10.0
    if kind == "weak_pump":
        warm = 1 + plan.rng.uniform(0, 0.3) * np.exp(
            -plan.grid_s / log_uniform(plan.rng, 600, 3600)
        )
        plan.day.ultimate_pa = 0.93 * plan.level_pa * warm


def _ice(plan: _Plan) -> None:
    """Set water that ends as ice at -2 to -25 C, and enough of it or not."""
    rng, day = plan.rng, plan.day
    celsius = rng.uniform(-25, -2)
    own_pa = plant.saturation_pa(celsius)
    plan.level_pa = min(plan.level_pa, 0.3 * own_pa)
    speed = day.rig.speed_m3_s(own_pa)
    lasts_s = plan.duration_s * log_uniform(rng, 0.4, 3)
    kg_s = speed * own_pa * plant.KG_PER_PA_M3
    open_m3_s = speed * log_uniform(rng, 5, 30)
    if plan.kind == "ice_body":
        end_c = max(celsius - rng.uniform(0.3, 8), -27.0)
        tau_s = log_uniform(rng, 600, 7200)
        plan.ratio = log_uniform(rng, 1.1, max(3 * own_pa / plan.level_pa, 1.2))
        day.pool = plant.ColdBody(celsius, end_c, tau_s, 0.0, lasts_s, open_m3_s)
        return
    warmth = 2.83e6 * kg_s / (plan.ambient_c - celsius)
    metal_j_per_k = log_uniform(rng, 5, 120)
    # What boils away until the rest is frozen: the heat of pool and spot down to ice.
    boils = (4.2e3 * plan.ambient_c + 3.34e5) / 2.5e6
    kg = kg_s * lasts_s / (1 - boils) + metal_j_per_k * plan.ambient_c / 2.5e6
    day.start_pa = max(day.start_pa, 2e4)  # over what the pool boils at
    day.pool = plant.Pool(kg, open_m3_s, warmth, metal_j_per_k, plan.ambient_c, plan.ambient_c)


def _rise(plan: _Plan) -> None:
    """Let the pump stop, the valve close, a leak open, or air come back."""
    rng, day, at_s = plan.rng, plan.day, plan.moment_s()
    volume, after = day.volume_m3, plan.grid_s >= at_s
    until_s = at_s + rng.uniform(180, 600) if rng.random() < 0.5 else None
    if until_s is not None:
        after &= plan.grid_s < until_s
    if plan.kind == "leak_opens":
        day.air_in[after] += plan.flow_at(plan.level_pa * log_uniform(rng, 3, 40))
    else:
        day.opening[after] = 0.0
        day.air_in[after] += volume * {
            "pump_stopped": log_uniform(rng, 0.05, 3), "air_back": log_uniform(rng, 10, 2000),
        }.get(plan.kind, 0.0)  # fmt: skip
    if plan.kind == "valve_marked":
        plan.marks.append((at_s, "valve-closed"))
        if until_s is not None:
            plan.marks.append((until_s, "valve-opened"))
        return
    plan.due.append(Due(("rising", "sudden-rise"), at_s, until_s))
    plan.allowed |= {"not-pulling-down", "rising", "sudden-rise"}


def _gas(plan: _Plan) -> None:
    """Let in air for a moment or for good, or nitrogen for some minutes."""
    rng, day, at_s = plan.rng, plan.day, plan.moment_s(0.3, 0.6)
    grid_s, volume = plan.grid_s, day.volume_m3
    if plan.kind == "sudden_air":
        fill_s, stays = rng.uniform(0.5, 5), rng.random() < 0.3
        filling = (grid_s >= at_s) & (grid_s < at_s + max(fill_s, 2 * plan.step_s))
        day.air_in[filling] += log_uniform(rng, 200, 5e4) * volume / (filling.sum() * plan.step_s)
        if stays:
            day.air_in[grid_s >= at_s] += plan.flow_at(log_uniform(rng, 300, 5e3))
        plan.due.append(Due(("sudden-rise", "rising"), at_s, None))
        plan.allowed |= {"not-pulling-down", "sudden-rise", "rising"}
        return
    fill_s, stay_s = rng.uniform(8, 90), rng.uniform(240, 700)
    filling = (grid_s >= at_s) & (grid_s < at_s + fill_s)
    day.opening[(grid_s >= at_s) & (grid_s < at_s + fill_s + stay_s)] = 0.0
    day.air_in[filling] += rng.uniform(1.05e5, 1.2e5) * volume / fill_s
    if plan.kind == "nitrogen_marked":
        plan.marks.append((at_s + rng.uniform(-40, 3), "nitrogen-in"))
        if rng.random() < 0.4:
            plan.marks.append((at_s + fill_s + stay_s, "valve-opened"))
    else:
        plan.due.append(Due(("sudden-rise", "rising"), at_s, None))
        plan.allowed |= {"sudden-rise", "rising"}


def _twist(plan: _Plan) -> None:
    rng, kind = plan.rng, plan.kind
    if kind in ("leak", "weak_pump", "thin_hose"):
        _stuck(plan, kind)
    if kind in ("ice_pool", "ice_body"):
        _ice(plan)
    if kind == "gauge_shut":  # a few millilitres of hose give off little
        plan.level_pa, plan.ratio = log_uniform(rng, 15, 150) * MICRON_PA, rng.uniform(1.0, 1.4)
        plan.day.ultimate_pa = np.full_like(plan.day.ultimate_pa, 0.6 * plan.level_pa)
    if kind == "soaked":
        plan.ratio, plan.power = rng.uniform(4, 12), rng.uniform(0.5, 0.8)
    _load(plan)
    if kind in ("leak_opens", "pump_stopped", "air_back", "valve_closed", "valve_marked"):
        _rise(plan)
    if kind in ("sudden_air", "nitrogen", "nitrogen_marked"):
        _gas(plan)
    if kind == "valve_steps":
        for at_s in rng.uniform(0.1, 0.9, 3) * plan.duration_s:
            plan.day.opening[plan.grid_s >= at_s] *= rng.uniform(0.7, 1.3)
    if kind in ("cold", "cold_untold"):
        plan.ambient_c = rng.uniform(-4, 8.5)
        plan.has_thermometer = kind == "cold" and bool(rng.random() < 0.6)
        if kind == "cold":
            plan.due.append(Due(("cold",), 0.0, None))
    if kind == "gauge_shut":
        plan.due.append(Due(("gauge-shut-off",), 0.0, None))
        plan.allowed.add("no-bursts-seen")
    if kind == "dead":
        at_s = plan.moment_s()
        plan.silent = (
            at_s,
            at_s + log_uniform(rng, 40, 900) if rng.random() < 0.6 else plan.duration_s,
        )
        plan.due.append(Due(("no-signal",), at_s + 30.0, plan.silent[1]))
    if not plan.has_bursts or kind in ("dead", "nitrogen", "sudden_air", "soaked"):
        plan.allowed.add("no-bursts-seen")


def _tell(plan: _Plan, course: Course) -> None:
    """Say from the course when it stood too high, and whether that was ice."""
    shown = course.shown_pa(plan.water_factor)
    end_pa = float(np.median(shown[-max(1, int(120 / plan.step_s)) :]))
    if plan.kind in ("leak", "weak_pump", "thin_hose") and end_pa > 580 * MICRON_PA:
        near = np.flatnonzero(shown > 1.15 * end_pa)
        from_s = float(near[-1] + 1) * plan.step_s if near.size else 0.0
        plan.allowed.add("not-pulling-down")
        if from_s < plan.duration_s - 1500:
            plan.due.append(Due(("not-pulling-down",), max(from_s, 600.0)))
    # Ice that stands under the limit of flat hides from anyone who has only the trace.
    ice = np.flatnonzero(course.is_ice & (shown > 550 * MICRON_PA))
    if course.is_ice.any() or (plan.day.pool is not None and end_pa > 580 * MICRON_PA):
        plan.allowed |= {"ice", "no-bursts-seen", "not-pulling-down"}  # or it is freezing still
    if ice.size:
        from_s, until_s = float(ice[0]) * plan.step_s, float(ice[-1]) * plan.step_s
        plan.allowed |= {"ice", "not-pulling-down"}
        if until_s - max(from_s, 600.0) > 900.0:
            is_over = until_s < plan.duration_s - 2 * plan.step_s
            plan.due.append(Due(("ice",), from_s, until_s if is_over else None))


def make_mishap(kind: str, seed: int) -> Mishap:
    """Make one trace, always the same for a kind and seed.

    Raises
    ------
    ValueError
        If ``kind`` is not one of ``KINDS``.
    """
    if kind not in KINDS:
        raise ValueError(f"unknown kind {kind!r}; one of {', '.join(KINDS)}")
    plan = _plan(kind, np.random.default_rng([crc32(b"mishap " + kind.encode()), seed]))
    _twist(plan)
    course = play(plan.day)
    _tell(plan, course)
    time_s, pressure_pa, status = read(
        course.shown_pa(plan.water_factor), plan.step_s, plan.duration_s, plan.rng
    )
    if plan.silent is not None:
        kept = (time_s < plan.silent[0]) | (time_s > plan.silent[1])
        time_s, pressure_pa = time_s[kept], pressure_pa[kept]
        status = [s for s, k in zip(status, kept.tolist(), strict=True) if k]
    is_told = kind == "cold" and not plan.has_thermometer
    return Mishap(
        kind=kind, seed=seed, time_s=time_s, pressure_pa=pressure_pa, status=status,
        celsius=round(plan.ambient_c, 1) if plan.has_thermometer else None,
        circuit_c=plan.ambient_c if is_told else 20.0, marks=sorted(plan.marks), due=plan.due,
        allowed=frozenset(plan.allowed), end_s=plan.duration_s,
    )  # fmt: skip
