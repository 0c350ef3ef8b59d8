"""How well bursts are found and flat is forecast: ``python -m tests.bench.accuracy``."""

import argparse
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Sequence

import numpy as np

from tests.bench.flat_score import SHARES, Answer, ask, exponential_fit, score_flat
from tests.bench.hold_accuracy import print_holds
from tests.bench.ours import Outcome, run
from tests.bench.rivals import Setting, rivals
from tests.bench.score import BurstScore, score_bursts, total
from tests.bench.traces import KINDS, Trace, make_trace

QUICK_KINDS = ("clean", "overlap", "murky", "coarse", "glitches", "gaps", "none", "nitrogen")
OURS = "Simmerdown"
_RISES = ("sudden-rise", "rising")  # one warning or the other will do


class Tally:
    """Sums over traces; holds no trace."""

    def __init__(self) -> None:
        self.ours: dict[str, list[BurstScore]] = defaultdict(list)
        self.rivals: dict[str, dict[Setting, dict[str, list[BurstScore]]]] = defaultdict(
            lambda: defaultdict(lambda: defaultdict(list))
        )
        self.answers: list[Answer] = []
        self.plain: list[Answer] = []
        self.cautions: dict[str, list[float | None]] = defaultdict(list)  # delays of the expected
        self.unexpected: dict[str, Counter[str]] = defaultdict(Counter)  # by trace kind
        self.hours = 0.0
        self.early_flats: list[tuple[str, int]] = []
        self.flats = 0
        self.readings = 0
        self.seconds = 0.0

    def add(self, trace: Trace) -> None:
        """Run everything over one trace."""
        started = time.perf_counter()
        outcome = run(trace)
        self.seconds += time.perf_counter() - started
        self.readings += trace.time_s.size
        self.hours += float(trace.time_s[-1]) / 3600
        found = outcome.confirmed
        self.ours[trace.kind].append(
            score_bursts(
                trace,
                [b.onset_s for b in found],
                [b.rise_pa for b in found],
                [b.seen_s for b in found],
            )
        )
        for name, finder in rivals().items():
            for setting, onset_s in finder(trace).items():
                score = score_bursts(trace, onset_s)
                self.rivals[name][setting][trace.kind].append(score)
        self.answers += ask(trace, lambda at_s: outcome.forecasts.get(at_s))
        self.plain += ask(trace, lambda at_s: exponential_fit(trace, at_s))
        self._judge(trace, outcome)

    def _judge(self, trace: Trace, outcome: Outcome) -> None:
        """Cautions that ought to come, those that ought not, and flat said too early."""
        left = list(outcome.cautions)
        for kind, from_s in trace.cautions:
            alike = _RISES if kind in _RISES else (kind,)
            hit = next((c for c in left if c.kind in alike and c.from_s > from_s - 60), None)
            self.cautions[kind].append(None if hit is None else hit.from_s - from_s)
            if hit is not None:
                left.remove(hit)
        wanted = {kind for kind, _ in trace.cautions}
        if wanted.intersection(_RISES):
            wanted.update(_RISES)
        for caution in left:
            if caution.kind not in wanted and caution.kind != "no-bursts-seen":
                self.unexpected[caution.kind][trace.kind] += 1
        flat_s = outcome.flat_reached_s
        if flat_s is not None:
            self.flats += 1
            if trace.rate_per_s(flat_s) > 2 / 600:  # more than twice the flat rate
                self.early_flats.append((trace.kind, trace.seed))


def _best(settings: dict[Setting, dict[str, list[BurstScore]]]) -> Setting:
    return max(settings, key=lambda s: total(b for k in settings[s].values() for b in k).f1)


def print_bursts(tally: Tally, kinds: Sequence[str]) -> None:
    """F1 per kind, ours beside the others at the setting that suits each best over the set."""
    best = {name: _best(settings) for name, settings in tally.rivals.items()}
    columns = {OURS: tally.ours} | {name: tally.rivals[name][best[name]] for name in best}
    print("\nBursts: F1 per kind, others at the one setting that is best for them over this set")
    print(f"{'':16s} {'true':>5s}", *(f"{name:>24s}" for name in columns))
    for kind in kinds:
        scores = [total(column[kind]) for column in columns.values()]
        true = scores[0].tp + scores[0].fn
        cells = [f"{s.f1:.3f}" if true else f"{s.fp} false" for s in scores]
        print(f"{kind:16s} {true:5d}", *(f"{cell:>24s}" for cell in cells))
    sums = [total(s for scores in column.values() for s in scores) for column in columns.values()]
    print(f"{'all':16s} {sums[0].tp + sums[0].fn:5d}", *(f"{s.f1:24.3f}" for s in sums))
    print(f"{'precision':22s}", *(f"{s.precision:24.3f}" for s in sums))
    print(f"{'recall':22s}", *(f"{s.recall:24.3f}" for s in sums))
    print(f"{'false/h where quiet':22s}", *(f"{s.false_per_h:24.3f}" for s in sums))
    print(f"{'setting':22s} {'as it comes':>24s}", *(f"{best[name]!s:>24s}" for name in best))
    _print_errors(sums[0])


def _print_errors(score: BurstScore) -> None:
    if not score.tp:
        return
    errors_s, ratios = np.array(score.onset_errors_s), np.array(score.rise_ratios)
    low, middle, high = np.quantile(ratios, (0.1, 0.5, 0.9))
    print(
        f"{OURS}: {score.tp} found, {score.fp} false, {score.fn} missed; onset error median "
        f"{np.median(errors_s):+.2f} s, 90 in 100 within {np.quantile(np.abs(errors_s), 0.9):.2f} s"
    )
    print(f"  rise found / true: median {middle:.2f}, 80 in 100 from {low:.2f} to {high:.2f}")
    late_s = np.quantile(score.delays_s, (0.5, 0.9))
    print(f"  seen after onset: median {late_s[0]:.1f} s, 90 in 100 within {late_s[1]:.1f} s")


def print_flat(tally: Tally) -> None:
    """Forecasts at shares of the true time, beside a fit that is told the true bursts."""
    print("\nFlat: forecasts at shares of the true time (80 % ranges; score: less is better)")
    print(f"{'':40s}  asked answered |ln error| coverage   score")
    both = [
        pair
        for pair in zip(tally.answers, tally.plain, strict=True)
        if pair[0].said is not None and pair[1].said is not None
    ]
    names = (OURS, "exponential fit to the TRUE bursts")
    for part, (name, answers) in enumerate(zip(names, (tally.answers, tally.plain), strict=True)):
        for share in SHARES:
            _print_flat(f"{name:35s} {share:4.0%}", [a for a in answers if a.share == share])
        _print_flat(f"{name:35s}  all", answers)
        _print_flat("  where both answer", [pair[part] for pair in both])


def _print_flat(name: str, answers: Sequence[Answer]) -> None:
    s = score_flat(answers)
    print(
        f"{name:40s} {s.asked:6d} {s.answered:8.2f} {s.median_error:10.3f} "
        f"{s.coverage:8.2f} {s.interval_score:7.2f}"
    )


def print_cautions(tally: Tally) -> None:
    """Expected cautions seen, unexpected ones, and flat said too early."""
    print(f"\nCautions over {tally.hours:.0f} h")
    for kind in sorted(set(tally.cautions) | set(tally.unexpected)):
        delays = [d for d in tally.cautions[kind] if d is not None]
        late = f"median delay {np.median(delays):.0f} s" if delays else ""
        print(
            f"  {kind:18s} expected {len(tally.cautions[kind]):3d}, seen {len(delays):3d}, "
            f"unexpected {tally.unexpected[kind].total():3d}  {late}"
        )
        if tally.unexpected[kind]:
            places = ", ".join(f"{k} {n}" for k, n in tally.unexpected[kind].most_common(8))
            print(f"{'':22s}unexpected in: {places}")
    early = ", ".join(f"{kind}:{seed}" for kind, seed in tally.early_flats) or "none"
    print(
        f"  flat reached in {tally.flats} traces; with the rate over twice the flat rate: {early}"
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.accuracy", description=__doc__)
    parser.add_argument("--kinds", default="", help="comma-separated; default all")
    parser.add_argument("--seeds", type=int, default=4, help="traces of each kind")
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--quick", action="store_true", help="one seed of a few kinds")
    parser.add_argument("--no-holds", action="store_true")
    chosen = parser.parse_args(arguments)
    kinds = (
        tuple(chosen.kinds.split(",")) if chosen.kinds else QUICK_KINDS if chosen.quick else KINDS
    )
    seeds = range(chosen.first_seed, chosen.first_seed + (1 if chosen.quick else chosen.seeds))
    tally = Tally()
    for kind in kinds:
        for seed in seeds:
            tally.add(make_trace(kind, seed))
        print(f"  {kind} done", file=sys.stderr)
    print(
        f"{len(kinds)} kinds x {len(seeds)} seeds, {tally.hours:.0f} h of readings; "
        f"{1e6 * tally.seconds / tally.readings:.0f} us a reading"
    )
    if "ObsPy recursive STA/LTA" not in rivals():
        print("obspy is not installed: its recursive STA/LTA is left out")
    print_bursts(tally, kinds)
    print_flat(tally)
    print_cautions(tally)
    if not chosen.no_holds:
        print_holds(2 if chosen.quick else 3 * chosen.seeds)
    return 0


if __name__ == "__main__":
    sys.exit(main())
