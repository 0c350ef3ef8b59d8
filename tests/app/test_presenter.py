"""The presenter without a screen: what happens goes in, screens come out."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

import pytest

from analysis.reason import Interval, Reason
from analysis.sample import Mark, Silence
from analysis.snapshot import BlankOff, Caution, Isolation, Snapshot
from app.hold_walk import tone_of
from app.job_fields import JobFields, Joint
from app.jobfile.rows import Edit
from app.presenter import Presenter
from app.rig_screen import judge_typed
from app.rig_tests import pressure_test_note
from app.run import Step
from app.screen import Alarm, Screen
from app.settings import Settings
from sensors.events import Connected, Lost, Reading
from sensors.replay import Replay
from tests.app.window.played import NOT_SAVED, PlayedRun, played_session, readings

NOW = datetime(2030, 1, 31, 14, 2, tzinfo=UTC)


class Seen:
    """A view that remembers."""

    def __init__(self) -> None:
        self.screens: list[Screen] = []
        self.steps: list[Step] = []
        self.alarms: list[Alarm] = []
        self.told: list[str] = []
        self.refreshed = self.cleared = 0

    def show(self, screen: Screen) -> None:
        self.screens.append(screen)

    def draw(self, step: Step) -> None:
        self.steps.append(step)

    def refresh(self, snapshot: Snapshot, flat_interval_s: float) -> None:
        self.refreshed += 1

    def clear(self) -> None:
        self.cleared += 1

    def alarm(self, alarm: Alarm) -> None:
        self.alarms.append(alarm)

    def tell(self, text: str) -> None:
        self.told.append(text)

    @property
    def screen(self) -> Screen:
        return self.screens[-1]


class Bench:
    """A presenter with its view and a played run."""

    def __init__(self, folder: Path) -> None:
        self.settings = Settings()
        self.seen = Seen()
        self.session, self.run = played_session(folder)
        self.presenter = Presenter(self.seen, self.session, lambda: self.settings, now=lambda: NOW)

    def play(self, items: Iterable[Reading | Mark | Silence | Connected | Lost]) -> Screen:
        self.run.play(items)
        self.presenter.look()
        return self.seen.screen

    def at(self, **values: object) -> Screen:
        """Show a made-up moment."""
        self.run.show_instead(**values)
        self.presenter.look()
        return self.seen.screen


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


@lru_cache
def pull() -> tuple[Reading, ...]:
    return tuple(readings("clean", 60.0))


@lru_cache
def held() -> tuple[Reading, ...]:
    return tuple(readings("hold-held", 150.0))  # short: each fit of a hold takes a while


def test_the_pressure_comes_with_its_unit_and_the_verdict_says_what_to_do(bench: Bench) -> None:
    screen = bench.play(pull())
    assert screen.verdict.startswith("Pulling down, at ")
    assert screen.verdict.endswith("Keep pumping.")
    assert screen.unit == "micron"
    assert screen.why
    assert screen.elapsed == "0:00:59"


def test_a_change_of_unit_shows_at_once(bench: Bench) -> None:
    micron = float(bench.play(pull()).pressure.replace(" ", "").replace("\u2009", ""))
    bench.settings = replace(bench.settings, unit="pa")
    bench.presenter.set_unit()
    assert bench.seen.screen.unit == "Pa"
    assert float(bench.seen.screen.pressure) == pytest.approx(micron * 0.1333224, rel=0.01)


def test_a_screen_is_shown_only_when_it_changed(bench: Bench) -> None:
    bench.play(pull())
    count = len(bench.seen.screens)
    bench.presenter.look()
    assert len(bench.seen.screens) == count


def test_the_gauge_is_lost_and_found_and_bad_frames_are_counted(bench: Bench) -> None:
    bench.session.sensor = Replay("gauge.csv")
    assert bench.play([Connected(0.0, "gauge 7")]).sensor.text == "Connected: gauge 7"
    lost = bench.play([Lost(1.0, "the cable is out")])
    assert lost.sensor.text == "Lost since 14:02: the cable is out"
    assert lost.sensor.tone == "danger"
    bench.run.rejected = 3
    found = bench.play([Reading(2.0, 500.0)])
    assert found.sensor.text == "Connected: gauge 7 · bad frames: 3"
    assert found.sensor.tone == "good"


def test_not_being_saved_is_said_with_its_time_and_alarmed_once(bench: Bench) -> None:
    assert bench.play(pull()).saved.text == "Saved"
    bench.run.recorder.state = NOT_SAVED
    bench.presenter.look()
    bench.presenter.look()
    screen = bench.seen.screen
    since = NOT_SAVED.since_utc.astimezone().strftime("%H:%M")
    assert screen.saved.text.startswith(f"Not being saved since {since}: job.simmerdown")
    assert [alarm.code for alarm in bench.seen.alarms] == ["not-saved"]
    assert screen.alarm is not None


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


def test_flat_prompts_by_itself_and_is_heard_once(bench: Bench) -> None:
    bench.play(pull())
    screen = bench.at(stage="flat", stage_reason=Reason("rate-below-one", {"flat_interval_s": 600}))
    assert screen.is_prompting
    assert [alarm.code for alarm in bench.seen.alarms] == ["flat"]
    bench.presenter.look()
    assert len(bench.seen.alarms) == 1
    bench.presenter.dismiss()
    assert bench.seen.screen.alarm is None
    assert bench.seen.screen.is_prompting
    bench.presenter.walk_back()
    assert not bench.seen.screen.is_prompting


@pytest.mark.parametrize("kind", ["sudden-rise", "rising", "no-signal"])
def test_a_grave_caution_covers_the_window_until_it_is_over(bench: Bench, kind: str) -> None:
    bench.play(pull())
    caution = Caution(kind, 300.0, None, Reason(kind, {}))  # type: ignore[arg-type]
    screen = bench.at(cautions=(caution,), caution_changes=(caution,))
    assert screen.alarm is not None
    assert (screen.alarm.code, screen.tone, screen.sign) == (kind, "danger", "caution")
    bench.presenter.look()
    ended = replace(caution, until_s=310.0)
    assert bench.at(cautions=(), caution_changes=(ended,)).alarm is None


def test_an_old_jobs_past_raises_no_alarm(bench: Bench) -> None:
    bench.play(pull())
    assert bench.presenter.snapshot is not None
    bench.session._past.append(
        Step(Silence(500.0), bench.presenter.snapshot._replace(time_s=500.0, stage="flat"))
    )
    bench.presenter.look()
    assert bench.seen.alarms == []


def test_what_the_form_says_is_kept_as_edits_of_what_changed(bench: Bench) -> None:
    fields = JobFields(vehicle="grey van", volume_m3=0.003, joints=(Joint("inlet"),))
    bench.presenter.save_fields(fields)
    bench.presenter.save_fields(replace(fields, oil="PAG"))
    bench.presenter.tick_part("rig", True)
    edits = [item for item in bench.run.recorder.put_items if isinstance(item, Edit)]
    assert [edit.key for edit in edits] == ["vehicle", "volume_m3", "joints", "oil", "parts_done"]
    assert bench.seen.screen.title == "grey van"
    assert bench.seen.screen.parts_done == ("rig",)


def test_a_wrong_address_is_told_and_nothing_breaks(bench: Bench) -> None:
    bench.presenter.connect("nonsense")
    assert "Wrong sensor address" in bench.seen.told[0]


def test_the_unfinished_job_is_offered_and_can_be_left(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    job = tmp_path / "job-1.simmerdown"
    job.touch()
    bench.session.memory.keep(open_job=str(job))
    bench.session.run = None
    bench.presenter.look()
    assert bench.seen.screen.offer == "Not finished: job-1"
    bench.presenter.decline_offer()
    assert bench.seen.screen.offer == ""
    assert bench.session.memory.value.open_job == ""


def test_finishing_closes_the_run_and_empties_the_window(bench: Bench) -> None:
    bench.play(pull())
    run: PlayedRun = bench.run
    bench.presenter.finish()
    assert run.is_closed
    assert bench.seen.screen.phase == "idle"
    assert bench.seen.cleared == 1


def test_safety_names_what_fits_the_vehicle(bench: Bench) -> None:
    bench.presenter.save_fields(JobFields(refrigerant="R-1234yf", vehicle_kind="electric"))
    text = str(bench.presenter.safety())
    assert "hydrogen fluoride" in text
    assert "megohm" in text
    bench.presenter.save_fields(JobFields(refrigerant="R-744", vehicle_kind="combustion"))
    text = str(bench.presenter.safety())
    assert "suffocates" in text
    assert "megohm" not in text
    assert "never oxygen" in text.lower()


def test_heat_and_nitrogen_bring_their_cautions(bench: Bench) -> None:
    bench.presenter.mark("heat")
    bench.presenter.mark("nitrogen-in")
    assert "flame" in bench.seen.told[0]
    assert "regulator" in bench.seen.told[1]
    bench.presenter.save_fields(JobFields(refrigerant="R-134a"))
    bench.presenter.mark("heat")
    assert len(bench.seen.told) == 2


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


def test_the_readings_quality_is_told_with_the_gauge_and_under_why(bench: Bench) -> None:
    screen = bench.play(pull())
    assert "readings/s, noise " in screen.sensor.detail
    assert "The readings" in [passage.heading for passage in screen.why]
    bench.play([Reading(60.0 + k, 300.0 + k % 3) for k in range(200)])
    bench.play([Reading(260.0 + k, 300.0) for k in range(400)])
    assert "is the gauge stuck?" in bench.seen.screen.sensor.detail


def test_a_blank_off_test_is_begun_and_ended_by_one_button(bench: Bench) -> None:
    bench.play([Reading(float(k), 10.0) for k in range(30)])
    bench.presenter.blank_off()
    screen = bench.play([Reading(30.0 + k, 10.0 + 0.01 * k) for k in range(310)])
    assert screen.is_blanking
    assert screen.blank_off[0].startswith("The rig pulled down to")
    bench.presenter.blank_off()
    screen = bench.play([Reading(341.0, 10.0)])
    assert not screen.is_blanking
    assert "blank-off" in screen.parts_done
    assert [str(kind) for kind in bench.run.marked] == ["blank-off", "hold-over"]
    assert "Blank-off test" in [passage.heading for passage in screen.why]


def test_a_later_rise_is_set_beside_the_rigs_gas_load(bench: Bench) -> None:
    bench.session.fields = JobFields(volume_m3=0.003)
    bench.settings = replace(bench.settings, rig_volume_ml=60.0)
    bench.play(pull())
    rate = Interval(0.09, 0.1, 0.11)
    load = Interval(0.9e-4, 1e-4, 1.1e-4)
    screen = bench.at(
        isolations=(Isolation(10.0, 50.0, 4.0, 0.1, True, rate),),
        blank_off=BlankOff(0.0, 9.0, 1.0, 2.0, 1.0, rate, load, True, (), ()),
    )
    [share] = [passage for passage in screen.why if passage.heading == "The rig's own share"]
    assert "is the rig's own" in share.lines[0]


def test_a_pressure_test_is_kept_with_the_job_and_told(bench: Bench) -> None:
    bench.play(pull())
    typed = {"start_bar": 10.0, "start_c": 20.0, "end_bar": 7.0, "end_c": 20.0, "minutes": 20.0}
    test = judge_typed(typed)
    bench.presenter.save_pressure_test(test)
    bench.presenter.look()
    assert pressure_test_note(test) in bench.run.recorder.put_items
    screen = bench.seen.screen
    assert "pressure-test" in screen.parts_done
    [passage] = [passage for passage in screen.why if passage.heading == "Pressure test"]
    assert any("a leak" in line for line in passage.lines)
    assert len(bench.presenter.pressure_test_cautions().lines) == 6
