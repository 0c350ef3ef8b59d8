"""How holds are judged on random ones of known truth: ``python -m tests.bench.hold_score [N]``."""

import sys
import time
from collections import Counter, defaultdict

import numpy as np

from analysis.hold import analyse_hold
from tests.bench.standing_tests import KINDS, make_standing_test


def score(kinds: tuple[str, ...], seeds: range) -> dict[str, float]:
    """Judge the holds, print a row for each kind, and give the figures over all."""
    findings: dict[str, Counter[str]] = defaultdict(Counter)
    right, never, errors, covered, spent = [], [], [], [], 0.0
    missed: dict[str, list[int]] = defaultdict(list)
    for kind in kinds:
        for seed in seeds:
            test = make_standing_test(kind, seed)
            begun = time.perf_counter()
            result = analyse_hold(test.time_s, test.pressure_pa, temperature_c=test.temperature_c)
            spent += time.perf_counter() - begun
            findings[kind][result.finding] += 1
            right.append(result.finding in test.right)
            never.append(result.finding in test.never)
            if not right[-1]:
                missed[kind].append(seed)
            if test.leak_pa_s > 0 and result.leak_pa_s and result.finding in ("leak", "both"):
                leak = result.leak_pa_s
                errors.append(abs(leak.best / test.leak_pa_s - 1.0))
                covered.append(leak.low <= test.leak_pa_s <= leak.high)
        print(f"{kind:12} {dict(findings[kind])} missed seeds {missed[kind]}")
    return {
        "right": float(np.mean(right)),
        "plainly_wrong": float(np.mean(never)),
        "leak_median_error": float(np.median(errors)) if errors else 0.0,
        "leak_covered": float(np.mean(covered)) if covered else 1.0,
        "ms_each": 1e3 * spent / len(right),
    }


if __name__ == "__main__":
    print(score(KINDS, range(int(sys.argv[1]) if len(sys.argv) > 1 else 30)))
