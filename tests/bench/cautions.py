"""Which cautions come, which not, which falsely, how late: ``python -m tests.bench.cautions``."""

import argparse
import math
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from statistics import median

import numpy as np

from analysis.evacuation import Evacuation
from analysis.snapshot import Caution
from sensors.sim.scenarios import SCENARIOS
from sensors.sim.simulation import generate
from tests.bench.gauge import Spans
from tests.bench.ours import Shown, run
from tests.bench.traces import KINDS, make_trace

# Scenarios that begin with a closed valve are holds, which nobody marked here; the longest is left
# out for its length.
SIMULATED = tuple(n for n in SCENARIOS if not n.startswith(("hold", "soaked", "demo")))
EARLY_S = 60.0  # a caution this much before its truth is still that caution
RECOVERY_S = 120.0
EARLY_SHARE = 0.75
TOO_OFTEN = 2 / 600  # twice the flat rate
_RISES = frozenset({"sudden-rise", "rising"})  # one warning or the other will do


@dataclass(frozen=True)
class Case:
    """What was true of one run and what was said."""

    name: str
    expected: tuple[tuple[str, float], ...]
    opened: tuple[tuple[str, float], ...]
    disturbed: Spans = ()
    law_flat_s: float | None = None
    flat_s: float | None = None
    rate_at_flat_per_s: float = 0.0


@dataclass
class Tally:
    """Sums over cases, by kind of caution."""

    delays_s: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    missed: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    stood_in: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    false: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    flats: int = 0
    wrong_flats: list[str] = field(default_factory=list)

    def add(self, case: Case) -> None:
        """Match what was said to what was true, each caution once."""
        left = list(case.opened)
        for kind, from_s in case.expected:
            alike = _RISES if kind in _RISES else {kind}
            hit = next((o for o in left if o[0] in alike and o[1] > from_s - EARLY_S), None)
            if hit is not None:
                left.remove(hit)
                self.delays_s[kind].append(hit[1] - from_s)
                continue
            self.missed[kind][case.name] += 1
            if kind == "ice" and any(o[0] == "not-pulling-down" for o in left):
                self.stood_in[kind][case.name] += 1
        wanted = {kind for kind, _ in case.expected}
        for kind, from_s in left:
            if not _is_explained(kind, from_s, wanted, case.disturbed):
                self.false[kind][case.name] += 1
        self._judge_flat(case)

    def _judge_flat(self, case: Case) -> None:
        if case.flat_s is None:
            return
        self.flats += 1
        is_early = case.law_flat_s is not None and case.flat_s < EARLY_SHARE * case.law_flat_s
        if is_early or case.rate_at_flat_per_s > TOO_OFTEN:
            share = math.nan if case.law_flat_s is None else case.flat_s / case.law_flat_s
            often = 600 * case.rate_at_flat_per_s
            self.wrong_flats.append(
                f"{case.name} ({share:.2f} of the time, {often:.1f} an interval)"
            )


def _is_explained(kind: str, from_s: float, wanted: set[str], disturbed: Spans) -> bool:
    """Whether something true accounts for a caution beyond the first of its kind."""
    if kind in wanted or (kind in _RISES and wanted & _RISES):
        return True
    if kind == "not-pulling-down" and "ice" in wanted:
        return True  # it is what is said until ice is told from a leak
    if kind not in _RISES:
        return False
    return any(a - EARLY_S <= from_s <= b + RECOVERY_S for a, b in disturbed)


def independent(kinds: Iterable[str], seeds: Iterable[int]) -> Iterator[Case]:
    """Run the bench's own generator."""
    seeds = tuple(seeds)
    for kind in kinds:
        for seed in seeds:
            trace = make_trace(kind, seed)
            outcome = run(trace)
            flat_s = outcome.flat_reached_s
            yield Case(
                name=f"{kind}:{seed}",
                expected=trace.cautions,
                opened=_opened(outcome.cautions),
                disturbed=trace.dead_times,
                law_flat_s=trace.law_flat_s,
                flat_s=flat_s,
                rate_at_flat_per_s=0.0 if flat_s is None else trace.rate_per_s(flat_s),
            )


def simulated(names: Iterable[str], seeds: Iterable[int]) -> Iterator[Case]:
    """Run the program's simulator."""
    seeds = tuple(seeds)
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
            expected = [
                (c.kind, c.from_s)
                for c in truth.cautions
                if c.kind != "no-bursts-seen" or (c.until_s is None and len(truth.cautions) == 1)
            ]
            rate = np.nan_to_num(truth.rate.per_s)
            yield Case(
                name=f"sim {name}:{seed}",
                expected=tuple(expected),
                opened=_opened(changes),
                disturbed=tuple((a.time_s, a.time_s + 300.0) for a in truth.actions),
                law_flat_s=truth.flat_s,
                flat_s=flat_s,
                rate_at_flat_per_s=0.0
                if flat_s is None
                else float(np.interp(flat_s, truth.rate.time_s, rate)),
            )


def _opened(changes: Iterable[Caution]) -> tuple[tuple[str, float], ...]:
    return tuple((c.kind, c.from_s) for c in changes if c.until_s is None)


def print_tally(tally: Tally) -> None:
    """Print one line for each kind of caution, and where it went wrong."""
    print(f"{'caution':18s} expected raised missed false  delay: median, 90 in 100")
    for kind in sorted({*tally.delays_s, *tally.missed, *tally.false}):
        delays = tally.delays_s[kind]
        missed, false = tally.missed[kind], tally.false[kind]
        late = f"{median(delays):6.0f} s {np.quantile(delays, 0.9):6.0f} s" if delays else ""
        total = len(delays) + missed.total()
        print(
            f"{kind:18s} {total:8d} {len(delays):6d} {missed.total():6d} {false.total():5d}  {late}"
        )
        for title, names in (("missed", missed), ("false", false)):
            if names:
                print(f"{'':18s} {title}: {', '.join(names)}")
        if tally.stood_in[kind]:
            print(f"{'':18s} of those missed said `not-pulling-down`: {len(tally.stood_in[kind])}")
    wrong = ", ".join(tally.wrong_flats) or "none"
    print(f"flat reached in {tally.flats} runs, wrongly in {len(tally.wrong_flats)}: {wrong}")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.cautions", description=__doc__)
    parser.add_argument("--kinds", default=",".join(KINDS), help="comma-separated; default all")
    parser.add_argument("--scenarios", default=",".join(SIMULATED), help="of the simulator")
    parser.add_argument("--seeds", type=int, default=3, help="of each")
    parser.add_argument("--first-seed", type=int, default=0)
    chosen = parser.parse_args(arguments)
    seeds = range(chosen.first_seed, chosen.first_seed + chosen.seeds)
    tally = Tally()
    for case in independent(filter(None, chosen.kinds.split(",")), seeds):
        tally.add(case)
    for case in simulated(filter(None, chosen.scenarios.split(",")), seeds):
        tally.add(case)
    print_tally(tally)
    return 0


if __name__ == "__main__":
    sys.exit(main())
