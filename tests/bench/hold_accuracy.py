"""How well holds are judged, on made-up standing tests."""

from collections import Counter

from analysis.hold.finding import analyse_hold
from analysis.snapshot import HoldResult
from tests.bench.holds import HOLD_KINDS, HoldTrace, make_hold


def judge(hold: HoldTrace) -> HoldResult:
    """Let the program judge the whole hold."""
    return analyse_hold(hold.time_s, hold.pressure_pa, temperature_c=hold.temperature_c)


def print_holds(seeds: int) -> None:
    """Findings per kind: right, plainly wrong, unclear, and whether the range holds the leak."""
    print(f"\nHolds: {seeds} of each kind")
    print(
        f"{'kind':14s} {'right':>6s} {'unclear':>8s} {'never':>6s} {'leak in range':>14s}  findings"
    )
    for kind in HOLD_KINDS:
        holds = [make_hold(kind, seed) for seed in range(seeds)]
        results = [judge(h) for h in holds]
        pairs = list(zip(holds, results, strict=True))
        right = sum(r.finding in h.right for h, r in pairs)
        never = sum(r.finding in h.never for h, r in pairs)
        told = [(h.leak_pa_s, r.leak_pa_s) for h, r in pairs if r.leak_pa_s is not None]
        inside = sum(r.low <= true <= r.high for true, r in told)
        findings = Counter(r.finding for r in results)
        unclear = findings["unclear"]
        listed = ", ".join(f"{name} {count}" for name, count in findings.most_common())
        print(
            f"{kind:14s} {right:6d} {unclear:8d} {never:6d} {inside:8d} of {len(told):2d}  {listed}"
        )
