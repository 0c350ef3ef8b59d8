"""The open job and its gauge: opened away from the window, rebuilt, edited, saved."""

import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from analysis.flat.history import History
from analysis.snapshot import Finding, HoldResult
from app.gauge.link import AtPump
from app.job.fields import JobFields, Joint
from app.job.rules import kept_rules
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.readings import encode_readings
from app.jobfile.rows import PUMP_READINGS, READINGS
from app.jobfile.writer import JobWriter
from app.live.run import Step
from app.live.session import Session
from app.rig.rig_screen import judge_typed
from app.settings.memory import Memory
from app.settings.values import Settings
from app.system.errors import UsageError
from app.system.paths import jobs_folder
from sensors.events import Reading, Sensor
from sensors.sim.sensor import SimSensor


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    session = Session(Memory(tmp_path / "window.json"), Settings)
    yield session
    session.close()  # a test that failed must not leave its threads to the next one


def play(session: Session, until_s: float) -> list[Step]:
    """Look until so much was read; ten seconds are ample for it."""
    steps: list[Step] = []
    ends_s = time.monotonic() + 10.0
    while time.monotonic() < ends_s:
        steps += session.steps()
        if any(s.snapshot and s.snapshot.time_s >= until_s for s in steps):
            return steps
        threading.Event().wait(0.005)  # let the gauge's own thread work
    raise AssertionError("it took too long")


def test_a_job_is_made_when_a_gauge_is_read_and_keeps_the_form(session: Session) -> None:
    fields = JobFields(vehicle="grey van", joints=(Joint("inlet", "new part", "renewed"),))
    session.edit(fields)
    session.use(SimSensor("clean", speed=200.0))
    play(session, 20.0)
    session.edit(replace(fields, oil="PAG"))
    session.mark("valve-moved", "by hand")
    assert session.memory.open_job is not None
    path = session.memory.open_job
    assert path.parent == jobs_folder().resolve()
    assert session.close()
    with JobReader(path) as job:
        kept = job.fields()
        marks = [note for _, note in job.notes("mark")]
    assert (kept["vehicle"], kept["oil"]) == ("grey van", "PAG")
    assert kept["joints"] == [{"name": "inlet", "evidence": "new part", "state": "renewed"}]
    assert len(marks) == 1


def test_a_past_told_during_the_run_reaches_forecast_and_record(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[History] = []
    session.use(SimSensor("clean", speed=200.0))
    play(session, 5.0)
    assert session.run is not None
    monkeypatch.setattr(session.run.evacuation, "set_history", told.append)
    session.edit(JobFields(days_open=30.0))
    session.edit(JobFields(days_open=30.0, vehicle="grey van"))
    path = session.run.recorder.path
    assert session.close()
    assert told == [History(days_open=30.0)]
    with JobReader(path) as job:
        kept = kept_rules(job.fields())
    assert kept is not None
    assert kept.history == History(days_open=30.0)


def test_a_job_goes_on_with_all_it_knew(session: Session) -> None:
    session.edit(JobFields(vehicle="grey van", volume_m3=0.003))
    session.use(SimSensor("clean", speed=200.0))
    before = [step.event for step in play(session, 30.0) if isinstance(step.event, Reading)]
    path = session.memory.open_job
    assert path is not None
    assert session.close()
    again = Session(session.memory, Settings)
    again.resume(path)
    past = play(again, before[-1].time_s)
    times = [step.event.time_s for step in past if isinstance(step.event, Reading)]
    assert times[: len(before)] == [event.time_s for event in before]
    assert again.fields.vehicle == "grey van"
    assert again.fields.volume_m3 == 0.003
    assert again.close()


@pytest.mark.parametrize(("finding", "is_offered"), [("leak", True), ("held", False)])
def test_a_job_whose_test_showed_a_leak_is_offered_the_next_day(
    session: Session, finding: Finding, is_offered: bool
) -> None:
    session.use(SimSensor("clean", speed=200.0))
    play(session, 20.0)
    assert session.run is not None
    assert session.run.snapshot is not None
    hold = HoldResult(finding, 1200.0, 30.0, None, None, None, None, (), ())
    session.run.snapshot = session.run.snapshot._replace(stage="done", hold=hold)
    assert session.close()
    assert (session.memory.open_job is not None) == is_offered


def test_closing_while_it_still_opens_leaves_nothing_behind(session: Session) -> None:
    session.use(SimSensor("clean", speed=200.0))
    assert session.close()
    assert session.run is None


def test_a_stranger_is_refused_in_one_sentence(session: Session, tmp_path: Path) -> None:
    stranger = tmp_path / "x.simmerdown"
    stranger.write_bytes(b"\0" * 200)
    session.resume(stranger)
    assert session.opening is not None
    session.opening.join()
    with pytest.raises(UsageError, match=r"x\.simmerdown"):
        list(session.steps())
    assert session.opening is None


def test_a_job_that_is_refused_is_let_go_of_and_its_gauge_too(
    session: Session, tmp_path: Path
) -> None:
    path = new_job(tmp_path)
    with JobWriter(path) as writer:
        there, back = Reading(1.0, 60.0), Reading(0.0, 60.0)
        writer.append(READINGS, encode_readings([back, there]))
        writer.append(PUMP_READINGS, encode_readings([there, back]))
        writer.commit()
    before = path.read_bytes()
    session.resume(path)
    session.use(SimSensor("clean"))  # as when the unfinished job is gone on with
    assert session.opening is not None
    session.opening.join()
    with pytest.raises(UsageError, match="goes back"):
        list(session.steps())
    assert session.sensor is None
    assert path.read_bytes() == before
    JobWriter(path).close()  # nobody holds it


def test_finishing_forgets_the_job_and_the_form(session: Session) -> None:
    session.edit(JobFields(vehicle="grey van"))
    session.use(SimSensor("clean", speed=200.0))
    play(session, 10.0)
    assert session.finish()
    assert session.memory.open_job is None
    assert session.fields == JobFields()


def test_a_pressure_test_before_the_job_is_kept_and_comes_back(
    session: Session, tmp_path: Path
) -> None:
    typed = {"start_bar": 10.0, "start_c": 20.0, "end_bar": 10.0, "end_c": 21.0, "minutes": 20.0}
    test = judge_typed(typed)
    session.keep_pressure_test(test)
    session.use(SimSensor("clean", speed=200.0))
    play(session, 5.0)
    path = session.memory.open_job
    assert path is not None
    assert session.job_path == path
    assert session.close()
    again = Session(Memory(tmp_path / "again.json"), Settings)
    again.resume(path)
    play(again, 5.0)
    assert again.pressure_test == test
    assert again.finish()
    assert again.pressure_test is None
    assert again.job_path == path  # a report can still be made


def test_a_second_gauge_is_recorded_and_drawn_again(session: Session, tmp_path: Path) -> None:
    session.use(SimSensor("clean", speed=200.0), SimSensor("wet", speed=200.0))
    steps = play(session, 20.0)
    assert any(isinstance(step.event, AtPump) for step in steps)
    path = session.memory.open_job
    assert path is not None
    assert session.close()
    with JobReader(path) as job:
        at_pump, far = job.readings("pump").time_s.tolist(), job.readings().time_s.tolist()
    again = Session(Memory(tmp_path / "again.json"), Settings)
    again.resume(path)
    past = play(again, far[-1])
    drawn = [step.event.event for step in past if isinstance(step.event, AtPump)]
    assert [event.time_s for event in drawn] == at_pump
    assert again.close()


def test_a_second_gauge_comes_and_goes_while_the_first_goes_on(session: Session) -> None:
    session.connect("sim:clean?speed=200")
    play(session, 5.0)
    run, far = session.run, session.sensor
    assert run is not None
    session.connect("sim:clean?speed=200", "sim:wet?speed=200")
    assert session.sensor is far
    assert run.pump_side.gauge.startswith("sim:wet?")
    session.connect("sim:clean?speed=200")
    assert session.sensor is far
    assert run.pump_side.gauge == ""
    with pytest.raises(UsageError, match="needs a place of its own"):
        session.connect("sim:clean?speed=200", "sim:clean?speed=200")
    assert session.close()


def test_a_job_of_a_gauge_never_reached_is_not_kept(session: Session, tmp_path: Path) -> None:
    session.connect(f"serial:{tmp_path}/none")
    assert session.opening is not None
    session.opening.join()
    list(session.steps())
    path = session.job_path
    assert path is not None
    assert path.exists()
    assert session.finish()
    assert not path.exists()
    assert session.job_path is None
    assert session.memory.open_job is None


def test_a_job_with_what_the_technician_said_is_kept(session: Session, tmp_path: Path) -> None:
    session.edit(JobFields(vehicle="grey van"))
    session.connect(f"serial:{tmp_path}/none")
    assert session.opening is not None
    session.opening.join()
    list(session.steps())
    assert session.finish()
    assert session.job_path is not None
    assert session.job_path.exists()


def test_an_open_job_goes_on_elsewhere(session: Session, tmp_path: Path) -> None:
    session.use(SimSensor("clean", speed=200.0))
    play(session, 5.0)
    old, target = session.job_path, tmp_path / "elsewhere.simmerdown"
    session.save_elsewhere(target)
    assert session.job_path == target.resolve()
    assert session.memory.open_job == target.resolve()
    assert session.close()
    assert old is not None
    with JobReader(old) as before, JobReader(target) as after:
        assert after.start == before.start
        assert after.last[0] > before.last[0]


def test_a_far_gauge_that_has_ended_is_begun_anew(session: Session, tmp_path: Path) -> None:
    table = tmp_path / "short.csv"
    table.write_text("time_s,pressure_pa\n0,90\n1,80\n")
    session.connect(f"replay:{table}?speed=max")
    for _ in range(2000):
        list(session.steps())
        if session.run is not None and session.run.is_over:
            break
        threading.Event().wait(0.005)
    assert session.run is not None
    assert session.run.is_over
    session.connect(f"replay:{table}?speed=max", "sim:wet?speed=200")
    assert session.run.pump_side.gauge.startswith("sim:wet?")
    assert not session.run.is_over
    assert session.close()


def acts(sensor: Sensor | None) -> list[str]:
    """What a simulated circuit was told to do so far."""
    assert isinstance(sensor, SimSensor)
    return [step.action for step in sensor.simulation.actions] if sensor.simulation else []


def test_what_is_done_to_a_simulated_circuit_both_its_gauges_see(session: Session) -> None:
    session.connect("sim:clean?speed=200", "sim:clean?speed=200&at=pump")
    play(session, 5.0)
    session.mark("valve-closed")
    ends_s = time.monotonic() + 10.0
    while time.monotonic() < ends_s and not all(map(acts, (session.sensor, session.at_pump))):
        session.steps()
        threading.Event().wait(0.005)  # each gauge takes it up on its own thread, in its own time
    assert acts(session.sensor) == acts(session.at_pump) == ["close-valve"]
    assert session.close()
