"""The presenter without a screen: what happens goes in, screens come out."""

from dataclasses import replace
from pathlib import Path

import pytest

from analysis.reason import Reason
from analysis.sample import Silence
from analysis.snapshot import Caution
from app.job.fields import JobFields, Joint
from app.jobfile.rows import Edit
from app.live.run import Step
from sensors.csv_file import read_csv
from sensors.events import Connected, Lost, Reading
from sensors.replay import Replay
from tests.app.bench import Bench, pull
from tests.app.window.played import NOT_SAVED, PlayedRun


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
    bench.presenter.take_settings()
    assert bench.seen.screen.unit == "Pa"
    assert float(bench.seen.screen.pressure) == pytest.approx(micron * 0.1333224, rel=0.01)


def test_a_screen_is_shown_only_when_it_changed(bench: Bench) -> None:
    bench.play(pull())
    count = len(bench.seen.screens)
    bench.presenter.look()
    assert len(bench.seen.screens) == count


def test_the_gauge_is_lost_and_found_and_bad_frames_are_counted(bench: Bench) -> None:
    bench.session.sensor = Replay(lambda: read_csv("gauge.csv"))
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


def test_the_readings_quality_is_told_with_the_gauge_and_under_why(bench: Bench) -> None:
    screen = bench.play(pull())
    assert "readings/s, noise " in screen.sensor.detail
    assert "The readings" in [passage.heading for passage in screen.why]
    bench.play([Reading(60.0 + k, 300.0 + k % 3) for k in range(200)])
    bench.play([Reading(260.0 + k, 300.0) for k in range(400)])
    assert "is the gauge stuck?" in bench.seen.screen.sensor.detail
