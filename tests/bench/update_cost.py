"""What a reading costs ``Evacuation.update``, by how often the gauge reads.

``python -m tests.bench.update_cost [--seeds 1] [--minutes 40]`` prints microseconds of the
processor a reading, the detector's share of them, and both as multiples of a yardstick, a loop of
a hundred multiplications timed in the same run: only multiples can be set beside another machine's.
"""

import argparse
from collections.abc import Callable, Iterator, Sequence
from statistics import median
from time import process_time

import numpy as np

from analysis.evacuation import Evacuation
from analysis.from_zero import DetectorFromZero
from tests.bench.ours import Shown
from tests.bench.traces import Trace, make_trace

RATES_HZ = (10.0, 5.0, 1.0)
KINDS = ("clean", "none", "coarse", "overlap", "wander", "exp_law")
CHUNK = 200  # readings: some milliseconds, so that what disturbs the machine spoils few


def resampled(trace: Trace, rate_hz: float, duration_s: float, seed: int = 0) -> list[Shown]:
    """Read the trace's true course at another rate, with its own noise."""
    time_s = np.arange(0.0, min(duration_s, float(trace.time_s[-1])), 1.0 / rate_hz)
    true_pa = np.interp(time_s, trace.grid_s, trace.true_pa)
    off = np.random.default_rng(seed).standard_normal(time_s.size)
    pressure_pa = np.maximum(true_pa + trace.recipe.noise_pa(true_pa) * off, 0.0)
    return [Shown(t, p) for t, p in zip(time_s.tolist(), pressure_pa.tolist(), strict=True)]


def saw(rate_hz: float, duration_s: float, seed: int = 0) -> list[Shown]:
    """Read a circuit that boils alike from beginning to end: what grows is the program's own."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(0.0, duration_s, 1.0 / rate_hz)
    pressure_pa = 30.0 + 0.05 * rng.standard_normal(time_s.size)
    for onset_s in np.cumsum(rng.gamma(4.0, 10.0, int(duration_s / 40.0))):
        since_s = np.maximum(time_s - onset_s, 0.0)
        pressure_pa += 4.0 * (np.exp(-since_s / 12.0) - np.exp(-since_s / 0.8))
    return [Shown(t, p) for t, p in zip(time_s.tolist(), pressure_pa.tolist(), strict=True)]


def chunk_costs(items: Sequence[Shown], take: Callable[[Shown], object]) -> Iterator[float]:
    """Give seconds of the processor a reading, chunk by chunk."""
    for start in range(0, len(items) - CHUNK + 1, CHUNK):
        chunk = items[start : start + CHUNK]
        from_s = process_time()
        for item in chunk:
            take(item)
        yield (process_time() - from_s) / CHUNK


def yardstick_s() -> float:
    """Give seconds for a hundred multiplications, the median of many."""

    def loop(_: Shown) -> float:
        value = 1.0
        for _step in range(100):
            value = value * 1.0000001 + 1e-9
        return value

    return median(chunk_costs([Shown(0.0, 0.0)] * (15 * CHUNK), loop))


def costs_s(items: Sequence[Shown]) -> tuple[float, float]:
    """Give mean seconds a reading of the whole and of the detector alone, chunks in turn."""
    evacuation, detector = Evacuation(), DetectorFromZero()
    whole = chunk_costs(items, evacuation.update)
    alone = chunk_costs(items, lambda item: detector.update(item.time_s, item.pressure_pa))
    both = list(zip(whole, alone, strict=True))
    return sum(a for a, _ in both) / len(both), sum(b for _, b in both) / len(both)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=40.0)
    parser.add_argument("--kinds", nargs="+", default=KINDS)
    options = parser.parse_args(arguments)
    traces = [make_trace(kind, seed) for kind in options.kinds for seed in range(options.seeds)]
    print("rate/Hz  us/reading  detector  yardsticks  detector")
    for rate_hz in RATES_HZ:
        stick_s = yardstick_s()
        found = [costs_s(resampled(t, rate_hz, 60.0 * options.minutes)) for t in traces]
        whole_s, alone_s = (sum(column) / len(found) for column in zip(*found, strict=True))
        times = f"{1e6 * whole_s:10.1f} {1e6 * alone_s:9.1f}"
        print(f"{rate_hz:7.1f} {times} {whole_s / stick_s:11.1f} {alone_s / stick_s:9.1f}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
