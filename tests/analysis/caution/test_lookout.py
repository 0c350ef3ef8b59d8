"""What the cautions are weighed by is what the parts know now."""

import math

import pytest

from analysis.burst.detector import BurstDetector
from analysis.caution.lookout import Lookout
from analysis.closing.closings import Closings
from analysis.gauge.gaps import GapFinder
from analysis.gauge.gauge_state import GaugeState
from analysis.judging import Judging
from analysis.pace import Pace
from analysis.rules import EvacuationRules
from analysis.water import boiling_pressure_pa
from sensors.events import Reading


def test_each_look_shows_the_present() -> None:
    rules, gauge, detector = EvacuationRules(), GaugeState(), BurstDetector()
    judging, closings = Judging(rules), Closings(rules)
    lookout = Lookout(
        rules,
        gauge=gauge,
        gaps=GapFinder(),
        detector=detector,
        pace=Pace(),
        judging=judging,
        closings=closings,
    )
    gauge.take(Reading(5.0, 30.0, 12.0))
    sight = lookout.look(7.0, 1.0)
    assert (sight.time_s, sight.pull_s, sight.silent_s) == (7.0, 1.0, 2.0)
    assert (sight.pressure_pa, sight.circuit_c, sight.is_isolated) == (30.0, 12.0, False)
    assert lookout.boiling_pa == boiling_pressure_pa(12.0)
    judging.quiet_s = 40.0
    closings.close(8.0, 8.0)
    gauge.take(Reading(9.0, 31.0, 15.0))
    later = lookout.look(9.0, 1.0)
    assert (later.quiet_s, later.is_isolated, later.pressure_pa) == (40.0, True, 31.0)
    assert lookout.boiling_pa == boiling_pressure_pa(15.0)


def test_a_passing_look_leaves_what_moves_slowly() -> None:
    rules, gauge = EvacuationRules(), GaugeState()
    judging, closings = Judging(rules), Closings(rules)
    lookout = Lookout(
        rules,
        gauge=gauge,
        gaps=GapFinder(),
        detector=BurstDetector(),
        pace=Pace(),
        judging=judging,
        closings=closings,
    )
    gauge.take(Reading(5.0, 30.0, 12.0))
    lookout.look(5.0, 0.0)
    closings.close(8.0, 8.0)
    gauge.take(Reading(8.0, 31.0, 15.0))
    sight = lookout.look(10.0, 0.0, closely=False)
    assert (sight.time_s, sight.silent_s, sight.is_isolated) == (10.0, 2.0, True)
    assert (sight.circuit_c, lookout.boiling_pa) == (12.0, boiling_pressure_pa(12.0))


def test_nothing_is_clear_where_a_caution_blinds() -> None:
    rules, detector = EvacuationRules(), BurstDetector()
    lookout = Lookout(
        rules,
        gauge=GaugeState(),
        gaps=GapFinder(),
        detector=detector,
        pace=Pace(),
        judging=Judging(rules),
        closings=Closings(rules),
    )
    for second in range(120):
        detector.update(float(second), 30.0 + 0.05 * (second % 3))
    assert lookout.is_clear(frozenset())
    assert lookout.is_clear(frozenset({"cold"}))
    assert not lookout.is_clear(frozenset({"cold", "rising"}))


@pytest.mark.parametrize(
    ("fall_s", "boiled", "worth"),
    [(100.0, True, "none"), (4000.0, True, "sound"), (100.0, False, "sound")],
)
def test_a_silence_is_none_where_the_level_falls_away_from_where_ice_may_have_held_it(
    fall_s: float, boiled: bool, worth: str
) -> None:
    """From 900 micron, still over what is low enough for flat; gas that fades falls slowly."""
    rules, pace = EvacuationRules(), Pace()
    judging = Judging(rules)
    lookout = Lookout(
        rules,
        gauge=GaugeState(),
        gaps=GapFinder(),
        detector=BurstDetector(),
        pace=pace,
        judging=judging,
        closings=Closings(rules),
    )
    for second in range(700):
        pace.update(float(second), 120.0 * math.exp(-max(second - 660, 0) / fall_s))
    for onset_s in (1.0, 2.0, 3.0) if boiled else ():
        judging.boil.add(onset_s)
    judging.quiet_s = 400.0
    lookout.look(700.0, 0.0)
    found = [lookout.silence]
    judging.quiet_s = 690.0
    lookout.look(700.0, 0.0)
    assert [*found, lookout.silence] == ["sound", worth]
