"""How holds are judged on random ones of known truth.

``python -m tests.bench.hold_score [FIRST COUNT]``.
"""

import sys
import time
from collections import Counter

import numpy as np

from analysis.hold.finding import analyse_hold
from tests.bench.standing_tests import KINDS, make_standing_test


def score(kinds: tuple[str, ...], seeds: range) -> dict[str, float]:
    """Judge the holds, print a row for each kind, and give the figures over all."""
    right, never, errors, covered, spent = [], [], [], [], 0.0
    no_leak_told = 0
    print(
        f"{'kind':12} {'right':>5} {'no leak, told':>13} {'off':>6} {'held':>5}  findings, missed"
    )
    for kind in kinds:
        findings: Counter[str] = Counter()
        missed, off, inside, false = [], [], [], 0
        for seed in seeds:
            test = make_standing_test(kind, seed)
            begun = time.perf_counter()
            result = analyse_hold(test.time_s, test.pressure_pa, temperature_c=test.temperature_c)
            spent += time.perf_counter() - begun
            findings[result.finding] += 1
            never.append(result.finding in test.never)
            if result.finding not in test.right:
                missed.append(seed)
            if result.finding not in ("leak", "both"):
                continue
            if test.leak_pa_s == 0.0:
                false += 1
            elif result.leak_pa_s is not None:
                leak = result.leak_pa_s
                off.append(abs(leak.best / test.leak_pa_s - 1.0))
                inside.append(leak.low <= test.leak_pa_s <= leak.high)
        right.append(1.0 - len(missed) / len(seeds))
        no_leak_told += false
        errors += off
        covered += inside
        rate = f"{np.median(off):6.4f} {np.mean(inside):5.2f}" if off else f"{'':12}"
        print(
            f"{kind:12} {right[-1]:5.2f} {false:13d} {rate}  {dict(findings)} {missed}", flush=True
        )
    return {
        "right": float(np.mean(right)),
        "plainly_wrong": float(np.mean(never)),
        "leak_told_without": float(no_leak_told),
        "leak_median_error": float(np.median(errors)) if errors else 0.0,
        "leak_covered": float(np.mean(covered)) if covered else 1.0,
        "ms_each": 1e3 * spent / len(never),
    }


if __name__ == "__main__":
    first, count = (int(word) for word in [*sys.argv[1:], "0", "30"][:2])
    print(score(KINDS, range(first, first + count)))
