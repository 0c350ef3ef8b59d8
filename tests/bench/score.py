"""How well found bursts fit the true ones, one trace at a time and summed up."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from tests.bench.traces import Trace, TrueBurst

NEAR_S = 3.0
NEAR_READINGS = 3
_UNSEEN_END_S = (10.0, 60.0)  # a burst this near the end cannot be asked for: its fall is cut off


@dataclass(frozen=True)
class BurstScore:
    """Counts and errors; scores of several traces add up."""

    tp: int = 0
    fp: int = 0
    fn: int = 0
    onset_errors_s: tuple[float, ...] = ()  # found minus true
    rise_ratios: tuple[float, ...] = ()  # found over true, of bursts that stand alone
    delays_s: tuple[float, ...] = ()  # from true onset until seen
    burst_free_s: float = 0.0
    burst_free_fp: int = 0

    def __add__(self, other: "BurstScore") -> "BurstScore":
        return BurstScore(
            *(getattr(self, n) + getattr(other, n) for n in self.__dataclass_fields__)
        )

    @property
    def f1(self) -> float:
        return 2 * self.tp / max(2 * self.tp + self.fp + self.fn, 1)

    @property
    def precision(self) -> float:
        return self.tp / max(self.tp + self.fp, 1)

    @property
    def recall(self) -> float:
        return self.tp / max(self.tp + self.fn, 1)

    @property
    def false_per_h(self) -> float:
        """False alarms per hour on stretches with no burst near."""
        return self.burst_free_fp / max(self.burst_free_s / 3600, 1e-9)


def total(scores: Iterable[BurstScore]) -> BurstScore:
    """Sum of scores."""
    return sum(scores, BurstScore())


def near_s(trace: Trace) -> float:
    """How far a found onset may lie from the true one."""
    return max(NEAR_S, NEAR_READINGS * trace.reading_s)


def _groups(bursts: Sequence[TrueBurst], apart_s: float) -> list[list[TrueBurst]]:
    """Bursts nearer to each other than ``apart_s`` count as one."""
    groups: list[list[TrueBurst]] = []
    for burst in sorted(bursts, key=lambda b: b.onset_s):
        if groups and burst.onset_s - groups[-1][-1].onset_s < apart_s:
            groups[-1].append(burst)
        else:
            groups.append([burst])
    return groups


def _neutral_spans(trace: Trace) -> list[tuple[float, float]]:
    """Where a found burst without a visible partner counts neither way."""
    reach_s = near_s(trace)
    blind = trace.gaps + trace.dead_times
    spans = []
    for burst in trace.bursts:
        until_s = burst.onset_s
        if not burst.is_visible:
            until_s = max([until_s] + [b for a, b in blind if a <= burst.onset_s <= b])
        spans.append((burst.onset_s - reach_s, until_s + reach_s))
    return spans


def _free_s(trace: Trace) -> tuple[float, list[tuple[float, float]]]:
    """Seconds of readings without a burst near, and the spans that are not free."""
    busy = sorted(
        [(b.onset_s - near_s(trace), b.peak_s + max(3 * b.fall_s, 30)) for b in trace.bursts]
        + list(trace.gaps)
    )
    free_s, at_s, end_s = 0.0, 0.0, float(trace.time_s[-1])
    for from_s, until_s in busy:
        free_s += max(0.0, min(from_s, end_s) - at_s)
        at_s = max(at_s, until_s)
    return free_s + max(0.0, end_s - at_s), busy


def _pairs(
    groups: list[list[TrueBurst]], onset_s: Sequence[float], reach_s: float
) -> dict[int, tuple[int, TrueBurst]]:
    """Match found onsets to groups one to one, nearest first."""
    near = sorted(
        (abs(found - burst.onset_s), i, g, k)
        for g, group in enumerate(groups)
        for k, burst in enumerate(group)
        for i, found in enumerate(onset_s)
        if abs(found - burst.onset_s) <= reach_s
    )
    used: set[int] = set()
    pairs: dict[int, tuple[int, TrueBurst]] = {}
    for _, i, g, k in near:
        if i not in used and g not in pairs:
            used.add(i)
            pairs[g] = (i, groups[g][k])
    return pairs


def score_bursts(
    trace: Trace,
    onset_s: Sequence[float],
    rise_pa: Sequence[float] | None = None,
    seen_s: Sequence[float] | None = None,
) -> BurstScore:
    """Compare found bursts with the visible true ones.

    A found burst near a true one that is invisible, or one more inside a group already found,
    counts neither way; so does a true burst whose fall the end of the trace cuts off.
    """
    reach_s = near_s(trace)
    groups = _groups([b for b in trace.bursts if b.is_visible], reach_s)
    pairs = _pairs(groups, onset_s, reach_s)
    used = {i for i, _ in pairs.values()}
    neutral, (free_s, busy) = _neutral_spans(trace), _free_s(trace)
    wrong = [t for i, t in enumerate(onset_s) if i not in used and not _inside(t, neutral)]
    end_s = float(trace.time_s[-1])
    missed = [
        g
        for i, g in enumerate(groups)
        if i not in pairs and g[0].onset_s <= end_s - float(np.clip(g[0].fall_s, *_UNSEEN_END_S))
    ]
    alone = [(i, b) for g, (i, b) in pairs.items() if len(groups[g]) == 1]
    return BurstScore(
        tp=len(pairs),
        fp=len(wrong),
        fn=len(missed),
        onset_errors_s=tuple(onset_s[i] - b.onset_s for i, b in pairs.values()),
        rise_ratios=tuple(rise_pa[i] / b.rise_pa for i, b in alone) if rise_pa else (),
        delays_s=tuple(seen_s[i] - b.onset_s for i, b in pairs.values()) if seen_s else (),
        burst_free_s=free_s,
        burst_free_fp=sum(not _inside(t, busy) for t in wrong),
    )


def _inside(time_s: float, spans: Sequence[tuple[float, float]]) -> bool:
    return any(from_s <= time_s <= until_s for from_s, until_s in spans)
