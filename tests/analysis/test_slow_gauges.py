"""A gauge that reads rarely: when it is silent, and what it cannot show."""

import numpy as np
import pytest

from analysis.evacuation import Evacuation
from analysis.gauge.gaps import GapFinder
from analysis.sample import Silence
from analysis.snapshot import Caution, Snapshot
from app.words.sentences import Words
from sensors.events import Reading
from sensors.sim.simulation import generate


def no_signals(snapshots: list[Snapshot]) -> list[Caution]:
    changes = [change for snapshot in snapshots for change in snapshot.caution_changes]
    return [change for change in changes if change.kind == "no-signal"]


def read_every(spacing_s: float, until_s: float) -> tuple[Evacuation, list[Snapshot]]:
    rng = np.random.default_rng(3)
    times_s = np.arange(0.0, until_s, spacing_s)
    times_s += rng.normal(0.0, 0.02 * spacing_s, times_s.size) * (times_s > 0.0)
    evacuation = Evacuation()
    pressures_pa = 40.0 + rng.normal(0.0, 0.1, times_s.size)
    readings = map(Reading, times_s.tolist(), pressures_pa.tolist())
    return evacuation, [evacuation.update(reading) for reading in readings]


@pytest.mark.parametrize("spacing_s", [20.0, 60.0, 120.0])
def test_its_own_pauses_are_no_silence_once_it_kept_to_them(spacing_s: float) -> None:
    evacuation, snapshots = read_every(spacing_s, 7200.0)
    told = no_signals(snapshots)
    assert all(caution.from_s < 2.1 * spacing_s for caution in told), "while it is not known"
    last_s = snapshots[-1].time_s
    assert not no_signals([evacuation.update(Silence(last_s + 2.5 * spacing_s))])
    (silent,) = no_signals([evacuation.update(Silence(last_s + 4.0 * spacing_s))])
    assert silent.from_s == pytest.approx(last_s + 3.0 * spacing_s, rel=0.1, abs=2.0)
    assert silent.reason.values["silence_s"] == pytest.approx(3.0 * spacing_s, rel=0.1)


def test_drops_of_a_quick_gauge_never_become_its_pace() -> None:
    evacuation = Evacuation()
    times_s = np.concatenate([start_s + np.arange(40.0) for start_s in 100.0 * np.arange(20)])
    snapshots = [evacuation.update(Reading(float(t), 40.0 + 0.1 * (t % 3))) for t in times_s]
    told = [caution for caution in no_signals(snapshots) if caution.until_s is None]
    assert [caution.from_s % 100.0 for caution in told] == [69.0] * 19


@pytest.mark.parametrize(
    ("times_s", "steady_s"),
    [
        ([0.0, 60.0], None),
        ([0.0, 60.0, 61.0, 62.0], 1.0),
        ([0.0, 60.0, 120.0], 60.0),
        ([60.0 * n + 0.01 * k for n in range(40) for k in range(9)], 60.0),
        ([*range(100), 160, 161, 221, 222], 1.0),
    ],
)
def test_a_pace_is_steady_once_it_was_kept_to(times_s: list[float], steady_s: float | None) -> None:
    finder = GapFinder()
    for time_s in times_s:
        finder.update(time_s)
    assert finder.steady_s == (None if steady_s is None else pytest.approx(steady_s, rel=0.01))


@pytest.mark.parametrize("every_s", [15, 30, 60])
def test_no_flat_is_told_from_readings_that_miss_the_bursts(every_s: int) -> None:
    trace, truth = generate("wet", seed=11, rate_hz=1.0, duration_s=7000.0)
    assert truth.flat_s is None or truth.flat_s > 6000.0
    evacuation = Evacuation()
    for time_s, pressure_pa in zip(
        trace.time_s[::every_s].tolist(), trace.pressure_pa[::every_s].tolist(), strict=True
    ):
        snapshot = evacuation.update(Reading(time_s, pressure_pa))
    assert snapshot.flat_reached_s is None
    if snapshot.burst_count == 0:
        assert snapshot.stage_reason.code == "reads-too-rarely"
        assert "Let it read" in Words().verdict(snapshot)
