"""What a reading costs ``Evacuation.update``, by how often the gauge reads.

``python -m tests.bench.update_cost [--seeds 1] [--minutes 40]`` prints microseconds of the
processor a reading, the detector's share of them, and both as multiples of a yardstick, a loop of
a hundred multiplications timed in the same run: only multiples can be set beside another machine's.

``--own-rates`` prints instead what all kinds cost at the rates they are made with, 0.5 to 20 Hz,
marks included: the average over all readings, which is what a machine has to do in all, and the
average over the traces, each counted once, in which a slow gauge weighs as much as a fast one.
"""

import argparse
from collections.abc import Callable, Iterator, Sequence
from statistics import median
from time import process_time
from typing import NamedTuple

import numpy as np

from analysis.burst.from_zero import DetectorFromZero
from analysis.evacuation import Evacuation
from analysis.sample import Mark
from tests.bench.ours import Shown
from tests.bench.traces import KINDS as ALL_KINDS
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


class OwnCost(NamedTuple):
    """What one trace costs at its own rate."""

    trace: str
    readings: int
    total_s: float

    @property
    def reading_s(self) -> float:
        """Seconds a reading."""
        return self.total_s / self.readings


def own_cost(trace: Trace, duration_s: float) -> OwnCost:
    """Give what the readings of a trace cost as they are, with its marks."""
    readings = zip(trace.time_s.tolist(), trace.pressure_pa.tolist(), strict=True)
    shown = [Shown(time_s, pressure_pa) for time_s, pressure_pa in readings if time_s <= duration_s]
    marks = [Mark(at_s, kind) for at_s, kind in trace.marks]  # type: ignore[arg-type]
    marks = [mark for mark in marks if shown[0].time_s <= mark.time_s <= shown[-1].time_s]
    items: list[Mark | Shown] = [*marks, *shown]
    items.sort(key=lambda item: item.time_s)
    evacuation = Evacuation()
    from_s = process_time()
    for item in items:
        evacuation.update(item)
    return OwnCost(f"{trace.kind}/{trace.seed}", len(shown), process_time() - from_s)


def averages_s(costs: Sequence[OwnCost]) -> tuple[float, float]:
    """Give the mean seconds a reading over all readings, and over the traces."""
    total_s = sum(cost.total_s for cost in costs)
    by_trace_s = sum(cost.reading_s for cost in costs) / len(costs)
    return total_s / sum(cost.readings for cost in costs), by_trace_s


def print_own_rates(seeds: int, minutes: float, kinds: Sequence[str]) -> None:
    """Print both averages, and the dearest traces."""
    made = (make_trace(kind, seed) for kind in kinds for seed in range(seeds))
    own_cost(make_trace(kinds[0], 0), 300.0)  # what is made once in a program's life is made here
    pairs = [(yardstick_s(), own_cost(trace, 60.0 * minutes)) for trace in made]
    stick_s, costs = median(stick for stick, _ in pairs), [cost for _, cost in pairs]
    print(f"{len(costs)} traces, {sum(cost.readings for cost in costs)} readings")
    print("average over  us/reading  yardsticks")
    for name, mean_s in zip(("readings", "traces"), averages_s(costs), strict=True):
        print(f"{name:12} {1e6 * mean_s:11.1f} {mean_s / stick_s:11.1f}")
    for cost in sorted(costs, key=lambda cost: -cost.reading_s)[:3]:
        print(f"dearest: {cost.trace} {1e6 * cost.reading_s:.1f} us/reading")


def print_table(seeds: int, minutes: float, kinds: Sequence[str]) -> None:
    """Print the cost at each rate."""
    traces = [make_trace(kind, seed) for kind in kinds for seed in range(seeds)]
    print("rate/Hz  us/reading  detector  yardsticks  detector")
    for rate_hz in RATES_HZ:
        stick_s = yardstick_s()
        found = [costs_s(resampled(t, rate_hz, 60.0 * minutes)) for t in traces]
        whole_s, alone_s = (sum(column) / len(found) for column in zip(*found, strict=True))
        times = f"{1e6 * whole_s:10.1f} {1e6 * alone_s:9.1f}"
        print(f"{rate_hz:7.1f} {times} {whole_s / stick_s:11.1f} {alone_s / stick_s:9.1f}")


def main(arguments: Sequence[str] | None = None) -> int:
    """Print what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=40.0)
    parser.add_argument("--kinds", nargs="+")
    parser.add_argument("--own-rates", action="store_true")
    options = parser.parse_args(arguments)
    if options.own_rates:
        print_own_rates(options.seeds, options.minutes, options.kinds or ALL_KINDS)
    else:
        print_table(options.seeds, options.minutes, options.kinds or KINDS)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
