"""The walk through a standing test or an isolation, as the presenter leads it."""

import pytest

from analysis.sample import Mark
from app.hold.walk import tone_of
from app.live.run import Step
from app.screen.shown import Screen
from sensors.events import Reading
from tests.app.bench import Bench, held, pull


def test_the_walk_closes_the_valve_first_and_warns_of_the_stopped_pump(bench: Bench) -> None:
    bench.play(pull())
    bench.presenter.hold_now()
    screen = bench.seen.screen
    assert screen.hold.page == "close-valve"
    assert "sucks air and oil back" in screen.hold.warning
    pages = []
    for _ in range(3):
        bench.presenter.walk_on()
        pages.append(bench.seen.screen.hold.page)
    assert pages == ["pump-off", "vent-pump", "even-out"]
    marks = [step.event for step in bench.seen.steps if isinstance(step.event, Mark)]
    assert [mark.kind for mark in marks] == ["valve-closed", "pump-off", "note"]
    assert marks[0].time_s == pull()[-1].time_s


def walk_to_hold(bench: Bench) -> None:
    bench.play(held()[:2])
    bench.presenter.hold_now()
    for _ in range(3):
        bench.presenter.walk_on()
    bench.play(held()[2:])


def test_a_hold_shows_its_finding_live_and_ends_with_reasons_and_limits(bench: Bench) -> None:
    walk_to_hold(bench)
    live = bench.seen.screen.hold
    assert live.page == "holding"
    assert live.clock.startswith("Closed for 2 min")
    bench.presenter.walk_on()
    screen, snapshot = bench.seen.screen, bench.presenter.snapshot
    assert snapshot is not None
    assert snapshot.hold is not None
    assert (screen.hold.page, screen.sign) == ("finding", snapshot.hold.finding)
    assert screen.hold.finding.text
    assert screen.hold.finding.tone == tone_of(snapshot.hold)
    assert len(screen.hold.reasons) == len(snapshot.hold.reasons)
    assert [limit.passed for limit in screen.hold.limits] == [True] * 4
    assert all(limit.source for limit in screen.hold.limits)


def test_a_hold_is_given_up_by_opening_the_valve(bench: Bench) -> None:
    walk_to_hold(bench)
    bench.presenter.walk_back()
    assert bench.seen.screen.hold.page == "none"
    assert bench.presenter.snapshot is not None
    assert bench.presenter.snapshot.isolation is not None


def test_not_now_leaves_the_walk_without_a_mark(bench: Bench) -> None:
    bench.play(pull())
    bench.presenter.hold_now()
    bench.presenter.walk_back()
    assert bench.seen.screen.hold.page == "none"
    assert not [step for step in bench.seen.steps if isinstance(step.event, Mark)]


def test_a_job_found_cut_off_goes_on_holding(bench: Bench) -> None:
    first, *others = held()
    past: list[Reading | Mark] = [first, Mark(first.time_s, "valve-closed"), *others]
    bench.session._past.extend(Step(item, bench.run.evacuation.update(item)) for item in past)
    bench.presenter.look()
    assert bench.seen.screen.hold.page == "holding"


def _shut(from_s: float, per_s: float, level_pa: float) -> list[Reading]:
    return [Reading(from_s + k, level_pa + per_s * k) for k in range(1, 61)]


def test_an_isolation_lets_the_pump_run_and_says_how_it_rose(bench: Bench) -> None:
    bench.play([Reading(float(k), 20.0) for k in range(60)])
    bench.presenter.isolate()
    screen = bench.play(_shut(60.0, 0.1, 20.0) + _shut(120.0, 0.1, 26.0) + _shut(180.0, 0.1, 32.0))
    assert screen.hold.page == "isolating"
    assert "may be opened now" in screen.hold.instruction
    assert "pump running" in screen.hold.warning
    bench.presenter.walk_on()
    screen = bench.play([Reading(241.0, 20.0)])
    assert screen.hold.page == "none"
    assert [str(kind) for kind in bench.run.marked] == ["valve-closed", "valve-opened"]
    assert screen.isolation.startswith("Isolated, it rose by")
    assert "the next is set beside it" in screen.isolation
    assert "The last isolation" in [passage.heading for passage in screen.why]


def test_an_isolation_becomes_a_standing_test(bench: Bench) -> None:
    bench.play(pull())
    bench.presenter.isolate()
    pages = [bench.seen.screen.hold.page]
    bench.presenter.walk_back()
    pages.append(bench.seen.screen.hold.page)
    assert pages == ["isolating", "pump-off"]
    assert [str(kind) for kind in bench.run.marked] == ["valve-closed"]


def _forgotten(bench: Bench) -> Screen:
    level_pa = [20.0 + 0.05 * (k % 2) for k in range(200)]
    bench.play([Reading(float(k), level_pa[k]) for k in range(200)])
    return bench.play([Reading(200.0 + k, 20.0 + 0.3 * k) for k in range(120)])


def test_a_forgotten_closing_is_asked_about_and_counts_from_its_time(bench: Bench) -> None:
    screen = _forgotten(bench)
    assert screen.cut_off == (
        "The valve seems closed since 14:00. Count it as the hold's beginning?"
    )
    bench.presenter.confirm_cut_off()
    snapshot = bench.presenter.snapshot
    assert snapshot is not None
    assert snapshot.hold_from_s == pytest.approx(200.0, abs=15.0)
    assert bench.seen.screen.hold.page == "pump-off"
    assert bench.seen.screen.cut_off == ""


def test_a_closing_that_was_none_is_asked_about_once(bench: Bench) -> None:
    assert _forgotten(bench).cut_off
    bench.presenter.decline_cut_off()
    assert bench.seen.screen.cut_off == ""
    assert bench.play([Reading(320.0, 56.0)]).cut_off == ""
    assert bench.run.marked == []


@pytest.mark.parametrize("is_hold", [True, False])
def test_gas_that_rushes_in_is_seen_and_heard_at_once(bench: Bench, is_hold: bool) -> None:
    if is_hold:
        walk_to_hold(bench)
    else:
        bench.play(held()[:2])
        bench.presenter.isolate()
        bench.play(held()[2:])
    assert bench.seen.screen.tone == "calm"
    last_s = held()[-1].time_s
    screen = bench.play([Reading(last_s + second, 40e3) for second in range(1, 7)])
    assert [alarm.code for alarm in bench.seen.alarms] == ["rushed-in"]
    assert screen.alarm is not None
    assert "gas rushed in" in screen.alarm.text
    assert (screen.tone, screen.sign) == ("danger", "caution")
    for text in (screen.verdict, screen.hold.instruction):
        assert "gas rushed in" in text
    assert "let go" in screen.next_step
    assert is_hold == screen.hold.finding.text.startswith("Before gas rushed in")
    (bench.presenter.walk_back if is_hold else bench.presenter.walk_on)()  # the valve was opened
    assert bench.seen.screen.alarm is None
