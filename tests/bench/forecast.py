"""How good is the forecast of flat? ``python -m tests.bench.forecast [RUNS] [SEED] [seldom]``.

Invented boil-offs (``tests.bench.boil_off``) told burst by burst: no pressure trace, no detector.
Prints error beside the exponential maximum-likelihood fit to the true visible onsets, how often
the 80 % range holds the truth, the interval score (Gneiting and Raftery 2007, eq. 43; less is
better), when flat is called, and the cost.
"""

import math
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from time import process_time

import numpy as np

from analysis.flat.forecast import FlatForecast
from analysis.flat.history import History
from analysis.flat.intensity import fit_exponential
from analysis.snapshot import FlatEstimate
from tests.bench.boil_off import FLAT_INTERVAL_S, OFTEN_S, SELDOM_S, BoilOff, draw

SHARES = (0.3, 0.5, 0.7, 0.9, 1.1)
_LONGEST_SHARE = 2.0


@dataclass(frozen=True, slots=True)
class Run:
    """One run's answers: logarithms of (said / true) time, NaN where none was given."""

    law: str
    bursts: int  # visible before flat
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    plain: tuple[float, ...]  # of the exponential fit
    called_at: float  # share of the true time at which flat was first called
    us_per_second: float  # cost per second of the trace


def play(
    boil_off: BoilOff,
    on_time: Callable[[FlatForecast, float], None],
    *,
    until_s: float,
    history: History | None = None,
) -> FlatForecast:
    """Tell a forecast everything up to ``until_s`` in order, calling back after each step."""
    forecast = FlatForecast(flat_interval_s=FLAT_INTERVAL_S, history=history)
    step_s = min(20.0, max(1.0, until_s / 4000.0))  # a gap is over 30 s
    times = np.arange(0.0, until_s, step_s)
    smallest = np.interp(times, boil_off.grid_s, boil_off.smallest_pa)
    told = _told(boil_off)
    index = 0
    for time_s, smallest_pa in zip(times.tolist(), smallest.tolist(), strict=True):
        while index < len(told) and told[index][0] <= time_s:
            forecast.add_burst(*told[index][1:])
            index += 1
        is_dead = any(a <= time_s < b + step_s for a, b in boil_off.dead)
        forecast.observe(time_s, smallest_pa, not is_dead)
        on_time(forecast, time_s)
    return forecast


def _told(boil_off: BoilOff) -> list[tuple[float, float, float, float]]:
    """What the detector tells: when, onset, rise and smallest visible burst there."""
    real = zip(boil_off.told_s, boil_off.onset_s, boil_off.rise_pa, boil_off.seen, strict=True)
    told = [(t, o, r) for t, o, r, is_seen in real if is_seen]
    told += [(o + 10.0, o, 0.0) for o in boil_off.false_onset_s]
    told = [x for x in told if not any(a <= x[1] < b for a, b in boil_off.dead)]
    told.sort(key=lambda x: x[1])
    answer, latest_s = [], 0.0
    for told_s, onset_s, rise_pa in told:
        latest_s = max(latest_s, told_s)
        smallest_pa = float(np.interp(onset_s, boil_off.grid_s, boil_off.smallest_pa))
        rise_pa = rise_pa or 1.2 * smallest_pa  # a false burst is a small one
        answer.append((float(latest_s), float(onset_s), float(rise_pa), smallest_pa))
    return answer


def judge(boil_off: BoilOff) -> Run:
    """Play one run to twice its true time of flat and take down the answers."""
    asked = [share * boil_off.flat_s for share in SHARES]
    given: list[FlatEstimate] = []
    called = [math.inf]

    def on_time(forecast: FlatForecast, time_s: float) -> None:
        estimate = forecast.estimate(time_s)
        if len(given) < len(asked) and time_s >= asked[len(given)]:
            given.append(estimate)
        if called[0] == math.inf and forecast.is_flat(time_s):
            called[0] = time_s

    until_s = _LONGEST_SHARE * boil_off.flat_s
    began = process_time()
    play(boil_off, on_time, until_s=until_s)
    cost_s = process_time() - began
    return Run(
        law=boil_off.law,
        bursts=int(np.count_nonzero(boil_off.onset_s < boil_off.flat_s)),
        middle=tuple(_log(e.flat_at_s, boil_off.flat_s) for e in given),
        low=tuple(_log(e.flat_low_s, boil_off.flat_s) for e in given),
        high=tuple(_log(e.flat_high_s, boil_off.flat_s) for e in given),
        plain=tuple(_plain(boil_off, at_s) for at_s in asked),
        called_at=called[0] / boil_off.flat_s,
        us_per_second=cost_s / until_s * 1e6,
    )


def _log(said_s: float | None, true_s: float) -> float:
    return math.nan if said_s is None else math.log(max(said_s, 1.0) / true_s)


def _plain(boil_off: BoilOff, at_s: float) -> float:
    onset_s = boil_off.onset_s[boil_off.onset_s < at_s]
    if onset_s.size < 4:
        return math.inf
    first_s = float(onset_s[0])
    crossing_s = fit_exponential(onset_s[1:] - first_s, at_s - first_s).crossing_s(
        1.0 / FLAT_INTERVAL_S
    )
    return _log(first_s + crossing_s, boil_off.flat_s) if crossing_s < math.inf else math.inf


@dataclass(frozen=True, slots=True)
class Score:
    """Summary at one share of the true time."""

    answered: float
    error: float  # median of the absolute logarithm
    plain_error: float
    bias: float
    coverage: float
    width: float
    interval_score: float


def score(runs: Sequence[Run], share: float) -> Score:
    """Summarise the answers given at ``share`` of the true time."""
    index = SHARES.index(share)
    plain = float(np.median([abs(r.plain[index]) for r in runs]))
    said = np.array([(r.middle[index], r.low[index], r.high[index]) for r in runs])
    middle, low, high = said[np.isfinite(said[:, 0])].T
    missed = np.maximum(low, 0.0) + np.maximum(-high, 0.0)
    return Score(
        answered=middle.size / len(runs),
        error=float(np.median(np.abs(middle))),
        plain_error=plain,
        bias=float(np.median(middle)),
        coverage=float(np.mean(missed == 0.0)),
        width=float(np.median(high - low)),
        interval_score=float(np.mean(high - low + 10.0 * missed)),
    )


def main(count: int, first_seed: int, first_lull_s: tuple[float, float] = OFTEN_S) -> None:
    """Print the table."""
    seeds = [np.random.default_rng(first_seed + i) for i in range(count)]
    runs = [judge(draw(rng, first_lull_s=first_lull_s)) for rng in seeds]
    bursts = np.percentile([r.bursts for r in runs], [5, 50, 95])
    print("bursts before flat at 5, 50 and 95 % of the runs:", *bursts.round().astype(int))
    for law in ("exponential", "power", "both"):
        some = [r for r in runs if law in (r.law, "both")]
        print(f"\n{law}: {len(some)} runs")
        print("at   answered  error  plain  ratio   bias   held  width  score")
        for share in SHARES:
            s = score(some, share)
            print(
                f"{share:.1f}  {s.answered:7.2f}  {s.error:6.3f} {s.plain_error:6.3f}"
                f"  {s.error / s.plain_error:5.2f} {s.bias:+6.3f}"
                f"  {s.coverage:5.2f}  {s.width:5.2f}  {s.interval_score:5.2f}"
            )
        called = np.array([r.called_at for r in some])
        print(
            f"flat called: before 0.75 {np.mean(called < 0.75):.3f}, earliest {called.min():.2f}, "
            f"median {np.median(called):.2f}, never {np.mean(np.isinf(called)):.2f}"
        )
    print(f"\ncost: {np.median([r.us_per_second for r in runs]):.1f} us per second of trace")


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:] if text != "seldom"]
    count, first_seed = (numbers + [100, 0][len(numbers) :])[:2]
    main(count, first_seed, SELDOM_S if "seldom" in sys.argv else OFTEN_S)
