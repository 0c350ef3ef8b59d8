"""Signs that come late in a run: a gauge shut off while it boils, a pull that takes half a day."""

import numpy as np
import pytest

from analysis.caution.drop import Drop
from analysis.evacuation import Evacuation
from analysis.rules import MICRON_PA
from analysis.sample import Mark
from analysis.snapshot import Caution, Snapshot
from analysis.water import boiling_pressure_pa
from sensors.events import Reading
from tests.analysis.bursts_made import bursts_pa
from tests.analysis.caution.test_signs import Floats, noisy, pumped, raised

BOILS_S = np.arange(0.0, 1500.0, 0.5)
SHUT_S = 900.0


def boiling(fall_s: float = 20.0) -> Floats:
    """A circuit at 150 micron that boils each 40 s."""
    pressure_pa = 150.0 * MICRON_PA + 1e4 * np.exp(-BOILS_S / fall_s)
    onsets_s = np.arange(200.0, 1500.0, 40.0)
    return np.asarray(pressure_pa + bursts_pa(BOILS_S, onsets_s, 60.0 * MICRON_PA, fall_s))


@pytest.mark.parametrize("within_s", [0.3, 0.8])
def test_a_gauge_shut_off_while_it_boils_is_told(within_s: float) -> None:
    since_s = np.maximum(BOILS_S - SHUT_S, 0.0)
    rest_pa = 20.0 * MICRON_PA
    shown_pa = rest_pa + (boiling() - rest_pa) * np.exp(-since_s / within_s)
    ((kind, from_s, until_s),) = raised(BOILS_S, noisy(shown_pa, step_micron=0.1))
    assert kind == "gauge-shut-off"
    assert SHUT_S < from_s < SHUT_S + 40.0
    assert until_s is None


FAST_S = np.arange(0.0, 900.0, 0.5)


@pytest.mark.parametrize(
    ("times_s", "shown_pa", "code"),
    [
        (FAST_S, 30.0 * MICRON_PA + 1e5 * np.exp(-FAST_S / 0.5), "gauge-shut-off"),
        (FAST_S, 100.0 * MICRON_PA + 1e5 * np.exp(-FAST_S / 2.5), "gauge-stands-still"),
        (BOILS_S, np.where(BOILS_S < SHUT_S, boiling(), 20.0 * MICRON_PA), "gauge-fell-away"),
    ],
)
def test_each_way_to_see_a_shut_gauge_is_said_by_what_was_seen(
    times_s: Floats, shown_pa: Floats, code: str
) -> None:
    evacuation, told = Evacuation(), set()
    for time_s, pa in zip(
        times_s.tolist(), noisy(shown_pa, step_micron=0.02).tolist(), strict=True
    ):
        for caution in evacuation.update(Reading(time_s, pa)).cautions:
            if caution.kind == "gauge-shut-off":
                told.add((caution.reason.code, 1.0 <= caution.reason.values["fell_s"] < 30.0))
    assert told == {(code, True)}


def test_a_gauge_shut_off_from_a_quick_circuit_is_told() -> None:
    since_s = np.maximum(BOILS_S - SHUT_S, 0.0)
    shut_pa = (30.0 + 270.0 * np.exp(-since_s / 0.5)) * MICRON_PA
    shown_pa = np.where(BOILS_S < SHUT_S, 2.0 * boiling(3.0), shut_pa)
    ((kind, from_s, _),) = raised(BOILS_S, noisy(shown_pa, step_micron=0.5))
    assert kind == "gauge-shut-off"
    assert SHUT_S < from_s < SHUT_S + 40.0


def test_a_gauge_shut_off_before_any_burst_is_told_by_how_the_circuit_came_down() -> None:
    came_pa = 400.0 * MICRON_PA + 1e5 * np.exp(-BOILS_S / 20.0)
    shut_pa = (40.0 + 360.0 * np.exp(-(BOILS_S - SHUT_S) / 2.0)) * MICRON_PA
    shown_pa = np.where(BOILS_S < SHUT_S, came_pa, shut_pa)
    ((kind, from_s, _),) = raised(BOILS_S, noisy(shown_pa, step_micron=0.1))
    assert kind == "gauge-shut-off"
    assert SHUT_S < from_s < SHUT_S + 40.0


def test_a_source_of_gas_that_is_gone_is_no_shut_gauge() -> None:
    for fall_s in (3.0, 20.0):
        gone_pa = 200.0 * MICRON_PA * np.exp(-np.maximum(BOILS_S - SHUT_S, 0.0) / fall_s)
        shown_pa = noisy(boiling(fall_s) / 3.0 + gone_pa, step_micron=0.1)
        found = raised(BOILS_S, shown_pa)
        assert not [kind for kind, _, _ in found if kind == "gauge-shut-off"]


def test_a_valve_that_was_turned_by_the_mark_shut_no_gauge_off() -> None:
    dry_pa = 300.0 * MICRON_PA + 1e5 * np.exp(-BOILS_S / 20.0)
    rest_pa = (50.0 + 250.0 * np.exp(-np.maximum(BOILS_S - SHUT_S, 0.0) / 2.0)) * MICRON_PA
    for before_pa in (2.0 * boiling(), dry_pa):
        fell_pa = noisy(np.where(BOILS_S < SHUT_S, before_pa, rest_pa), step_micron=0.1)
        for marked_s in (SHUT_S - 5.0, SHUT_S + 40.0):
            found = raised(BOILS_S, fell_pa, marks=[Mark(marked_s, "valve-moved")])
            ends = [until for kind, _, until in found if kind == "gauge-shut-off"]
            assert all(until is not None and until < marked_s + 60.0 for until in ends)
            assert bool(ends) == (marked_s > SHUT_S)


def test_a_valve_that_was_opened_makes_the_fall_as_much_faster_as_the_level_lower() -> None:
    for share, is_told in ((0.45, False), (0.1, True)):
        drop = Drop()
        for second in range(20):
            drop.update(float(second), 40.0 if second < 10 else share * 40.0)
        assert drop.is_too_fast(1.0) == is_told  # 2.3 times as fast
        assert drop.is_too_fast(1.4)  # 3.2 times


def test_a_boil_off_that_falls_and_is_silent_is_told_though_it_fell_no_faster_than_it_may() -> None:
    since_s = np.maximum(BOILS_S - SHUT_S, 0.0)
    shut_pa = (30.0 + 270.0 * np.exp(-since_s / 2.5)) * MICRON_PA
    shown_pa = np.where(BOILS_S < SHUT_S, 2.0 * boiling(3.0), shut_pa)
    ((kind, from_s, _),) = raised(BOILS_S, noisy(shown_pa, step_micron=0.5))
    assert kind == "gauge-shut-off"
    assert SHUT_S + 60.0 < from_s < SHUT_S + 500.0


def test_it_is_over_when_the_gauge_sees_the_circuit_again() -> None:
    is_shut = (BOILS_S > SHUT_S) & (BOILS_S < SHUT_S + 200.0)
    found = raised(BOILS_S, noisy(np.where(is_shut, 20.0 * MICRON_PA, boiling()), step_micron=0.1))
    (until_s,) = [until for kind, _, until in found if kind == "gauge-shut-off"]
    assert until_s is not None
    assert SHUT_S + 200.0 < until_s < SHUT_S + 280.0


def test_a_few_bad_readings_and_a_quick_circuit_are_no_shut_gauge() -> None:
    shown_pa = noisy(boiling(), step_micron=0.1)
    for first in range(500, 2900, 173):
        shown_pa[first : first + 6] = 10.0 * MICRON_PA
    assert not [kind for kind, _, _ in raised(BOILS_S, shown_pa) if kind == "gauge-shut-off"]
    quick_pa = boiling(3.0) + 600.0 * MICRON_PA * np.exp(-(BOILS_S - 700.0) / 3.0) * (
        BOILS_S >= 700.0
    )
    found = raised(BOILS_S, noisy(quick_pa, step_micron=0.1))
    assert not [kind for kind, _, _ in found if kind == "gauge-shut-off"]


def test_a_drop_waits_for_what_the_circuit_can_do() -> None:
    drop = Drop()
    for second in range(20):
        drop.update(float(second), 40.0 if second < 10 else 4.0)
    assert drop.at_s == 10.0
    assert not drop.is_too_fast(None)
    assert not drop.is_too_fast(0.8)
    assert drop.is_too_fast(0.9)  # nine tenths in 1 s, which a fall of 0.9 s takes 2.1 s for
    drop.update(20.0, 31.0)
    assert drop.at_s is None


@pytest.mark.parametrize(("power", "is_told"), [(0.25, True), (0.7, False)])
def test_a_pull_that_would_take_half_a_day_is_told(power: float, is_told: bool) -> None:
    times_s = np.arange(0.0, 5400.0, 1.0)

    def load(time_s: float, _pressure_pa: float) -> float:
        return 1200.0 * MICRON_PA * float(((1.0 + time_s / 1800.0) / 2.0) ** -power)

    found = raised(times_s, noisy(pumped(times_s, load)))
    told = [from_s for kind, from_s, _ in found if kind == "not-pulling-down"]
    assert bool(told) == is_told
    assert all(from_s > 1800.0 for from_s in told)


def test_a_hose_that_is_all_but_shut_pulls_slowly() -> None:
    # Purely viscous, P = 1 / (t / c): 60 s from 10 to 4.5 kPa, half of it each time the time
    # doubles; over 500 micron for long.
    times_s = np.arange(0.0, 3600.0, 1.0)
    scale = 60.0 / (1.0 / 4.5e3 - 1.0 / 1.0e4)
    trace = noisy(1.0 / (1.0 / 1e5 + times_s / scale))
    found = raised(times_s, trace)
    assert [kind for kind, _, _ in found] == ["not-pulling-down"]
    assert 1200.0 <= found[0][1] <= 1500.0


def test_the_quiet_of_ice_is_no_quiet_of_a_dry_circuit() -> None:
    times_s = np.arange(0.0, 6000.0, 1.0)

    def load(time_s: float, _pressure_pa: float) -> float:
        if time_s > 2700.0:
            return 80.0 * MICRON_PA
        return 1.5 * boiling_pressure_pa(-12.0 + 22.0 * float(np.exp(-time_s / 240.0)))

    evacuation, flat_s, ends_s = Evacuation(), None, list[float]()
    for time_s, pressure_pa in zip(times_s.tolist(), noisy(pumped(times_s, load)), strict=True):
        snapshot = evacuation.update(Reading(time_s, float(pressure_pa)))
        flat_s = snapshot.flat_reached_s
        ends_s += [c.until_s for c in snapshot.caution_changes if c.kind == "ice" and c.until_s]
    assert len(ends_s) == 1
    assert flat_s is not None
    assert 1790.0 < flat_s - ends_s[0] < 2000.0


LONG_S = np.arange(0.0, 6000.0, 1.0)


def drying(until_s: float) -> Floats:
    """A circuit at 60 micron whose lulls lengthen by two fifths each, watched until then."""
    onsets_s = 100.0 + 20.0 * (1.4 ** np.arange(1, 14) - 1.0) / 0.4
    pressure_pa = 60.0 * MICRON_PA + 1e4 * np.exp(-LONG_S / 15.0)
    sizes_pa = np.full(onsets_s.size, 25.0 * MICRON_PA)
    return np.asarray(
        pressure_pa
        + bursts_pa(LONG_S, onsets_s[onsets_s < until_s], sizes_pa[onsets_s < until_s], 15.0)
    )


def run(shown_pa: Floats) -> tuple[list[tuple[str, float, float | None]], Snapshot]:
    evacuation, found = Evacuation(), list[Caution]()
    for time_s, pa in zip(LONG_S.tolist(), noisy(shown_pa, step_micron=0.1).tolist(), strict=True):
        last = evacuation.update(Reading(time_s, pa))
        found += last.caution_changes
    ends = {(c.reason.code, c.from_s): c.until_s for c in found}
    return [(code, from_s, until_s) for (code, from_s), until_s in ends.items()], last


def test_no_flat_is_called_on_a_gauge_that_was_shut_off_and_climbs() -> None:
    shut_s = 1500.0
    climbs_pa = 2.0 / 60.0 * MICRON_PA * np.maximum(LONG_S - shut_s, 0.0)
    ((code, from_s, until_s),), last = run(drying(shut_s) + climbs_pa)
    assert (code, until_s) == ("climbing", None)
    assert shut_s < from_s < shut_s + 700.0
    assert last.flat_reached_s is None


def test_flat_after_a_step_up_comes_late_and_says_so() -> None:
    shown_pa = drying(6000.0) + np.where(LONG_S < 1500.0, 0.0, 120.0 * MICRON_PA)
    ((code, from_s, until_s),), last = run(shown_pa)
    assert (code, from_s < 1700.0) == ("stepped-up", True)
    assert until_s is not None
    assert from_s + 1000.0 < until_s < from_s + 1500.0
    assert (last.stage, last.stage_reason.code) == ("flat", "flat-but-higher")
    assert last.stage_reason.values["rise_pa"] == pytest.approx(120.0 * MICRON_PA, rel=0.1)


def test_what_is_warmed_as_a_caution_advised_is_no_climb() -> None:
    """Ice under a leak's caution gains a twelfth of its pressure with each kelvin."""
    stands_pa = 1000.0 * MICRON_PA + 1e4 * np.exp(-LONG_S / 15.0)
    found, last = run(stands_pa * np.exp(np.maximum(LONG_S - 2500.0, 0.0) / 1e4))
    assert {code for code, _, _ in found} == {"not-pulling-down-or-ice"}
    assert last.pressure_pa == pytest.approx(1.42 * 1000.0 * MICRON_PA, rel=0.02)


def test_a_fall_that_only_undoes_a_climb_shut_no_gauge_off() -> None:
    """A stopped pump that runs again, on a circuit that falls within seconds."""
    low_pa = 95.0 * MICRON_PA
    dry_pa = low_pa + 1e5 * np.exp(-BOILS_S / 7.0)
    climb_pa = 4.0 * MICRON_PA * np.clip(BOILS_S - SHUT_S, 0.0, 160.0)
    falls_pa = 640.0 * MICRON_PA * np.exp(-np.maximum(BOILS_S - SHUT_S - 160.0, 0.0) / 2.2)
    shown_pa = dry_pa + np.where(BOILS_S < SHUT_S + 160.0, climb_pa, falls_pa)
    found = [kind for kind, _, _ in raised(BOILS_S, noisy(shown_pa, step_micron=0.1))]
    assert "rising" in found
    assert "gauge-shut-off" not in found
