"""What ``analyse`` tells about a whole file, as the one JSON object other programs rely on."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from analysis.evacuation import Evacuation
from analysis.nitrogen.pressure_test import PressureTest
from analysis.sample import Mark, Sample, Silence
from analysis.snapshot import Burst, Caution, Snapshot
from app.output.rig_json import (
    blank_off_json,
    isolation_json,
    pressure_test_json,
    pull_json,
    reason_json,
)
from app.words.sentences import Words

VERSION = 1
PROGRESS_STEP_S = 60.0


@dataclass(slots=True)
class Analysis:
    """The outcome of a whole file; all times are seconds since its first reading."""

    samples: int = 0
    duration_s: float = 0.0
    gaps: list[tuple[float, float]] = field(default_factory=list)
    bursts: list[Burst] = field(default_factory=list)
    cautions: list[Caution] = field(default_factory=list)
    progress: list[tuple[float, Snapshot]] = field(default_factory=list)
    last: Snapshot | None = None


def analyse(items: Iterable[Sample | Mark], evacuation: Evacuation) -> Analysis:
    """Send a file's items through the one door, exactly as a live run would.

    The caller's items start at time zero. Where readings are missing the passing of time is told
    each minute, as a live run tells it, so that each progress item knows all that was known then.
    """
    outcome = Analysis()
    for snapshot, is_sample in _snapshots(items, evacuation, outcome):
        outcome.last = snapshot
        if is_sample:
            outcome.samples += 1
            outcome.duration_s = snapshot.time_s
        if snapshot.gap is not None:
            outcome.gaps.append(snapshot.gap)
        if snapshot.bursts:
            outcome.bursts += [b for b in snapshot.bursts if b.state == "confirmed"]
        if snapshot.caution_changes:
            _enter(outcome.cautions, snapshot.caution_changes)
    if outcome.last is not None and (
        not outcome.progress or outcome.progress[-1][0] < outcome.duration_s
    ):
        outcome.progress.append((outcome.duration_s, outcome.last))
    outcome.bursts.sort(key=lambda burst: burst.onset_s)
    return outcome


def _snapshots(
    items: Iterable[Sample | Mark], evacuation: Evacuation, outcome: Analysis
) -> Iterator[tuple[Snapshot, bool]]:
    next_s = PROGRESS_STEP_S
    for item in items:
        while item.time_s > next_s:
            snapshot = evacuation.update(Silence(next_s))
            outcome.progress.append((next_s, snapshot))
            next_s += PROGRESS_STEP_S
            yield snapshot, False
        yield evacuation.update(item), not isinstance(item, Mark)


def _enter(cautions: list[Caution], changes: Iterable[Caution]) -> None:
    for change in changes:
        for index, caution in enumerate(cautions):
            if (caution.kind, caution.from_s) == (change.kind, change.from_s):
                cautions[index] = change
                break
        else:
            cautions.append(change)


def as_json(outcome: Analysis, pressure_test: PressureTest | None = None) -> dict[str, Any]:
    """Give the object of ``analyse --json`` (version 1).

    Parameters
    ----------
    pressure_test
        Kept in the job, if the file is one.
    """
    words, last = Words(), outcome.last
    return {
        "version": VERSION,
        "samples": outcome.samples,
        "duration_s": outcome.duration_s,
        "gaps": [{"from_s": from_s, "to_s": to_s} for from_s, to_s in outcome.gaps],
        "bursts": [_burst(burst) for burst in outcome.bursts],
        "progress": [_progress(at_s, snapshot, words) for at_s, snapshot in outcome.progress],
        "cautions": [
            {
                "kind": caution.kind,
                "from_s": caution.from_s,
                "until_s": caution.until_s,
                "text": words.caution(caution),
            }
            for caution in outcome.cautions
        ],
        "flat_reached_s": None if last is None else last.flat_reached_s,
        "isolations": [isolation_json(each, words) for each in (last.isolations if last else ())],
        "pulls": [pull_json(pull) for pull in (last.pulls if last else ())],
        "blank_off": None if last is None else blank_off_json(last.blank_off, words),
        "pressure_test": pressure_test_json(pressure_test, words),
    }


def _burst(burst: Burst) -> dict[str, float]:
    return {
        "onset_s": burst.onset_s,
        "peak_s": burst.peak_s,
        "rise_pa": burst.rise_pa,
        "fall_s": burst.fall_s,
        "area_pa_s": burst.area_pa_s,
        "seen_s": burst.seen_s,
    }


def _progress(at_s: float, snapshot: Snapshot, words: Words) -> dict[str, Any]:
    flat = snapshot.flat
    return {
        "at_s": at_s,
        "stage": snapshot.stage,
        "lull_s": flat.lull_s,
        "smallest_burst_pa": snapshot.smallest_burst_pa,
        "flat_at_s": flat.flat_at_s,
        "flat_low_s": flat.flat_low_s,
        "flat_high_s": flat.flat_high_s,
        "why": None if flat.why is None else reason_json(flat.why, words),
    }
