from collections.abc import Sequence
from math import isfinite

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import find_peaks

from analysis.burst.detector import BurstDetector
from analysis.snapshot import Burst
from tests.bench.score import score_bursts, total
from tests.bench.traces import KINDS, make_trace

Floats = NDArray[np.float64]


def changes(times_s: Sequence[float], pressures_pa: Sequence[float]) -> list[Burst]:
    detector = BurstDetector()
    found: list[Burst] = []
    for time_s, pressure_pa in zip(times_s, pressures_pa, strict=True):
        found += detector.update(time_s, pressure_pa)
    return found


def confirmed(times_s: Floats, pressures_pa: Floats) -> list[Burst]:
    found = changes(times_s.tolist(), pressures_pa.tolist())
    return [burst for burst in found if burst.state == "confirmed"]


def lulled(
    *, minutes: float = 15.0, interval_s: float = 0.5, noise_pa: float = 0.1, seed: int = 0
) -> tuple[Floats, Floats, list[float]]:
    """A quiet falling trace with a burst of 2 Pa every 30 s; times on a binary lattice."""
    rng = np.random.default_rng(seed)
    times_s = np.arange(0.0, minutes * 60.0, interval_s)
    trace = 60.0 + 40.0 * np.exp(-times_s / 300.0)
    onsets = [60.25 + 30.0 * i for i in range(int(minutes * 2) - 4)]
    for onset_s in onsets:
        since = np.maximum(times_s - onset_s, 0.0)
        trace += 2.1 * (np.exp(-since / 12.0) - np.exp(-since / 0.5))
    return times_s, trace + rng.normal(0.0, noise_pa, times_s.size), onsets


def test_finds_every_burst_of_a_plain_trace_where_and_as_large_as_it_is() -> None:
    times_s, trace, onsets = lulled()
    found = confirmed(times_s, trace)
    assert len(found) == len(onsets)
    for burst, onset_s in zip(found, onsets, strict=True):
        assert burst.onset_s == pytest.approx(onset_s, abs=1.0)
        assert burst.onset_s < burst.peak_s < burst.seen_s < onset_s + 15.0
        assert burst.rise_pa == pytest.approx(1.75, rel=0.3)
    falls = [burst.fall_s for burst in found[5:]]
    assert np.median(falls) == pytest.approx(12.0, rel=0.3)
    areas = [burst.area_pa_s for burst in found[5:]]
    assert np.median(areas) == pytest.approx(2.1 * 11.5, rel=0.3)


# Kinds, a floor of F1 each must reach on one trace, and how many of its traces are tried here.
QUICK = ["fast", "overlap", "glitches", "power_law"]


@pytest.mark.parametrize("kind", QUICK)
def test_scores_well_on_made_up_traces(kind: str) -> None:
    trace = make_trace(kind, 41)
    found = confirmed(trace.time_s, trace.pressure_pa)
    assert score_bursts(trace, [b.onset_s for b in found]).f1 > 0.9


@pytest.mark.slow
def test_scores_well_on_every_kind_and_better_than_find_peaks() -> None:
    ours, peaks = [], []
    for kind in KINDS:
        for seed in (51, 52):
            trace = make_trace(kind, seed)
            found = confirmed(trace.time_s, trace.pressure_pa)
            ours.append(score_bursts(trace, [b.onset_s for b in found]))
            noise_pa = trace.noise_pa(float(trace.time_s[-1]))
            tops, _ = find_peaks(trace.pressure_pa, prominence=6.0 * noise_pa)
            peaks.append(score_bursts(trace, trace.time_s[tops].tolist()))
    assert total(ours).f1 > 0.965
    assert total(ours).f1 > total(peaks).f1 + 0.05


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_cut_changes_nothing_seen_before_it(share: float) -> None:
    trace = make_trace("overlap", 3)
    whole = changes(trace.time_s.tolist(), trace.pressure_pa.tolist())
    count = int(share * trace.time_s.size)
    cut_s = float(trace.time_s[count - 1])
    part = changes(trace.time_s[:count].tolist(), trace.pressure_pa[:count].tolist())
    assert part == [burst for burst in whole if burst.seen_s <= cut_s]
    assert part


def test_nothing_is_revised_once_confirmed() -> None:
    trace = make_trace("overlap", 3)
    final: set[int] = set()
    for burst in changes(trace.time_s.tolist(), trace.pressure_pa.tolist()):
        assert burst.number not in final
        if burst.state != "provisional":
            final.add(burst.number)


def test_confirmed_onsets_come_within_bounded_time() -> None:
    times_s, trace, _ = lulled()
    assert all(burst.seen_s - burst.onset_s < 60.0 for burst in confirmed(times_s, trace))


def test_a_shift_in_time_shifts_the_bursts() -> None:
    times_s, trace, _ = lulled()
    still, moved = confirmed(times_s, trace), confirmed(times_s + 65536.0, trace)
    assert len(still) == len(moved)
    for one, other in zip(still, moved, strict=True):
        assert other.onset_s - 65536.0 == pytest.approx(one.onset_s, abs=1e-3)
        assert other.rise_pa == pytest.approx(one.rise_pa, rel=1e-3)


@pytest.mark.parametrize("scale", [0.25, 4.0])
def test_the_unit_of_pressure_does_not_matter(scale: float) -> None:
    """Scale-free but for the sudden rise, whose 67 Pa are a circuit's own."""
    times_s, trace, _ = lulled()
    plain, scaled = confirmed(times_s, trace), confirmed(times_s, trace * scale)
    assert [burst.onset_s for burst in scaled] == pytest.approx([b.onset_s for b in plain])
    assert [burst.rise_pa / scale for burst in scaled] == pytest.approx([b.rise_pa for b in plain])


@pytest.mark.parametrize("seed", range(3))
def test_a_trace_without_bursts_has_none(seed: int) -> None:
    rng = np.random.default_rng(seed)
    times_s = np.arange(0.0, 3600.0, 1.0)
    trace = 40.0 + 300.0 * np.exp(-times_s / 200.0) + rng.normal(0.0, 0.1, times_s.size)
    trace[::211] += rng.choice([-8.0, 8.0], trace[::211].size)  # glitches
    trace[1500:] += 4.0  # a valve moved
    trace[2500:] -= 3.0
    found = confirmed(np.delete(times_s, slice(2000, 2090)), np.delete(trace, slice(2000, 2090)))
    assert found == []


@pytest.mark.parametrize("sinking_s", [0.5, 3.0, 8.0])
@pytest.mark.parametrize("interval_s", [0.25, 1.0])
def test_a_level_that_sinks_in_steps_has_none(sinking_s: float, interval_s: float) -> None:
    times_s = np.arange(0.0, 900.0, interval_s)
    trace = 150.0 + np.random.default_rng(0).normal(0.0, 0.1, times_s.size)
    for at_s in range(60, 850, 97):
        trace += 6.0 * np.expm1(-np.maximum(times_s - at_s, 0.0) / sinking_s)
    assert confirmed(times_s, trace) == []


def test_a_nitrogen_break_hides_nothing_else_and_makes_no_burst() -> None:
    times_s, trace, onsets = lulled(minutes=20.0)
    broken = (times_s > 600.0) & (times_s < 900.0)
    filled = 1e5 * (1.0 - np.exp(-(times_s - 600.0) / 10.0))
    pulled = filled[broken][-1] * np.exp(-(times_s - 900.0) / 6.0)
    trace = trace + np.where(broken, filled, 0.0) + np.where(times_s >= 900.0, pulled, 0.0)
    found = [burst.onset_s for burst in confirmed(times_s, trace)]
    assert not [onset_s for onset_s in found if 601.0 < onset_s < 940.0]
    wanted = [onset_s for onset_s in onsets if onset_s < 580.0 or onset_s > 1000.0]
    hits = sum(any(abs(found_s - onset_s) < 2.0 for found_s in found) for onset_s in wanted)
    assert hits >= 0.95 * len(wanted)


def test_an_interruption_retracts_what_is_not_final() -> None:
    times_s, trace, onsets = lulled()
    detector, shown = BurstDetector(), {}
    for time_s, pressure_pa in zip(times_s.tolist(), trace.tolist(), strict=True):
        for burst in detector.update(time_s, pressure_pa):
            shown[burst.number] = burst.state
        if time_s > onsets[5] and "provisional" in shown.values():
            break
    assert detector.is_observing
    retracted = detector.interrupt(time_s)
    assert [b.state for b in retracted] == ["retracted"]
    assert shown[retracted[0].number] == "provisional"
    assert not detector.is_observing
    assert detector.interrupt(time_s) == ()


def test_state_is_told_from_when_it_is_known() -> None:
    detector = BurstDetector()
    assert detector.noise_pa is None
    assert detector.smallest_burst_pa is None
    assert detector.baseline_pa is None
    assert detector.slope_pa_per_s is None
    assert detector.fall_s is None
    assert not detector.is_observing
    times_s, trace, _ = lulled()
    for time_s, pressure_pa in zip(times_s.tolist(), trace.tolist(), strict=True):
        detector.update(time_s, pressure_pa)
    assert detector.noise_pa == pytest.approx(0.1, rel=0.2)
    assert detector.smallest_burst_pa == 5.0 * (detector.noise_pa or 0.0)
    assert detector.baseline_pa == pytest.approx(62.0, abs=1.0)
    assert detector.slope_pa_per_s == pytest.approx(-0.007, abs=0.03)
    assert detector.fall_s == pytest.approx(12.0, rel=0.25)


@pytest.mark.parametrize("seed", range(4))
def test_wild_input_is_borne(seed: int) -> None:
    """Equal times, zero pressure, jumps over decades, long silences: no NaN, no exception."""
    rng = np.random.default_rng(seed)
    times_s = np.cumsum(
        rng.choice([0.0, 0.05, 1.0, 3.0, 400.0], 3000, p=[0.2, 0.4, 0.3, 0.09, 0.01])
    )
    trace = np.maximum(10.0 ** rng.normal(1.5, 0.2, 3000) * rng.choice([0, 1, 1, 1, 1e3], 3000), 0)
    trace[1000:1400] = 0.0
    for burst in changes(times_s.tolist(), trace.tolist()):
        for value in (burst.onset_s, burst.peak_s, burst.rise_pa, burst.fall_s, burst.area_pa_s):
            assert isfinite(value)


@pytest.mark.parametrize(("bin_s", "gap_s"), [(0.0, 10.0), (0.5, -1.0)])
def test_refuses_settings_that_are_none(bin_s: float, gap_s: float) -> None:
    with pytest.raises(ValueError, match="positive"):
        BurstDetector(bin_s=bin_s, gap_s=gap_s)


def test_dense_bursts_are_watched_all_the_time() -> None:
    """Each burst's share of the level is not known then; the level itself is."""
    rng = np.random.default_rng(5)
    times_s = np.arange(0.0, 900.0, 0.5)
    value = 30.0 + 200.0 * np.exp(-times_s / 15.0)
    for onset_s in np.cumsum(rng.uniform(12.0, 30.0, 38)) + 90.0:
        after_s = np.clip(times_s - onset_s, 0.0, None)
        value += 8.0 * (np.exp(-after_s / 35.0) - np.exp(-after_s / 0.6))
    detector, watched, last_s = BurstDetector(), 0, 870.0
    for time_s, pressure in zip(times_s, value + 0.1 * rng.normal(size=times_s.size), strict=True):
        detector.update(float(time_s), float(pressure))
        watched += 120.0 < float(time_s) < last_s and detector.is_observing
    assert watched > 0.85 * 2 * (last_s - 120.0)


@pytest.mark.parametrize("seed", range(4))
def test_a_burst_on_the_steep_start_of_a_pull_is_found(seed: int) -> None:
    """A fall towards an ultimate pressure at constant speed: its slope dies with V/S."""
    rng = np.random.default_rng(seed)
    times_s = np.arange(0.0, 90.0, 0.5)
    trace = 25.0 + 15.0 * np.exp(-times_s / 60.0) + 4000.0 * np.exp(-times_s / 6.0)
    assert not confirmed(times_s, trace + rng.normal(0.0, 0.2, times_s.size))
    for onset_s in (26.0, 38.0):
        since = np.maximum(times_s - onset_s, 0.0)
        trace += 12.0 * (np.exp(-since / 6.0) - np.exp(-since / 0.7))
    found = confirmed(times_s, trace + rng.normal(0.0, 0.2, times_s.size))
    assert [burst.onset_s for burst in found] == pytest.approx([26.0, 38.0], abs=1.0)
