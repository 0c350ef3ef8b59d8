"""Which cautions come, which not, which falsely, how late: ``python -m tests.bench.cautions``."""

import argparse
import math
import sys
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from analysis.evacuation import Evacuation
from analysis.rules import EvacuationRules
from analysis.sample import Mark, Silence
from analysis.snapshot import Caution
from sensors.sim.scenarios import SCENARIOS
from sensors.sim.simulation import generate
from tests.bench import mishaps
from tests.bench.caution_score import EARLY_S, Case, Due, Span, Tally, table
from tests.bench.gauge import Spans
from tests.bench.mishaps import Mishap, make_mishap
from tests.bench.ours import Shown, run
from tests.bench.traces import KINDS, make_trace

# Scenarios that begin with a closed valve are holds, which nobody marked here; the longest is left
# out for its length.
SIMULATED = tuple(n for n in SCENARIOS if not n.startswith(("hold", "soaked", "demo")))
RECOVERY_S = 120.0
EARLY_SHARE = 0.75
TOO_OFTEN = 2 / 600  # twice the flat rate
_RISES = ("sudden-rise", "rising")  # one warning or the other will do
_NONE_OF_FLAT = frozenset({"no-bursts-seen"})


def spans_of(changes: Iterable[Caution]) -> tuple[Span, ...]:
    """Cautions with when they were raised and lowered, in order."""
    ends = {(c.kind, c.from_s): c.until_s for c in changes}
    return tuple(Span(kind, from_s, until_s) for (kind, from_s), until_s in ends.items())


def follow(mishap: Mishap) -> tuple[tuple[Span, ...], float | None]:
    """Run one mishap through the analysis; give the cautions and the time of flat."""
    evacuation = Evacuation(rules=EvacuationRules(circuit_c=mishap.circuit_c))
    marks, changes, last_s = list(mishap.marks), list[Caution](), 0.0
    rows = zip(mishap.time_s.tolist(), mishap.pressure_pa.tolist(), mishap.status, strict=True)
    for time_s, pressure_pa, status in rows:
        while marks and marks[0][0] <= time_s:
            at_s, kind = marks.pop(0)
            changes += evacuation.update(Mark(at_s, kind)).caution_changes  # type: ignore[arg-type]
        if time_s - last_s > 5.0:
            changes += evacuation.update(Silence(time_s - 1e-3)).caution_changes
        last_s = time_s
        reading = Shown(time_s, pressure_pa, mishap.celsius, status)
        changes += evacuation.update(reading).caution_changes
    end = evacuation.update(Silence(max(mishap.end_s, last_s)))
    return spans_of([*changes, *end.caution_changes]), end.flat_reached_s


def mishap_cases(kinds: Iterable[str], seeds: Sequence[int]) -> Iterator[Case]:
    """Run the bench's own mishaps."""
    for kind in kinds:
        for seed in seeds:
            mishap = make_mishap(kind, seed)
            spans, flat_s = follow(mishap)
            stuck = [d for d in mishap.due if {"ice", "not-pulling-down", "cold"} & set(d.any_of)]
            is_wrong = flat_s is not None and any(
                d.from_s <= flat_s and (d.until_s is None or flat_s < d.until_s) for d in stuck
            )
            yield Case(
                kind, f"{kind}:{seed}", tuple(mishap.due), mishap.allowed, spans, mishap.end_s,
                flat_s, f"flat at {flat_s:.0f}" if is_wrong else "",
            )  # fmt: skip


def independent(kinds: Iterable[str], seeds: Sequence[int]) -> Iterator[Case]:
    """Run the bench's other generator, made for bursts."""
    for kind in kinds:
        for seed in seeds:
            trace = make_trace(kind, seed)
            outcome = run(trace)
            due, spans = _dues(trace.cautions), spans_of(outcome.changes)
            flat_s = outcome.flat_reached_s
            rate = 0.0 if flat_s is None else trace.rate_per_s(flat_s)
            allowed = _allowed(due, spans, trace.dead_times)
            yield Case(
                kind, f"{kind}:{seed}", due, allowed, spans, float(trace.time_s[-1]),
                flat_s, _wrong_flat(flat_s, trace.law_flat_s, rate),
            )  # fmt: skip


def simulated(names: Iterable[str], seeds: Sequence[int]) -> Iterator[Case]:
    """Run the program's simulator."""
    for name in names:
        for seed in seeds:
            trace, truth = generate(name, seed=seed, rate_hz=2.0)
            evacuation, changes, flat_s = Evacuation(), list[Caution](), None
            rows = zip(trace.time_s, trace.pressure_pa, trace.temperature_c, strict=True)
            for status, row in zip(trace.status, rows, strict=True):
                time_s, pressure_pa, celsius = map(float, row)
                warmth = None if math.isnan(celsius) else celsius
                snapshot = evacuation.update(Shown(time_s, pressure_pa, warmth, status))
                changes += snapshot.caution_changes
                flat_s = snapshot.flat_reached_s
            # The simulator says `no-bursts-seen` of every moment before the first burst; it is
            # said only at flat, so only a run that never bursts expects it.
            told = [
                (c.kind, c.from_s)
                for c in truth.cautions
                if c.kind != "no-bursts-seen" or (c.until_s is None and len(truth.cautions) == 1)
            ]
            due, spans = _dues(told), spans_of(changes)
            disturbed = tuple((a.time_s, a.time_s + 300.0) for a in truth.actions)
            per_s = np.nan_to_num(truth.rate.per_s)
            rate = 0.0 if flat_s is None else float(np.interp(flat_s, truth.rate.time_s, per_s))
            yield Case(
                f"sim {name}", f"{name}:{seed}", due, _allowed(due, spans, disturbed), spans,
                truth.duration_s, flat_s, _wrong_flat(flat_s, truth.flat_s, rate),
            )  # fmt: skip


def _dues(told: Iterable[tuple[str, float]]) -> tuple[Due, ...]:
    return tuple(Due(_RISES if k in _RISES else (k,), from_s) for k, from_s in told)


def _allowed(due: Sequence[Due], spans: Iterable[Span], disturbed: Spans) -> frozenset[str]:
    """What something true accounts for, beyond what is asked for."""
    wanted = {kind for d in due for kind in d.any_of}
    allowed = set(wanted)
    if "ice" in wanted:
        allowed.add("not-pulling-down")  # it is what is said until ice is told from a leak
    for span in spans:
        is_near = any(a - EARLY_S <= span.from_s <= b + RECOVERY_S for a, b in disturbed)
        if span.kind in _RISES and is_near:
            allowed.add(span.kind)
    return frozenset(allowed)


def _wrong_flat(flat_s: float | None, law_flat_s: float | None, rate_per_s: float) -> str:
    if flat_s is None:
        return ""
    is_early = law_flat_s is not None and flat_s < EARLY_SHARE * law_flat_s
    if not is_early and rate_per_s <= TOO_OFTEN:
        return ""
    share = math.nan if law_flat_s is None else flat_s / law_flat_s
    return f"({share:.2f} of the time, {600 * rate_per_s:.1f} an interval)"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.cautions", description=__doc__)
    parser.add_argument("--mishaps", default=",".join(mishaps.KINDS), help="comma-separated")
    parser.add_argument("--kinds", default="", help=f"of the other generator: {','.join(KINDS)}")
    parser.add_argument("--scenarios", default="", help=f"simulator's: {','.join(SIMULATED)}")
    parser.add_argument("--seeds", type=int, default=10, help="of each")
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--names", action="store_true", help="also print which runs went wrong")
    chosen = parser.parse_args(arguments)
    seeds = range(chosen.first_seed, chosen.first_seed + chosen.seeds)
    tally = Tally()
    for cases, names in (
        (mishap_cases, chosen.mishaps),
        (independent, chosen.kinds),
        (simulated, chosen.scenarios),
    ):
        for case in cases(filter(None, names.split(",")), seeds):
            tally.add(case)
    print(table(tally, with_names=chosen.names))
    return 0


if __name__ == "__main__":
    sys.exit(main())
