"""Bursts that end at once: a gauge on its own hose, and what is none."""

import math

import numpy as np
import pytest

from analysis.caution.boil import Boil
from analysis.caution.hush import Hush
from analysis.evacuation import Evacuation
from analysis.pace import Pace
from analysis.rules import MICRON_PA
from analysis.sample import Mark
from analysis.snapshot import Caution, Snapshot
from sensors.events import Reading
from tests.analysis.bursts_made import bursts_pa
from tests.analysis.caution.test_signs import Floats, noisy

STEADY_S = [30.0 * i for i in range(1, 33)]
NOISE_PA = 0.1
LEVEL_PA = 30.0


class Watched:
    """A hush that is shown a level each ten seconds, and no burst but those told."""

    def __init__(self, onsets_s: list[float]) -> None:
        self.hush, self.pace, self.boil = Hush(), Pace(), Boil(600.0)
        for onset_s in onsets_s:
            self.boil.add(onset_s)
        self.time_s, self.level_pa = onsets_s[-1], LEVEL_PA

    def go(self, seconds: float, pa_per_s: float = 0.0, *, is_warmed: bool = False) -> str | None:
        """Go on without a burst; give what is told at the end."""
        until_s = self.time_s + seconds
        while self.time_s < until_s:
            self.pace.update(self.time_s, self.level_pa)
            quiet_s = self.time_s - self.boil.onsets_s[-1]
            self.hush.look(
                self.pace, self.boil, NOISE_PA,
                pull_s=0.0, quiet_s=quiet_s, is_low=True, is_warmed=is_warmed,
            )  # fmt: skip
            self.time_s, self.level_pa = self.time_s + 10.0, self.level_pa + 10.0 * pa_per_s
        return None if self.hush.reason is None else self.hush.reason.code


def test_a_silence_that_no_fading_explains_is_told_and_a_shorter_one_is_not() -> None:
    watched = Watched(STEADY_S)
    assert watched.go(240.0) is None
    assert not watched.hush.is_sudden
    assert watched.go(180.0) is None
    assert watched.hush.is_sudden
    assert watched.go(720.0) == "gauge-silent"
    watched.hush.forget(watched.time_s)
    assert not watched.hush.is_sudden


def test_a_level_that_falls_in_the_silence_is_the_circuit_s() -> None:
    assert Watched(STEADY_S).go(3600.0, -1e-3) is None


def test_bursts_that_faded_tell_nothing_by_their_end() -> None:
    faded_s = [-500.0 * math.log(1.0 - i / 33.0) for i in range(32)]
    assert Watched(faded_s).go(3600.0) is None


def test_a_climb_makes_a_short_silence_enough() -> None:
    rare_s = [60.0 * i for i in range(1, 11)]
    assert Watched(rare_s).go(600.0) is None
    assert Watched(rare_s).go(600.0, 2e-3) == "gauge-climbs-silent"
    assert Watched(rare_s).go(600.0, 2e-3, is_warmed=True) is None


def test_a_climb_through_a_lull_that_may_be_one_keeps_flat_off_and_then_is_told() -> None:
    few = Watched([100.0, 300.0, 600.0])
    assert few.go(800.0, 1.5e-3) is None
    assert few.hush.is_creeping
    assert few.go(1200.0, 1.5e-3) == "gauge-climbs-silent"
    few = Watched([100.0, 300.0, 600.0])
    few.go(800.0, 1.5e-3)
    few.go(900.0, -1.5e-3)
    assert not few.hush.is_creeping


@pytest.mark.parametrize("back", ["bursts", "level"])
def test_it_is_over_when_the_circuit_is_seen_again(back: str) -> None:
    watched = Watched(STEADY_S)
    watched.go(900.0)
    if back == "level":
        watched.level_pa -= 6.0 * NOISE_PA
    else:
        watched.boil.add(watched.time_s)
        assert watched.go(30.0) == "gauge-silent"
        watched.boil.add(watched.time_s)
    assert watched.go(80.0) is None
    assert watched.go(3600.0) is None  # what was before is left out


TIMES_S = np.arange(0.0, 3600.0, 0.5)
SHUT_S = 1000.0


def told(shown_pa: Floats, marks: list[Mark]) -> tuple[list[Caution], Snapshot]:
    evacuation, found = Evacuation(), list[Caution]()
    for time_s, pressure_pa in zip(TIMES_S.tolist(), shown_pa.tolist(), strict=True):
        while marks and marks[0].time_s <= time_s:
            found += evacuation.update(marks.pop(0)).caution_changes
        snapshot = evacuation.update(Reading(time_s, pressure_pa))
        found += snapshot.caution_changes
    return [c for c in found if c.kind == "gauge-shut-off"], snapshot


def shut_in_mid_run() -> Floats:
    onsets_s = np.arange(100.0, 3600.0, 25.0)
    boiling_pa = 150.0 * MICRON_PA + 1e4 * np.exp(-TIMES_S / 15.0)
    boiling_pa = boiling_pa + bursts_pa(TIMES_S, onsets_s, 30.0 * MICRON_PA, 15.0)
    at_pa = np.interp(SHUT_S, TIMES_S, boiling_pa)
    shut_pa = at_pa + 0.01 * MICRON_PA * (TIMES_S - SHUT_S)
    return noisy(np.where(TIMES_S < SHUT_S, boiling_pa, shut_pa), step_micron=0.1)


def test_a_gauge_shut_off_on_its_own_hose_is_told_and_no_flat_called() -> None:
    (caution,), last = told(shut_in_mid_run(), [])
    assert SHUT_S < caution.from_s < SHUT_S + 500.0
    assert last.stage != "flat"
    assert last.flat_reached_s is None


def test_the_mark_of_a_valve_ends_it() -> None:
    begun, ended = told(shut_in_mid_run(), [Mark(2000.0, "valve-moved")])[0]
    assert begun.until_s is None
    assert ended.until_s == pytest.approx(2030.0, abs=15.0)
